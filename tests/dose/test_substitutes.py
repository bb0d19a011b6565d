"""A substitute serves the same region, the nearest first, and says what stays and what changes."""

from __future__ import annotations

from dataclasses import replace

import pytest

from haleward.dose.model import Exercise
from haleward.dose.options import Options, options_for
from haleward.dose.prescription import prescribe
from haleward.dose.programme import exercise_for
from haleward.dose.substitutes import peak_nm, substitutes
from haleward.movement.library import default_library
from haleward.record import Band, Record
from haleward.safety.protocol import default_protocol
from tests.dose.people import HOME, TODAY, WELL

PROTOCOL, LIBRARY = default_protocol(), default_library()
RICH = replace(WELL, kit=replace(HOME, bands=(Band("long", 13.0, 3.0),), door_anchor=True))


def start_of(record: Record, movement_id: str) -> tuple[Options, Exercise]:
    made = prescribe(record, protocol=PROTOCOL, library=LIBRARY, today=TODAY)
    options = options_for(record, made, protocol=PROTOCOL, library=LIBRARY)
    option = options.find(movement_id)
    assert option is not None
    policy = PROTOCOL.policies.dose
    return options, exercise_for(option, option.start, made.placement, library=LIBRARY, policy=policy)


@pytest.mark.parametrize(
    "movement_id", ["single_arm_row", "wall_press", "side_leg_raise", "knee_extension", "heel_raise"]
)
def test_substitutes_are_of_the_same_region_same_pattern_first_then_the_nearest_load(movement_id: str) -> None:
    options, exercise = start_of(RICH, movement_id)
    found = substitutes(exercise, options, frozenset(), RICH, LIBRARY)
    assert found
    assert {one.option.region for one in found} == {exercise.region}
    assert movement_id not in {one.option.movement_id for one in found}
    order = [(not one.same_pattern, one.option.light_work) for one in found]
    assert order == sorted(order)
    for group in set(order):
        apart = [one.apart_nm for one, place in zip(found, order, strict=True) if place == group]
        known = [one for one in apart if one is not None]
        assert apart[: len(known)] == sorted(known)


def test_what_stays_and_what_changes_is_said() -> None:
    options, exercise = start_of(RICH, "single_arm_row")
    first = substitutes(exercise, options, frozenset(), RICH, LIBRARY)[0]
    assert first.option.movement_id == "band_row"
    assert first.stays == "Stays: pull, works the shoulder, horizontal pull."
    assert "free-standing in place of hand-supported" in first.changes
    assert "in place of 0.5 kg" in first.changes
    assert "both sides together in place of one at a time" in first.changes


def test_what_the_plan_has_already_is_not_offered() -> None:
    options, exercise = start_of(RICH, "single_arm_row")
    found = substitutes(exercise, options, frozenset({"band_row"}), RICH, LIBRARY)
    assert "band_row" not in {one.option.movement_id for one in found}


def test_without_height_and_weight_loads_are_not_compared() -> None:
    unmeasured = replace(WELL, mass_kg=None)
    options, exercise = start_of(unmeasured, "front_raise")
    found = substitutes(exercise, options, frozenset(), unmeasured, LIBRARY)
    assert all(one.apart_nm is None for one in found)
    assert peak_nm("front_raise", "standing", exercise.dose.load, "shoulder", unmeasured, LIBRARY) is None


def test_the_load_is_said_first_the_pattern_last_and_in_words() -> None:
    options, exercise = start_of(RICH, "sit_to_stand")
    found = {one.option.movement_id: one for one in substitutes(exercise, options, frozenset(), RICH, LIBRARY)}
    squat = found["split_squat"]
    assert squat.stays == "Stays: standing up, own weight, free-standing, works the knee."
    assert squat.changes.endswith("one side at a time in place of both; pattern: lunge in place of squat or rise.")
    assert not any(" / " in one.stays + one.changes for one in found.values())
    press = found["seated_leg_press"]
    assert press.changes.startswith("Changes: band long at ")


@pytest.mark.parametrize("movement_id", ["sit_to_stand", "single_arm_row", "side_leg_raise"])
def test_a_substitute_that_loads_the_joint_more_says_that_it_is_heavier(movement_id: str) -> None:
    options, exercise = start_of(RICH, movement_id)
    joint = LIBRARY.movement(movement_id).working_joint
    assert joint is not None
    before = peak_nm(movement_id, exercise.posture, exercise.dose.load, joint, RICH, LIBRARY)
    assert before is not None
    found = [one for one in substitutes(exercise, options, frozenset(), RICH, LIBRARY) if one.apart_nm is not None]
    assert found
    for one in found:
        start = one.option.start
        now = peak_nm(one.option.movement_id, start.posture, start.load, joint, RICH, LIBRARY)
        assert now is not None
        assert one.heavier.startswith("Starts heavier: peak load") == (now > 1.1 * before)
        assert ("peak load" in one.changes) is not bool(one.heavier)

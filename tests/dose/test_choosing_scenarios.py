"""Chosen programmes for people with a limit each, and what holds for any restrictions, kit and placement."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from haleward.dose.cautions import NOT_GRIPPED, SUPPORTS_NEEDED, goes_overhead
from haleward.dose.loads import as_mass_kg
from haleward.dose.model import Exercise, Prescription, Programme
from haleward.dose.options import options_for
from haleward.dose.prescription import prescribe
from haleward.dose.programme import check_programme, draft_programme, exercise_for
from haleward.dose.room import room_needed
from haleward.dose.substitutes import substitutes
from haleward.dose.words import title_of
from haleward.movement.library import default_library
from haleward.record import (
    POSTURES,
    ROOMS,
    Band,
    Device,
    Event,
    Kit,
    Posture,
    Record,
    Restriction,
    RestrictionKind,
    Side,
)
from haleward.safety.protocol import default_protocol
from haleward.wording import default_wording
from tests.dose.people import ANSWERS, HOME, IRREGULAR, TODAY, WELL

PROTOCOL, LIBRARY = default_protocol(), default_library()
POLICY = PROTOCOL.policies.dose
WEIGHTS = replace(HOME, ankle_weight_pairs_kg=(1.0,), hand_weight_pairs_kg=(1.0, 2.0))


def limit(
    kind: RestrictionKind, side: Side | None = None, movements: tuple[str, ...] = (), **more: float
) -> Restriction:
    day = date(2026, 1, 1)
    return Restriction(kind, f"Care: {kind}", "Dr D", day, date(2026, 6, 1), side, movements, **more)  # type: ignore[arg-type]


def made_for(record: Record) -> Prescription:
    return prescribe(record, protocol=PROTOCOL, library=LIBRARY, today=TODAY)


def draft(record: Record, made: Prescription | None = None) -> Programme:
    made = made or made_for(record)
    return draft_programme(record, made, protocol=PROTOCOL, library=LIBRARY, today=TODAY, version=1)


def exercises(programme: Programme) -> list[Exercise]:
    return [exercise for part in programme.parts for exercise in part.exercises]


def ids(record: Record) -> set[str]:
    return {exercise.movement_id for exercise in exercises(draft(record))}


def gaps(programme: Programme) -> dict[str, str]:
    return {left.region: left.reason for left in programme.left_out if left.region and not left.movement_id}


def with_limits(*limits: Restriction, kit: Kit = WEIGHTS) -> Record:
    return replace(WELL, kit=kit, restrictions=limits)


def test_two_weeks_after_a_sternotomy_arms_move_without_load_and_legs_are_trained() -> None:
    opened = TODAY - timedelta(weeks=2)
    answers = {name: value for name, value in ANSWERS.items() if name != "sternotomy"}
    person = replace(WELL, events=(Event("cabg", opened, sternotomy=True),), answers=answers, kit=WEIGHTS)
    found = exercises(draft(person))
    assert {e.region for e in found} >= {"stand_up", "hip", "calf", "knee", "balance"}
    for exercise in found:
        if LIBRARY.movement(exercise.movement_id).upper:
            assert exercise.dose.load.kit == "own_weight"
    assert not {"wall_press", "chair_push_up", "single_arm_row"} & {e.movement_id for e in found}


def test_a_new_device_on_the_left_keeps_that_arm_low_and_gives_the_right_arm_its_work() -> None:
    device = Device("icd", lowest_detection_bpm=180, implanted_on=TODAY - timedelta(weeks=3), read_on=TODAY)
    person = replace(with_limits(limit("device_arm", "left")), device=device)
    for exercise in exercises(draft(person)):
        form = LIBRARY.form(exercise.movement_id, exercise.posture)
        held = form.cautions.get("device_arm", "").startswith(("hold", "avoid"))
        assert not held or exercise.side == "right", exercise.movement_id
        assert not goes_overhead(form), exercise.movement_id


def test_a_hip_replacement_leaves_out_what_its_caution_avoids() -> None:
    for exercise in exercises(draft(with_limits(limit("hip_replacement")))):
        caution = LIBRARY.form(exercise.movement_id, exercise.posture).cautions["hip_replacement"]
        assert "avoid" not in caution, exercise.movement_id
        if caution.startswith("modify"):
            assert any(caution.partition(": ")[2] in reason for reason in exercise.reasons), exercise.movement_id


@pytest.mark.parametrize("side", ["left", "right"])
def test_a_painful_shoulder_leaves_the_other_arm_what_is_done_with_one_arm(side: Side) -> None:
    person = with_limits(limit("shoulder", side))
    options = options_for(person, made_for(person), protocol=PROTOCOL, library=LIBRARY)
    reach = options.find("reach_to_shelf")
    assert reach is not None
    free = "right" if side == "left" else "left"
    assert {choice.side for choice in reach.choices} == {free}
    assert any(f"with the {free} arm only" in note for note in reach.notes)
    press = options.why_not("overhead_press")
    assert press is not None
    assert press.rule_id == "restriction.shoulder"
    both = with_limits(limit("shoulder"))
    assert options_for(both, made_for(both), protocol=PROTOCOL, library=LIBRARY).find("reach_to_shelf") is None


@pytest.mark.parametrize("side", ["left", "right"])
def test_an_arm_in_a_sling_rests_while_the_other_arm_and_the_legs_work(side: Side) -> None:
    """Reference scenario P-007: no work with both arms, no wall press; the free arm and the legs; it ends by review."""
    person = with_limits(limit("arm", side))
    programme = draft(person)
    found = exercises(programme)
    free = "right" if side == "left" else "left"
    arms = [e for e in found if LIBRARY.movement(e.movement_id).upper]
    assert arms
    assert {e.side for e in arms} == {free}
    assert not any(e.each_side for e in arms)
    assert "wall_press" not in {e.movement_id for e in found}
    assert {e.region for e in found} >= {"stand_up", "hip", "calf", "knee", "balance", "pull", "reach"}
    for exercise in found:
        form = LIBRARY.form(exercise.movement_id, exercise.posture)
        if exercise.side:
            hands = {form.poses[name].hands[side] for name in form.cycle(exercise.side).out_poses}
            assert not hands & set(SUPPORTS_NEEDED)
        else:
            assert form.kit_use[exercise.dose.load.kit].held in NOT_GRIPPED
    assert check_programme(programme, person, made_for(person), protocol=PROTOCOL, library=LIBRARY) == ()
    released = replace(person, restrictions=(replace(person.restrictions[0], review_on=TODAY - timedelta(days=9)),))
    assert {e.side for e in exercises(draft(released))} == {free, None}  # past its review it still applies


@pytest.mark.parametrize("kind", ["arm", "device_arm", "shoulder"])
@pytest.mark.parametrize("side", ["left", "right"])
def test_movements_that_fall_out_for_needing_both_arms_are_named(kind: RestrictionKind, side: Side) -> None:
    person = with_limits(limit(kind, side))
    options = options_for(person, made_for(person), protocol=PROTOCOL, library=LIBRARY)
    free = "right" if side == "left" else "left"
    (note,) = [left for left in options.left_out if not left.movement_id and "need both arms" in left.reason]
    assert note.rule_id == f"restriction.{kind}"
    assert f"the {free} arm may work alone" in note.reason
    named, _, kept = note.reason.partition(f"With the {free} arm alone these stay: ")
    for left in options.left_out:
        if left.movement_id:
            movement = LIBRARY.movement(left.movement_id)
            with_one = [form for form in movement.postures.values() if form.each_side]
            propped = any(
                set(pose.hands.values()) & set(SUPPORTS_NEEDED) for f in with_one for pose in f.poses.values()
            )
            two_armed = movement.upper and (not with_one or (kind == "arm" and propped))
            assert (title_of(movement) in named) == (two_armed and left.rule_id == note.rule_id), movement.id
    assert kept
    assert all(title_of(LIBRARY.movement(o.movement_id)) in kept for o in options.eligible if o.choices[0].side)
    assert note in draft(person).left_out


def test_no_note_of_one_arm_stands_where_nothing_fell_out_for_it() -> None:
    for limits in ((), (limit("hip_replacement"),), (limit("shoulder"),), (limit("no_step", "left"),)):
        person = with_limits(*limits)
        options = options_for(person, made_for(person), protocol=PROTOCOL, library=LIBRARY)
        assert not [left for left in options.left_out if "need both arms" in left.reason]


def test_both_arms_at_rest_leave_no_arm_work() -> None:
    person = with_limits(limit("arm", "left"), limit("arm", "right"))
    assert not any(LIBRARY.movement(movement_id).upper for movement_id in ids(person))
    options = options_for(person, made_for(person), protocol=PROTOCOL, library=LIBRARY)
    left = options.why_not("single_arm_row")
    assert left is not None
    assert "one restriction leaves only the left arm" in left.reason


def test_a_plan_for_both_arms_cannot_be_signed_once_one_must_rest() -> None:
    programme, person = draft(WELL), replace(WELL, restrictions=(limit("arm", "right"),))
    against = check_programme(programme, person, made_for(person), protocol=PROTOCOL, library=LIBRARY)
    assert any("with the left arm only" in sentence for sentence in against)


def test_a_person_in_a_wheelchair_gets_seated_arm_work_and_is_told_why_the_legs_are_not_covered() -> None:
    """Reference scenario P-006: every leg movement is named by the clinician; the chair is the person's own."""
    legs = tuple(m.id for m in LIBRARY.movements.values() if not m.upper and m.region != "trunk")
    kit = replace(WEIGHTS, worktop=False, clear_wall=False)
    person = with_limits(limit("movement", None, legs), kit=kit)
    made = made_for(person)
    made = replace(made, placement=replace(made.placement, posture="seated", narrow_base_posture="seated"))
    programme = draft(person, made)
    assert {e.posture for e in exercises(programme)} == {"seated"}
    assert {"pull", "push", "reach"} <= {e.region for e in exercises(programme)}
    assert set(gaps(programme)) >= {"stand_up", "hip", "calf", "balance", "knee"}
    assert all('"Care: movement" (Dr D' in gaps(programme)[region] for region in ("hip", "calf", "knee"))
    assert len(exercises(programme)) > 4


def test_a_prosthesis_leaves_out_the_named_ankle_movements_and_keeps_knees_and_hips() -> None:
    """Reference scenario P-005: never marching on the spot by default; ankles of a prosthesis do not train."""
    person = with_limits(limit("movement", None, ("heel_raise", "toe_raise", "ankle_pumps", "calf_stretch")))
    programme = draft(person)
    assert {e.region for e in exercises(programme)} >= {"hip", "knee", "stand_up"}
    assert "calf" in gaps(programme)
    assert programme.walking.movement_id != "march_on_spot"


def test_a_person_who_cannot_grip_holds_nothing() -> None:
    for exercise in exercises(draft(with_limits(limit("no_grip")))):
        use = LIBRARY.form(exercise.movement_id, exercise.posture).kit_use[exercise.dose.load.kit]
        assert use.held in NOT_GRIPPED, exercise.movement_id


def test_a_person_with_low_vision_has_words_for_every_movement_that_can_be_chosen() -> None:
    wording = default_wording()
    options = options_for(WELL, made_for(WELL), protocol=PROTOCOL, library=LIBRARY)
    for option in options.eligible:
        for posture in option.postures:
            assert wording.movement(option.movement_id, posture).low_vision_words, (option.movement_id, posture)


def test_two_bottles_and_support_give_no_load_the_person_does_not_have() -> None:
    """Reference scenario P-001: loads of nothing, half full and full; supported or seated; never 2 kg."""
    person = replace(IRREGULAR, kit=replace(HOME, bottle_pairs_kg=(1.0,)))
    options = options_for(person, made_for(person), protocol=PROTOCOL, library=LIBRARY)
    loads = {as_mass_kg(choice.load) for option in options.eligible for choice in option.choices}
    assert {0, 0.5, 1.0} <= loads
    assert max(loads) == 1.0
    assert {e.posture for e in exercises(draft(person))} <= {"seated", "hand_supported"}


maybe = st.sampled_from((None, True, False))
masses = st.sampled_from((None, (), (0.5,), (1.0,), (0.5, 1.0), (2.0,)))
kits = st.builds(
    Kit,
    hand_weight_pairs_kg=masses,
    bottle_pairs_kg=masses,
    ankle_weight_pairs_kg=masses,
    bands=st.sampled_from((None, (), (Band("one", 13.0, 2.4),))),
    firm_chair=maybe,
    armchair=maybe,
    worktop=maybe,
    clear_wall=maybe,
    door_anchor=maybe,
    step_height_m=st.sampled_from((None, 0.0, 0.15)),
    room=st.sampled_from((None, *ROOMS)),
)
limits = st.builds(
    limit,
    st.sampled_from(get_args(RestrictionKind)),
    st.sampled_from((None, "left", "right")),
    st.lists(st.sampled_from(sorted(LIBRARY.movements)), max_size=4, unique=True).map(tuple),
    load_limit_kg=st.sampled_from((None, 0.0, 0.5, 1.0)),
)
placed = st.tuples(st.sampled_from(POSTURES), st.sampled_from(POSTURES), st.booleans())


def violates(exercise: Exercise, one: Restriction) -> bool:
    """The restriction read afresh, straight from the library: a second pair of eyes on the rules of choosing."""
    movement = LIBRARY.movement(exercise.movement_id)
    form = LIBRARY.form(exercise.movement_id, exercise.posture)
    spared = one.side is not None and exercise.side not in (None, one.side)
    gripped = form.kit_use[exercise.dose.load.kit].held not in NOT_GRIPPED
    if one.load_limit_kg is not None and as_mass_kg(exercise.dose.load) > one.load_limit_kg + 1e-6:
        return True
    match one.kind:
        case "movement":
            return movement.id in one.movement_ids
        case "no_step":
            return "step_height_m" in form.needs
        case "no_overhead":
            return goes_overhead(form) and not spared
        case "no_grip":
            return gripped and not spared
        case "arm":
            return (movement.upper or gripped) and not spared
        case "sternum" | "shoulder" | "hip_replacement" | "device_arm" | "balance":
            word = form.cautions.get(one.kind, "")
            out = word == "" or "avoid" in word or word.partition(":")[0].strip().startswith("hold")
            loaded = word.startswith("unloaded") and as_mass_kg(exercise.dose.load) > 0
            unsteady = word.startswith("supported") and exercise.posture == "standing"
            return (out or loaded or unsteady) and not spared
    return False


@settings(max_examples=60, deadline=None)
@given(st.lists(limits, max_size=3), kits, placed)
def test_no_chosen_movement_violates_a_restriction_the_kit_or_the_placement(
    found: list[Restriction], kit: Kit, placement: tuple[Posture, Posture, bool]
) -> None:
    person = replace(WELL, kit=kit, restrictions=tuple(found))
    made = made_for(person)
    posture, narrow, emphasis = placement
    made = replace(
        made,
        placement=replace(made.placement, posture=posture, narrow_base_posture=narrow, balance_emphasis=emphasis),
    )
    options = options_for(person, made, protocol=PROTOCOL, library=LIBRARY)
    programme = draft(person, made)
    usable = {option.movement_id for option in options.eligible}
    left = {one.movement_id for one in options.left_out if one.movement_id}
    assert usable | left == {m.id for m in LIBRARY.movements.values() if m.region != "aerobic"}
    assert not usable & left
    for exercise in exercises(programme):
        form = LIBRARY.form(exercise.movement_id, exercise.posture)
        assert not [one for one in found if violates(exercise, one)], exercise
        assert POSTURES.index(exercise.posture) <= POSTURES.index(narrow if form.narrow_base else posture)
        needs = (*form.needs, *form.kit_use[exercise.dose.load.kit].needs)
        assert all(getattr(kit, need) for need in needs)
        assert not form.equipment
        needed = room_needed(LIBRARY.movement(exercise.movement_id), exercise.posture, form)
        assert kit.room is None or ROOMS.index(kit.room) >= ROOMS.index(needed)
    covered = {exercise.region for exercise in exercises(programme)}
    assert set(POLICY.required_regions) <= covered | set(gaps(programme))
    assert not covered & set(gaps(programme))
    assert all(len(part.exercises) <= POLICY.movements_most for part in programme.parts)
    assert draft(person, made) == programme
    stands = check_programme(programme, person, made, protocol=PROTOCOL, library=LIBRARY)
    assert all("has no movement" in sentence for sentence in stands), stands


def test_with_room_for_a_chair_only_everything_is_done_in_the_chair() -> None:
    person = replace(WELL, kit=replace(WEIGHTS, room="seat"))
    programme = draft(person)
    found = exercises(programme)
    assert {e.posture for e in found if e.movement_id != "sit_to_stand"} == {"seated"}
    assert {e.region for e in found} >= {"stand_up", "pull", "push", "knee", "calf"}
    options = options_for(person, made_for(person), protocol=PROTOCOL, library=LIBRARY)
    for movement_id in ("weighted_carry", "half_jack", "heel_to_toe_walk"):
        left = options.why_not(movement_id)
        assert left is None or "room" in left.reason or LIBRARY.movement(movement_id).region == "aerobic", movement_id
    assert options.find("lateral_raise") is None  # its arms go straight out to the sides
    assert check_programme(programme, person, made_for(person), protocol=PROTOCOL, library=LIBRARY) == ()


def test_with_room_for_the_arms_nothing_walks() -> None:
    person = replace(WELL, kit=replace(WEIGHTS, room="arms_out"))
    options = options_for(person, made_for(person), protocol=PROTOCOL, library=LIBRARY)
    assert options.find("lateral_raise") is not None
    carry = options.why_not("weighted_carry")
    assert carry is not None
    assert carry.reason == ("Carry and walk is left out: it needs room to walk a few steps, and there is less at home.")


def test_room_that_nobody_asked_about_is_asked_for_and_never_taken_for_too_small() -> None:
    unknown = options_for(WELL, made_for(WELL), protocol=PROTOCOL, library=LIBRARY)
    person = replace(WELL, kit=replace(HOME, room="few_steps"))
    known = options_for(person, made_for(person), protocol=PROTOCOL, library=LIBRARY)
    assert [o.movement_id for o in unknown.eligible] == [o.movement_id for o in known.eligible]
    before, after = unknown.find("weighted_carry"), known.find("weighted_carry")
    assert before is not None
    assert after is not None
    assert before.notes == ("Ask if there is room to walk a few steps for Carry and walk.",)
    assert after.notes == ()


def test_a_snapped_band_has_a_swap_at_once_with_what_else_is_at_home() -> None:
    """Reference scenario P-026: a bottle or own weight takes the band's place; the exercise is never left blank."""
    band = Band("long band", 13.0, 3.0, latex=False, can_grip=True)
    before = with_limits(kit=replace(HOME, bands=(band,), door_anchor=True))
    after = replace(before, kit=replace(before.kit, bands=()))
    options = options_for(after, made_for(after), protocol=PROTOCOL, library=LIBRARY)
    whole = options_for(before, made_for(before), protocol=PROTOCOL, library=LIBRARY)
    banded = [option for option in whole.eligible if any(choice.load.kit == "band" for choice in option.choices)]
    assert len(banded) > 10
    for option in banded:
        choice = next(choice for choice in option.choices if choice.load.kit == "band")
        exercise = exercise_for(option, choice, made_for(before).placement, library=LIBRARY, policy=POLICY)
        swaps = substitutes(exercise, options, frozenset(), after, LIBRARY)
        kits = {one.option.start.load.kit for one in swaps}
        assert kits, option.movement_id
        assert kits <= {"bottle", "own_weight"}


def test_a_home_with_no_equipment_is_not_taken_to_have_a_chair() -> None:
    """Reference scenario P-040: what a clear wall allows, what is uncovered, and what loan would cover it."""
    nothing = Kit((), (), (), (), False, False, False, True, False, 0.0)
    programme = draft(with_limits(kit=nothing))
    for exercise in exercises(programme):
        form = LIBRARY.form(exercise.movement_id, exercise.posture)
        assert not {"firm_chair", "armchair", "worktop"} & set(form.needs)
        assert exercise.dose.load.kit == "own_weight"
    assert "push" not in gaps(programme)  # the wall
    assert gaps(programme)
    assert any("This would cover it" in reason for reason in gaps(programme).values())

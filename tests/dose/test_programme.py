"""A drafted programme is balanced, within limits, and says why; a changed one is checked before it is signed."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from haleward.dose.loads import as_mass_kg
from haleward.dose.model import Dose, Exercise, Load, Prescription, Programme
from haleward.dose.prescription import prescribe
from haleward.dose.programme import check_programme, draft_programme, options_for
from haleward.movement.library import default_library
from haleward.plain import from_plain, to_plain
from haleward.record import Kit, Record, Restriction
from haleward.safety.protocol import default_protocol
from tests.dose.people import HOME, IRREGULAR, TODAY, WELL

PROTOCOL, LIBRARY = default_protocol(), default_library()
POLICY = PROTOCOL.policies.dose
SEATED_ONLY = replace(WELL, kit=replace(HOME, armchair=False, worktop=False, clear_wall=False))


def prescription_of(record: Record) -> Prescription:
    return prescribe(record, protocol=PROTOCOL, library=LIBRARY, today=TODAY)


def draft(record: Record, prescription: Prescription | None = None) -> Programme:
    return draft_programme(
        record,
        prescription or prescription_of(record),
        protocol=PROTOCOL,
        library=LIBRARY,
        today=TODAY,
        version=1,
    )


def check(programme: Programme, record: Record) -> tuple[str, ...]:
    return check_programme(programme, record, prescription_of(record), protocol=PROTOCOL, library=LIBRARY)


def exercises(programme: Programme) -> list[Exercise]:
    return [exercise for part in programme.parts for exercise in part.exercises]


def changed(programme: Programme, index: int = 0, **changes: Any) -> Programme:
    """The programme with one exercise of part one changed."""
    part = programme.parts[0]
    new = list(part.exercises)
    new[index] = replace(new[index], **changes)
    return replace(programme, parts=(replace(part, exercises=tuple(new)), *programme.parts[1:]))


def with_dose(programme: Programme, index: int = 0, **changes: Any) -> Programme:
    return changed(programme, index, dose=replace(programme.parts[0].exercises[index].dose, **changes))


@pytest.mark.parametrize("record", [WELL, IRREGULAR, SEATED_ONLY], ids=["well", "irregular", "few things"])
def test_a_draft_may_be_signed_as_it_is(record: Record) -> None:
    assert check(draft(record), record) == ()


def test_a_draft_covers_every_region_and_has_a_clear_day_between_its_parts() -> None:
    programme = draft(WELL)
    assert {exercise.region for exercise in exercises(programme)} == set(POLICY.required_regions)
    assert [len(part.exercises) for part in programme.parts] == [5, 5]
    assert [part.days for part in programme.parts] == [("monday",), ("friday",)]


def test_arms_and_legs_are_shared_between_the_parts_and_take_turns() -> None:
    for part in draft(WELL).parts:
        upper = [LIBRARY.movement(exercise.movement_id).upper for exercise in part.exercises]
        assert sum(upper) == 2
        assert upper[:4] == [False, True, False, True]
        assert len({exercise.movement_id for exercise in part.exercises}) == 5


@pytest.mark.parametrize("new", [True, None])
def test_a_new_person_or_one_not_known_starts_with_few_and_the_rest_is_named(new: bool | None) -> None:
    programme = draft(replace(WELL, new_to_exercise=new))
    assert [len(part.exercises) for part in programme.parts] == [3, 3]
    gaps = {left.region: left.reason for left in programme.left_out if not left.movement_id}
    assert set(gaps) == set(POLICY.required_regions) - {e.region for e in exercises(programme)}
    assert all("added one at a time" in reason for reason in gaps.values())
    said = programme.parts[0].reasons[0]
    assert said.startswith("New to exercise" if new else "It is not recorded")


@pytest.mark.parametrize("record", [WELL, IRREGULAR], ids=["well", "irregular"])
def test_a_programme_has_at_least_two_functional_movements(record: Record) -> None:
    found = [e for e in exercises(draft(record)) if LIBRARY.movement(e.movement_id).category == "functional"]
    assert len(found) >= 2


def test_balance_comes_in_when_the_placement_asks_for_it() -> None:
    programme = draft(IRREGULAR)
    assert prescription_of(IRREGULAR).placement.balance_emphasis
    assert "balance" in {exercise.region for exercise in exercises(programme)}


def test_an_irregular_pulse_on_a_beta_blocker_gets_support_bottles_and_no_heart_rate() -> None:
    programme, prescription = draft(IRREGULAR), prescription_of(IRREGULAR)
    assert {exercise.posture for exercise in exercises(programme)} <= {"seated", "hand_supported"}
    options = options_for(IRREGULAR, prescription, protocol=PROTOCOL, library=LIBRARY)
    loads = {as_mass_kg(choice.load) for option in options.eligible for choice in option.choices}
    assert loads == {0, 0.25, 0.5, 0.75, 1.0}
    assert {as_mass_kg(exercise.dose.load) for exercise in exercises(programme)} <= {0, 0.5}
    written = json.dumps(to_plain(programme)) + json.dumps(to_plain(prescription.intensity))
    assert "bpm" not in written.replace("low_bpm", "").replace("high_bpm", "")
    assert (prescription.intensity.low_bpm, prescription.intensity.high_bpm) == (None, None)


def test_a_region_nothing_fits_is_named_with_the_reason() -> None:
    surgeon = Restriction("sternum", "Arms rest", "Mr Surgeon", date(2026, 1, 1), date(2026, 5, 1))
    kit = replace(HOME, bottle_pairs_kg=(), firm_chair=False, worktop=False, armchair=False)
    programme = draft(replace(WELL, kit=kit, restrictions=(surgeon,)))
    gap = next(left for left in programme.left_out if left.region == "push" and not left.movement_id)
    assert gap.reason.startswith("Push is not covered: ")
    assert '"Arms rest" (Mr Surgeon' in gap.reason


def test_an_empty_home_says_what_is_not_covered_instead_of_assuming_a_chair() -> None:
    programme = draft(replace(WELL, kit=Kit()))
    gaps = {left.region for left in programme.left_out if not left.movement_id and left.region}
    assert gaps == set(POLICY.required_regions) - {"trunk"}
    assert any("functional movements" in left.reason for left in programme.left_out)


def test_every_exercise_carries_its_reasons_and_a_hold_has_seconds() -> None:
    for exercise in exercises(draft(WELL)):
        assert len(exercise.reasons) >= 4
        assert exercise.rule_ids
        form = LIBRARY.form(exercise.movement_id, exercise.posture)
        assert (exercise.dose.hold_s > 0) is form.hold
        assert exercise.dose.out_s == form.out_s
        assert exercise.dose.sets == POLICY.sets


def test_a_programme_is_stored_and_read_back_unchanged() -> None:
    programme = draft(IRREGULAR)
    assert from_plain(Programme, json.loads(json.dumps(to_plain(programme)))) == programme


def test_drafting_twice_gives_the_same() -> None:
    assert draft(WELL) == draft(WELL)


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"sets": 4}, "Sit to stand: the number of sets is 4; the protocol allows 1 to 3."),
        ({"sets": 0}, "Sit to stand: the number of sets is 0; the protocol allows 1 to 3."),
        ({"repetitions": 16}, "Sit to stand: the number of repetitions is 16; the protocol allows 8 to 15."),
        ({"repetitions": 7}, "Sit to stand: the number of repetitions is 7; the protocol allows 8 to 15."),
        ({"rest_s": 30}, "Sit to stand: the rest in seconds is 30; the protocol allows 60 to 120."),
        ({"hold_s": 10}, "Sit to stand is not a held position: give repetitions, not seconds to hold."),
        (
            {"load": Load("bottle", 2.0)},
            "Sit to stand: 2 kg is not among what this person may use now. Choose from: own weight, 0.25 kg (bottle "
            "filled to 250 mL), 0.5 kg, 0.75 kg (bottle filled to 750 mL), 1 kg.",
        ),
    ],
)
def test_a_dose_outside_the_limits_is_named(changes: dict[str, Any], sentence: str) -> None:
    assert check(with_dose(draft(WELL), **changes), WELL) == (sentence,)


@pytest.mark.parametrize(
    "changes", [{"sets": 3}, {"repetitions": 15}, {"repetitions": 8}, {"load": Load("bottle", 1.0)}]
)
def test_a_dose_at_the_limits_may_be_signed(changes: dict[str, Any]) -> None:
    assert check(with_dose(draft(WELL), **changes), WELL) == ()


def test_a_hold_needs_seconds_within_the_limits() -> None:
    programme = draft(WELL)
    tandem = next(e for e in exercises(programme) if e.dose.hold_s)
    swapped = changed(programme, **{name: getattr(tandem, name) for name in ("movement_id", "posture", "dose")})
    assert check(swapped, WELL) == ()
    longer = with_dose(swapped, hold_s=31)
    assert check(longer, WELL) == ("Heel-to-toe stand: the hold in seconds is 31; the protocol allows 10 to 30.",)
    none = with_dose(swapped, hold_s=0)
    assert check(none, WELL) == ("Heel-to-toe stand is a held position: give the seconds to hold, not repetitions.",)


def test_a_harder_posture_than_the_person_is_placed_in_is_refused() -> None:
    found = check(changed(draft(IRREGULAR), posture="standing"), IRREGULAR)
    assert found == ("Sit to stand is not available in free-standing. Choose seated and hand-supported.",)


def test_a_movement_that_is_left_out_is_refused_with_its_reason() -> None:
    found = check(changed(draft(WELL), movement_id="step_up"), WELL)
    assert found == ("Step-up is left out: it needs a step, which is not at home.",)
    assert check(changed(draft(WELL), movement_id="handstand"), WELL) == (
        "There is no movement handstand in the library. Choose another one.",
    )


def test_a_sixth_movement_a_second_of_the_same_and_an_empty_part_are_refused() -> None:
    programme = draft(WELL)
    part = programme.parts[0]
    six = replace(programme, parts=(replace(part, exercises=(*part.exercises, part.exercises[0])), programme.parts[1]))
    assert check(six, WELL) == (
        "Part one has 6 movements; the protocol allows 5. Take out 1.",
        "Sit to stand stands twice in part one. Keep one of them.",
    )
    empty = replace(programme, parts=(replace(part, exercises=()), programme.parts[1]))
    assert check(empty, WELL) == ("Part one has no movement. Add one or say why the part is left out.",)


def test_parts_on_days_in_a_row_are_refused() -> None:
    programme = draft(WELL)
    one, two = programme.parts
    close = replace(programme, parts=(one, replace(two, days=("tuesday",))))
    assert check(close, WELL) == ("Parts one and two are on Monday and Tuesday. Clear days needed between them: 1.",)
    none = replace(programme, parts=(one, replace(two, days=())))
    assert check(none, WELL) == ("Part two has no day. Choose one. Clear days needed between the parts: 1.",)


def test_the_wrong_person_another_protocol_and_a_higher_effort_are_refused() -> None:
    programme = draft(WELL)
    assert "belongs to person P-9" in check(replace(programme, person_id="P-9"), WELL)[0]
    assert "drafted under protocol" in check(replace(programme, protocol_version="0"), WELL)[0]
    assert check(replace(programme, effort_high=7), WELL) == (
        "The effort range is 3 to 7; the protocol allows 3 to 5.",
    )


def test_walking_stays_within_the_week() -> None:
    programme = draft(WELL)
    walking = replace(programme.walking, days=("monday",) * 6, bouts=0)
    assert check(replace(programme, walking=walking), WELL) == (
        "Walking is on 6 days; the protocol allows 5.",
        "Walking has 0 bouts of 20 minutes. Give at least one bout of one minute.",
    )


def test_a_gate_that_says_not_today_stops_the_signature() -> None:
    acute = replace(WELL, answers={**WELL.answers, "acute_dissection": True})
    programme = draft(acute)
    assert any(sentence.startswith("The gate says not today (") for sentence in check(programme, acute))


def test_kit_that_is_gone_shows_at_the_next_check() -> None:
    programme = draft(WELL)
    later = replace(WELL, kit=replace(HOME, bottle_pairs_kg=()))
    assert any("0.5 kg is not among what this person may use now" in sentence for sentence in check(programme, later))


def test_the_dose_carries_no_default_load() -> None:
    with pytest.raises(TypeError):
        Dose(sets=2, repetitions=10, out_s=2, pause_s=0, back_s=3, rest_s=90)  # type: ignore[call-arg]

"""Days with a rest between, and walking minutes and pace."""

from __future__ import annotations

import csv
import json
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haleward.capacity.model import Capacity
from haleward.dose.checks import check_programme
from haleward.dose.model import Prescription
from haleward.dose.prescription import prescribe
from haleward.dose.programme import draft_programme
from haleward.dose.week import WEEK, clear_days, resistance_days, walking_for
from haleward.movement.library import default_library
from haleward.record import Record, Restriction
from haleward.safety.facts import facts_of
from haleward.safety.protocol import default_protocol
from haleward.worksheet import Figure
from tests.dose.people import IRREGULAR, TODAY, WELL

PROTOCOL, LIBRARY = default_protocol(), default_library()
POLICY = PROTOCOL.policies.dose
CHECKS = Path(__file__).parent.parent / "checks" / "dose.csv"


def prescription_of(record: Record) -> Prescription:
    return prescribe(record, protocol=PROTOCOL, library=LIBRARY, today=TODAY)


def with_peak(record: Record, vo2_ml_per_kg_min: float) -> Prescription:
    prescription = prescription_of(record)
    capacity = prescription.capacity
    assert isinstance(capacity, Capacity)
    vo2 = Figure(vo2_ml_per_kg_min, "mL/kg/min")
    return replace(
        prescription,
        capacity=replace(capacity, vo2_ml_per_kg_min=vo2, energy_met=Figure(vo2_ml_per_kg_min / 3.5, "METs")),
    )


def pace_rows() -> list[dict[str, str]]:
    with CHECKS.open(encoding="utf-8", newline="") as file:
        return [row for row in csv.DictReader(file) if row["function"] == "pace_km_per_h"]


def test_clear_days_are_counted_the_shorter_way_round_the_week() -> None:
    assert clear_days("monday", "tuesday") == 0
    assert clear_days("monday", "thursday") == 2
    assert clear_days("sunday", "monday") == 0
    assert clear_days("saturday", "monday") == 1


def test_days_that_are_not_recorded_are_suggested_and_said_to_be() -> None:
    days, why, gap = resistance_days(replace(WELL, exercise_days=()), policy=POLICY)
    assert days == ("monday", "thursday")
    assert "no exercise days are recorded" in why
    assert gap is None


def test_two_days_in_a_row_leave_part_two_without_a_day_and_say_so() -> None:
    days, _, gap = resistance_days(replace(WELL, exercise_days=("monday", "tuesday")), policy=POLICY)
    assert days == ("monday",)
    assert gap is not None
    assert "Part two has no day" in gap.reason


def test_a_day_that_is_no_weekday_is_named() -> None:
    days, _, gap = resistance_days(replace(WELL, exercise_days=("lundi",)), policy=POLICY)
    assert days == ()
    assert gap is not None
    assert '"lundi" is not a weekday' in gap.reason


@given(st.sets(st.sampled_from(WEEK)))
def test_the_parts_always_have_a_clear_day_between(own: set[str]) -> None:
    days, why, gap = resistance_days(replace(WELL, exercise_days=tuple(own)), policy=POLICY)
    assert set(days) <= (own or set(WEEK))
    assert (len(days) == 2) is (gap is None)
    if gap is None:
        assert clear_days(*days) >= 1
        assert why
    else:
        possible = [(a, b) for a in own for b in own if a != b and clear_days(a, b) >= 1]
        assert possible == []


@pytest.mark.parametrize("row", pace_rows(), ids=lambda row: row["case"])
def test_the_pace_equals_the_table(row: dict[str, str]) -> None:
    given_values = json.loads(row["inputs"])
    prescription = with_peak(WELL, given_values["peak_vo2_ml_per_kg_min"])
    walking = walking_for(WELL, prescription, facts_of(WELL, today=TODAY), taken=(), protocol=PROTOCOL, library=LIBRARY)
    assert walking.pace_km_per_h == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize(("peak", "has_pace"), [(14.16, False), (14.17, True), (22.5, True), (22.51, False)])
def test_no_pace_is_given_where_the_walking_equation_does_not_hold(peak: float, has_pace: bool) -> None:
    walking = walking_for(
        WELL, with_peak(WELL, peak), facts_of(WELL, today=TODAY), taken=(), protocol=PROTOCOL, library=LIBRARY
    )
    assert (walking.pace_km_per_h is not None) is has_pace
    if not has_pace:
        assert "outside the 3 to 6 km/h" in walking.reasons[-1]


@pytest.mark.parametrize(("peak", "bouts", "minutes"), [(17.4, 2, 5), (17.5, 1, 20)])
def test_low_capacity_walks_in_short_bouts(peak: float, bouts: int, minutes: int) -> None:
    walking = walking_for(
        WELL, with_peak(WELL, peak), facts_of(WELL, today=TODAY), taken=(), protocol=PROTOCOL, library=LIBRARY
    )
    assert (walking.bouts, walking.bout_minutes) == (bouts, minutes)
    assert (walking.rest_minutes > 0) is (bouts > 1)


def test_unknown_capacity_walks_in_short_bouts_without_a_pace_and_says_why() -> None:
    untested = replace(WELL, walk=None)
    walking = walking_for(
        untested,
        prescription_of(untested),
        facts_of(untested, today=TODAY),
        taken=(),
        protocol=PROTOCOL,
        library=LIBRARY,
    )
    assert (walking.bouts, walking.pace_km_per_h) == (2, None)
    assert "capacity is not known" in walking.reasons[0]


@pytest.mark.parametrize(("answer", "bouts"), [(False, 1), (True, 2), (None, 2)])
def test_heart_failure_or_not_knowing_of_it_walks_in_short_bouts(answer: bool | None, bouts: int) -> None:
    facts = {name: value for name, value in facts_of(WELL, today=TODAY).items() if name != "chf_present"}
    if answer is not None:
        facts["chf_present"] = answer
    walking = walking_for(WELL, prescription_of(WELL), facts, taken=(), protocol=PROTOCOL, library=LIBRARY)
    assert walking.bouts == bouts


@pytest.mark.parametrize(
    ("answers", "bouts"),
    [
        ({"lvef_pct": 39}, 2),
        ({"nyha": 3}, 2),
        ({"lvef_pct": 40}, 1),
        ({"lvef_pct": 40, "nyha": 2}, 1),
        ({}, 1),  # not recorded: the gate asks
    ],
)
def test_a_weak_heart_walks_in_short_bouts_by_the_rule_of_the_protocol(answers: dict[str, float], bouts: int) -> None:
    facts = {**facts_of(WELL, today=TODAY), **answers}
    made = prescription_of(WELL)
    walking = walking_for(WELL, made, facts, taken=(), protocol=PROTOCOL, library=LIBRARY)
    assert walking.bouts == bouts
    assert ("R113" in walking.rule_ids) is (bouts == 2)
    assert ("Ejection fraction below 40%" in walking.reasons[0]) is (bouts == 2)
    dose = replace(POLICY, short_bouts_rule=None)  # a protocol from before there was such a setting
    older = replace(PROTOCOL, policies=replace(PROTOCOL.policies, dose=dose))
    assert walking_for(WELL, made, facts, taken=(), protocol=older, library=LIBRARY).bouts == 1


def test_a_person_placed_seated_marches_in_a_chair() -> None:
    prescription = prescription_of(WELL)
    seated = replace(prescription, placement=replace(prescription.placement, posture="seated"))
    walking = walking_for(WELL, seated, facts_of(WELL, today=TODAY), taken=(), protocol=PROTOCOL, library=LIBRARY)
    assert (walking.movement_id, walking.posture, walking.pace_km_per_h) == ("march_on_spot", "seated", None)
    assert any("Seated marching" in reason for reason in walking.reasons)


def test_walking_takes_days_without_a_resistance_part_first() -> None:
    person = replace(IRREGULAR, exercise_days=())
    walking = walking_for(
        person,
        prescription_of(person),
        facts_of(person, today=TODAY),
        taken=("monday", "thursday"),
        protocol=PROTOCOL,
        library=LIBRARY,
    )
    assert walking.days == ("tuesday", "wednesday", "friday")
    assert len(walking.days) == POLICY.walking_days_new


def forbidding(*movement_ids: str) -> Record:
    ban = Restriction("movement", "Not on that foot", "Dr D", TODAY, TODAY, movement_ids=movement_ids)
    return replace(WELL, restrictions=(ban,))


@pytest.mark.parametrize(
    ("banned", "movement_id", "planned"),
    [((), "walking", True), (("walking",), "march_on_spot", True), (("walking", "march_on_spot"), "walking", False)],
)
def test_a_restriction_on_walking_leaves_a_march_and_one_on_both_leaves_no_days(
    banned: tuple[str, ...], movement_id: str, planned: bool
) -> None:
    person = forbidding(*banned)
    draft = draft_programme(person, prescription_of(person), protocol=PROTOCOL, library=LIBRARY, today=TODAY, version=1)
    assert (draft.walking.movement_id, bool(draft.walking.days)) == (movement_id, planned)
    assert (draft.walking.pace_km_per_h is None) is bool(banned)
    assert any("Not on that foot" in reason for reason in draft.walking.reasons) is bool(banned)
    assert check_programme(draft, person, prescription_of(person), protocol=PROTOCOL, library=LIBRARY) == ()


def test_a_walk_that_a_restriction_forbids_is_not_signed() -> None:
    person = forbidding("walking")
    draft = draft_programme(WELL, prescription_of(WELL), protocol=PROTOCOL, library=LIBRARY, today=TODAY, version=1)
    assert check_programme(draft, person, prescription_of(person), protocol=PROTOCOL, library=LIBRARY) == (
        'Walking is planned, and "Not on that foot" (Dr D, 2 March 2026, review 2 March 2026) forbids it. '
        "Take out its days, or draft the programme again.",
    )

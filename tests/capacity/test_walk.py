"""A walk becomes a capacity with its error and its cautions, or a question."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haleward.capacity.model import Capacity
from haleward.capacity.validity import stop_reason
from haleward.capacity.walk import estimate_capacity
from haleward.errors import HalewardError
from haleward.record import Event, Record, WalkTest
from haleward.worksheet import NotComputed
from tests.formula.arguments import FEW

TODAY = date(2026, 11, 20)
ROSS, CAHALIN = "peak_vo2_six_minute_walk_ross_2010", "peak_vo2_six_minute_walk_cahalin_1996"
BUCKLEY, SINGH = "vo2_shuttle_walk_buckley_2016", "peak_vo2_shuttle_walk_singh_1994"
SIX = WalkTest("six_minute_walk", 420, date(2026, 11, 2), course_m=30, practice_done=True, symptoms=False)
SHUTTLE = WalkTest("shuttle_walk", 400, date(2026, 11, 2), course_m=10, symptoms=False)


def estimate(walk: WalkTest | None, *, six: str = ROSS, shuttle: str = BUCKLEY, **fields: object) -> object:
    record = replace(Record("p-1", "Wren", date(2026, 11, 2), walk=walk), **fields)  # type: ignore[arg-type]
    return estimate_capacity(record, six_minute_method=six, shuttle_method=shuttle, today=TODAY)


def capacity(walk: WalkTest, **more: object) -> Capacity:
    found = estimate(walk, **more)  # type: ignore[arg-type]
    assert isinstance(found, Capacity)
    return found


def refused(walk: WalkTest | None) -> NotComputed:
    found = estimate(walk)
    assert isinstance(found, NotComputed)
    return found


def test_a_six_minute_walk_gives_the_worked_example() -> None:
    found = capacity(SIX)
    assert found.vo2_ml_per_kg_min.value == pytest.approx(15.182)
    assert found.vo2_ml_per_kg_min.low == pytest.approx(15.182 - 3.82)
    assert found.vo2_ml_per_kg_min.high == pytest.approx(15.182 + 3.82)
    assert found.worksheet.result == "about 15.2 mL/kg/min, likely 11.4 to 19.0; about 4.3 METs, likely 3.2 to 5.4"
    assert found.method == ROSS
    assert found.ask == ()


def test_the_working_shows_pace_estimate_range_and_the_walk_itself() -> None:
    steps = {step.title: step for step in capacity(SIX).worksheet.steps}
    assert steps["Mean walking speed of the six-minute walk"].result == 70
    assert steps["METs of this walk itself"].result == pytest.approx(3.0)
    assert steps["Likely range of the estimate"].result == "11.4 to 19.0"
    assert steps["Mean walking speed of the six-minute walk"].inputs[0].origin == "six-minute walk, 2 Nov 2026"


def test_a_shuttle_walk_counts_the_last_completed_level() -> None:
    found = capacity(SHUTTLE)
    assert found.vo2_ml_per_kg_min.value == pytest.approx(13.456, abs=0.001)  # level 6, 4.86 km/h
    assert capacity(replace(SHUTTLE, distance_m=410)).vo2_ml_per_kg_min == found.vo2_ml_per_kg_min
    assert capacity(replace(SHUTTLE, distance_m=420)).vo2_ml_per_kg_min.value > found.vo2_ml_per_kg_min.value


def test_a_method_without_its_own_error_takes_the_general_one_and_says_so() -> None:
    found = capacity(SHUTTLE)
    assert found.vo2_ml_per_kg_min.high == pytest.approx(found.vo2_ml_per_kg_min.value + 6.8)
    assert any("this method states none of its own" in text for text in found.worksheet.cautions)


def test_the_protocol_may_name_the_rival_methods() -> None:
    assert capacity(SIX, six=CAHALIN).vo2_ml_per_kg_min.value == pytest.approx(16.58)
    assert capacity(SHUTTLE, shuttle=SINGH).vo2_ml_per_kg_min.value == pytest.approx(14.19)


@FEW
@given(metres=st.floats(0.01, 1000))
def test_the_likely_range_holds_the_estimate_and_is_never_negative(metres: float) -> None:
    for method in (ROSS, CAHALIN):
        figure = capacity(replace(SIX, distance_m=metres), six=method).vo2_ml_per_kg_min
        assert figure.low is not None
        assert figure.high is not None
        assert 0 <= figure.low <= figure.value <= figure.high


@FEW
@given(shorter=st.integers(3, 101), more=st.integers(0, 50))
def test_walking_further_never_lowers_capacity(shorter: int, more: int) -> None:
    longer = min(102, shorter + more)
    near, far = (capacity(replace(SHUTTLE, distance_m=10 * n)).energy_met.value for n in (shorter, longer))
    assert near <= far


def test_a_pace_beyond_walking_has_no_walking_cost_but_a_caution() -> None:
    found = capacity(replace(SHUTTLE, distance_m=1020))
    assert "METs of this walk itself" not in {step.title for step in found.worksheet.steps}
    assert any("142.2 m/min is outside" in text for text in found.worksheet.cautions)


def test_no_walk_asks_for_one() -> None:
    assert refused(None).ask == ("Can a six-minute walk or a shuttle walk be done, and how far did they walk?",)


def test_a_walk_after_today_asks_for_its_date() -> None:
    found = refused(replace(SIX, tested_on=date(2026, 11, 21)))
    assert found.reason == "The walk test is dated 21 Nov 2026, after today."
    assert isinstance(estimate(replace(SIX, tested_on=TODAY)), Capacity)


@pytest.mark.parametrize(
    "walk", [replace(SIX, distance_m=0), replace(SIX, distance_m=1001), replace(SHUTTLE, distance_m=1030)]
)
def test_an_impossible_distance_is_asked_again(walk: WalkTest) -> None:
    assert refused(walk).ask == ("What distance was walked in which test?",)


def test_a_distance_that_is_not_a_number_is_asked_again() -> None:
    assert "nan m is not possible" in refused(replace(SIX, distance_m=float("nan"))).reason


def test_a_shuttle_walk_without_a_level_asks_for_another_test() -> None:
    assert refused(replace(SHUTTLE, distance_m=20)).ask == ("Can a six-minute walk be done instead?",)
    assert isinstance(estimate(replace(SHUTTLE, distance_m=30)), Capacity)


def test_blank_course_and_symptoms_are_asked() -> None:
    found = capacity(replace(SIX, course_m=None, symptoms=None))
    assert found.ask == ("How long was the walking course?", "Were there any symptoms during or after the walk?")
    assert capacity(replace(SHUTTLE, course_m=None)).ask == ()


@pytest.mark.parametrize(
    ("walk", "said"),
    [
        (replace(SIX, course_m=20), "The course was 20 m; on a course under 30 m"),
        (replace(SHUTTLE, course_m=9), "The course was 9 m; the shuttle walk is set for 10 m"),
        (replace(SIX, aid="stick"), "Walked with an aid (stick)"),
        (replace(SIX, symptoms=True), "There were symptoms during the walk"),
        (replace(SIX, stopped_for="Chest pain"), "There were symptoms during the walk"),
        (replace(SIX, stopped_for="heart_rate_limit"), "The walk ended at a heart-rate limit"),
        (replace(SHUTTLE, stopped_for="Reached heart-rate limit"), "The walk ended at a heart-rate limit"),
        (replace(SIX, stopped_for="knee pain"), "The walk ended early (knee pain)"),
        (replace(SIX, practice_done=False), "This was a first walk"),
        (replace(SIX, distance_m=240), "The mean pace of 40.0 m/min is outside the 50 to 100 m/min"),
        (replace(SHUTTLE, distance_m=1020), "The whole test was walked"),
    ],
)
def test_what_weakens_a_walk_is_said(walk: WalkTest, said: str) -> None:
    plain = SIX if walk.kind == "six_minute_walk" else SHUTTLE
    assert any(text.startswith(said) for text in capacity(walk).worksheet.cautions)
    assert not any(text.startswith(said) for text in capacity(plain).worksheet.cautions)


@pytest.mark.parametrize(("aid", "stop"), [("None", ""), (" no ", "completed"), ("", "Completed")])
def test_a_full_walk_without_aid_has_no_such_caution(aid: str, stop: str) -> None:
    assert capacity(replace(SIX, aid=aid, stopped_for=stop)).worksheet.cautions == capacity(SIX).worksheet.cautions


def test_an_event_after_the_walk_is_said() -> None:
    later = (Event("pci", date(2026, 11, 10)), Event("mi", date(2026, 11, 2)), Event("cabg", None))
    assert any("on 10 Nov 2026 came after this walk" in text for text in capacity(SIX, events=later).worksheet.cautions)
    assert not any("came after" in text for text in capacity(SIX, events=later[1:]).worksheet.cautions)


def test_every_capacity_says_that_mets_are_approximate() -> None:
    assert any("overstates resting use" in text for text in capacity(SIX).worksheet.cautions)


@pytest.mark.parametrize(
    ("method", "said"),
    [
        ("peak_vo2_six_minute_walk_ros_2010", "did you mean peak_vo2_six_minute_walk_ross_2010"),
        ("body_mass_index", "cannot turn a six-minute walk into oxygen uptake"),
        (BUCKLEY, "cannot turn a six-minute walk into oxygen uptake; it takes speed_km_per_h"),
    ],
)
def test_a_method_that_does_not_fit_is_refused(method: str, said: str) -> None:
    with pytest.raises(HalewardError, match=said):
        estimate(SIX, six=method)


@pytest.mark.parametrize(
    ("text", "code"),
    [("", ""), ("  ", ""), ("Tired legs", "leg_fatigue"), ("leg_fatigue", "leg_fatigue"), ("a dog", "other")],
)
def test_a_stop_reason_is_known_by_code_or_label(text: str, code: str) -> None:
    assert stop_reason(text) == code


def test_a_course_of_exactly_the_shortest_length_has_no_caution() -> None:
    assert not any(text.startswith("The course") for text in capacity(SIX).worksheet.cautions)

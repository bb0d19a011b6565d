"""Norms hold for their own ages and sex and nowhere else; a mean alone flags nobody."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from haleward.capacity.balance import FourStage, four_stage_balance
from haleward.capacity.function_tests import chair_stand_score, findings, gait_class, sppb
from haleward.capacity.norms import norm_findings, norms, norms_for, z_score
from haleward.capacity.norms import tests_with_norms as known_tests
from haleward.errors import HalewardError, Inconsistent, OutOfRange
from haleward.physiology.finding import Finding
from haleward.record import FunctionTests, Record
from haleward.worksheet import NotComputed


def only(test: str, value: float, age: float, sex: Any = None) -> Finding:
    found = norm_findings(test, value, age_y=age, sex=sex)
    assert len(found) == 1
    assert isinstance(found[0], Finding)
    return found[0]


@pytest.mark.parametrize("test", known_tests())
@pytest.mark.parametrize("sex", ["female", "male"])
def test_every_age_has_a_norm_of_its_own_ages_or_none(test: str, sex: Any) -> None:
    for age in range(120):
        found = norms_for(test, age_y=age, sex=sex)
        if isinstance(found, NotComputed):
            assert f"at {age} years" in found.reason
            assert not any(norm.holds_at(age, sex) for norm in norms(test))
        else:
            assert len(found) == 1
            assert found[0].age_from <= age <= (found[0].age_to or 120)


@pytest.mark.parametrize(
    ("test", "age", "ages"),
    [
        ("up_and_go_s", 59, "60 to 99"),
        ("up_and_go_s", 100, "60 to 99"),
        ("chair_rises_5_s", 90, "60 to 89"),
        ("gait_speed_m_per_s", 19, "20 to 99"),
        ("single_leg_s", 59, "60 to 99"),
        ("single_leg_best_of_3_s", 17, "18 to 99"),
        ("grip_kg", 19, "20 and over"),
        ("shuttle_walk_m", 39, "40 and over"),
        ("chair_stands_30s", 95, "60 to 94"),
    ],
)
def test_outside_the_tabled_ages_there_is_no_norm_and_it_says_so(test: str, age: int, ages: str) -> None:
    found = norm_findings(test, 10, age_y=age, sex="female")
    assert isinstance(found[0], NotComputed)
    assert found[0].reason == f"There is no norm of this test at {age} years: the published ages are {ages}."


def test_a_band_lasts_until_the_birthday_that_ends_it() -> None:
    assert only("up_and_go_s", 9.1, 69.99).flagged
    assert not only("up_and_go_s", 9.1, 70).flagged


@pytest.mark.parametrize(("value", "flagged"), [(9.0, False), (9.01, True)])
def test_an_up_and_go_is_worse_only_over_the_upper_end(value: float, flagged: bool) -> None:
    found = only("up_and_go_s", value, 65)
    assert found.flagged is flagged
    assert ("worse than average" in found.meaning) is True
    assert "people of 60 to 69 years" in found.meaning


def test_a_mean_alone_flags_nobody() -> None:
    slow = only("gait_speed_m_per_s", 0.4, 65, "male")
    assert slow.flagged is False
    assert slow.meaning == "0.94 m/s below the mean of 1.34 m/s for men of 60 to 69 years"
    assert only("gait_speed_m_per_s", 1.34, 65, "male").meaning.startswith("at the mean of 1.34 m/s")
    assert "above the mean" in only("gait_speed_m_per_s", 1.5, 65, "male").meaning


def test_a_grip_under_the_lower_limit_of_its_spread_is_flagged() -> None:
    weak, fair = only("grip_kg", 26.3, 65, "male"), only("grip_kg", 26.4, 65, "male")
    assert (weak.flagged, fair.flagged) == (True, False)  # 40 − 1.645 × 8.3 = 26.35
    assert "under the lower limit of normal, 26.3 kg" in weak.meaning
    assert "standard deviation 8.3 kg" in fair.meaning


def test_a_shuttle_walk_under_the_lower_limit_is_flagged() -> None:
    assert only("shuttle_walk_m", 648, 64).flagged
    assert not only("shuttle_walk_m", 649, 64).flagged


@pytest.mark.parametrize(
    ("count", "place", "flagged"), [(9, "below", True), (10, "within", False), (16, "above", False)]
)
def test_a_chair_stand_lies_below_within_or_above_the_normal_range(count: int, place: str, flagged: bool) -> None:
    found = only("chair_stands_30s", count, 76, "female")
    assert found.meaning.startswith(f"{place} the normal range of 10 to 15")
    assert found.flagged is flagged


def test_the_two_ways_of_scoring_one_leg_are_kept_apart() -> None:
    best, mean = only("single_leg_best_of_3_s", 20, 65), only("single_leg_mean_of_3_s", 20, 65)
    assert ("32.1 s" in best.meaning, "26.9 s" in mean.meaning) == (True, True)


def test_a_norm_by_sex_asks_for_the_sex_and_one_of_both_does_not() -> None:
    grip = norm_findings("grip_kg", 30, age_y=65, sex=None)[0]
    assert isinstance(grip, NotComputed)
    assert grip.ask == ("Which sex is recorded for norms?",)
    assert isinstance(norm_findings("up_and_go_s", 8, age_y=65, sex=None)[0], Finding)
    no_age = norm_findings("up_and_go_s", 8, age_y=None, sex=None)[0]
    assert isinstance(no_age, NotComputed)
    assert no_age.ask == ("What is the date of birth?",)


def test_a_test_without_norms_names_those_that_have_some() -> None:
    with pytest.raises(
        HalewardError, match="no published norm of 'hop' here; there is one of chair_stands_30s, up_and"
    ):
        norms("hop")


@pytest.mark.parametrize("value", [-1, float("nan"), None])
def test_a_value_that_cannot_be_is_refused(value: Any) -> None:
    with pytest.raises(HalewardError):
        norm_findings("up_and_go_s", value, age_y=65, sex=None)


@given(value=st.floats(0, 80), more=st.floats(0, 20))
@settings(max_examples=40)
def test_a_z_score_grows_with_the_value(value: float, more: float) -> None:
    norm = norms("grip_kg")[0]
    first, second = z_score(norm, value), z_score(norm, value + more)
    assert first is not None
    assert second is not None
    assert first <= second
    assert z_score(norms("gait_speed_m_per_s")[0], 1.0) is None


@given(speed=st.floats(0, 3), more=st.floats(0, 0.5))
@settings(max_examples=40)
def test_a_faster_walk_is_never_classed_lower(speed: float, more: float) -> None:
    order = ["about the house", "with limits", "walks in the community (over"]
    places = [
        next(i for i, words in enumerate(order) if words in gait_class(min(3, one)).meaning)
        for one in (speed, speed + more)
    ]
    assert places[0] <= places[1]


def test_stands_with_arms_score_nothing_and_unknown_arms_are_asked() -> None:
    assert chair_stand_score(repetitions=12, arms_used=False) == 12
    found = chair_stand_score(repetitions=12, arms_used=None)
    assert isinstance(found, NotComputed)
    assert found.ask == ("Were the arms used to stand up?",)


def test_four_stages_stop_at_the_first_not_held() -> None:
    found = four_stage_balance(side_by_side_s=10, semi_tandem_s=8, tandem_s=None, one_leg_s=None)
    assert isinstance(found, FourStage)
    assert (found.stages_held, found.stopped_at, found.stopped_after_s) == (1, "semi_tandem", 8)
    assert found.text == "stage 1 of 4 held; semi tandem for 8.0 s"
    assert [one.flagged for one in found.findings] == [True]
    assert "tandem stance not reached" in found.findings[0].meaning


@pytest.mark.parametrize(("tandem", "one_leg", "flagged"), [(9.9, None, True), (10, 0, False), (10, 10, False)])
def test_a_tandem_under_ten_seconds_is_a_sign(tandem: float, one_leg: float | None, flagged: bool) -> None:
    found = four_stage_balance(side_by_side_s=10, semi_tandem_s=10, tandem_s=tandem, one_leg_s=one_leg)
    assert isinstance(found, FourStage)
    assert [one.flagged for one in found.findings] == [flagged]


@pytest.mark.parametrize(("held", "asked"), [(0, "side-by-side"), (1, "semi-tandem"), (2, "tandem"), (3, "one-leg")])
def test_the_next_stance_is_asked_for(held: int, asked: str) -> None:
    names = ("side_by_side_s", "semi_tandem_s", "tandem_s", "one_leg_s")
    given_s: dict[str, Any] = {name: 10 if place < held else None for place, name in enumerate(names)}
    found = four_stage_balance(**given_s)
    assert isinstance(found, NotComputed)
    assert f"was the {asked} stance held" in found.ask[0]


def test_an_impossible_stance_is_refused() -> None:
    with pytest.raises(OutOfRange):
        four_stage_balance(side_by_side_s=-1, semi_tandem_s=None, tandem_s=None, one_leg_s=None)


def test_a_gait_course_has_one_length() -> None:
    parts: dict[str, Any] = {"side_by_side_s": 10, "semi_tandem_s": 10, "tandem_s": 10, "chair_rises_5_s": 11}
    with pytest.raises(Inconsistent, match="give the one that was walked"):
        sppb(**parts, gait_4m_s=4, gait_3m_s=3)
    short, longer = sppb(**parts, gait_4m_s=None, gait_3m_s=4.0), sppb(**parts, gait_4m_s=4.0)
    assert not isinstance(short, NotComputed)
    assert not isinstance(longer, NotComputed)
    assert (short.gait, longer.gait) == (3, 4)


def test_norms_follow_the_age_on_the_day_of_the_tests() -> None:
    record = Record(
        "p-1",
        "Wren",
        date(2026, 11, 2),
        born_on=date(1956, 11, 1),
        sex="female",
        tests=FunctionTests(tested_on=date(2026, 10, 1), up_and_go_s=9.1),
    )
    found = findings(record, today=date(2026, 11, 2))
    assert any(isinstance(one, Finding) and "60 to 69" in one.meaning and one.flagged for one in found)

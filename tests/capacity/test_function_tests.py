"""Function tests: points, cut-offs and norms at their edges; what is missing is asked."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from haleward.capacity.function_tests import Finding, SppbScore, chair_stand_finding, findings, findings_for, sppb
from haleward.errors import HalewardError, OutOfRange
from haleward.record import FunctionTests, Record
from haleward.worksheet import NotComputed

BEST: dict[str, Any] = {
    "side_by_side_s": 10,
    "semi_tandem_s": 10,
    "tandem_s": 10,
    "gait_4m_s": 4.0,
    "chair_rises_5_s": 10.0,
}


def score(**changes: Any) -> SppbScore:
    found = sppb(**{**BEST, **changes})
    assert isinstance(found, SppbScore)
    return found


@pytest.mark.parametrize(
    ("seconds", "points"), [(4.81, 4), (4.815, 3), (4.82, 3), (6.20, 3), (6.21, 2), (8.70, 2), (8.71, 1), ("unable", 0)]
)
def test_gait_points_change_at_the_published_hundredth(seconds: Any, points: int) -> None:
    assert score(gait_4m_s=seconds).gait == points


@pytest.mark.parametrize(
    ("seconds", "points"),
    [(11.19, 4), (11.20, 3), (13.69, 3), (13.70, 2), (16.69, 2), (16.70, 1), (60.0, 1), (60.01, 0), ("unable", 0)],
)
def test_rise_points_change_at_the_published_hundredth(seconds: Any, points: int) -> None:
    assert score(chair_rises_5_s=seconds).chair_rises == points


@pytest.mark.parametrize(
    ("stances", "points"),
    [
        ((9.9, None, None), 0),
        ((10, 9.9, None), 1),
        ((10, 10, 2.99), 2),
        ((10, 10, 3), 3),
        ((10, 10, 9.99), 3),
        ((10, 10, 10), 4),
    ],
)
def test_balance_stops_at_the_first_failed_stance(
    stances: tuple[float, float | None, float | None], points: int
) -> None:
    names = ("side_by_side_s", "semi_tandem_s", "tandem_s")
    assert score(**dict(zip(names, stances, strict=True))).balance == points


@pytest.mark.parametrize("missing", sorted(BEST))
def test_a_missing_part_is_asked_and_never_counts_as_none(missing: str) -> None:
    found = sppb(**{**BEST, missing: None})
    assert isinstance(found, NotComputed)
    assert len(found.ask) == 1


def test_a_negative_time_is_refused() -> None:
    with pytest.raises(OutOfRange):
        sppb(**{**BEST, "tandem_s": -1})


@pytest.mark.parametrize(
    ("sex", "age", "count", "flagged"),
    [("male", 60, 13, True), ("male", 60, 14, False), ("female", 94, 3, True), ("female", 94, 4, False)],
)
def test_the_chair_stand_is_held_against_age_and_sex(sex: Any, age: int, count: int, flagged: bool) -> None:
    found = chair_stand_finding(repetitions=count, age_y=age, sex=sex)
    assert isinstance(found, Finding)
    assert found.flagged is flagged


@pytest.mark.parametrize("age", [59, 95])
def test_there_is_no_chair_stand_norm_outside_its_ages(age: int) -> None:
    found = chair_stand_finding(repetitions=10, age_y=age, sex="male")
    assert isinstance(found, NotComputed)
    assert f"at {age} years" in found.reason


def test_a_norm_asks_for_age_and_sex() -> None:
    found = chair_stand_finding(repetitions=10, age_y=None, sex=None)
    assert isinstance(found, NotComputed)
    assert found.ask == ("What is the date of birth?", "Which sex is recorded for norms?")


@pytest.mark.parametrize(
    ("test", "value", "met"),
    [
        ("up_and_go_s", 11.9, 0),
        ("up_and_go_s", 12.0, 1),
        ("up_and_go_s", 20.0, 3),
        ("tandem_s", 10.0, 0),
        ("tandem_s", 9.9, 1),
        ("gait_speed_m_per_s", 0.8, 2),
        ("gait_speed_m_per_s", 0.81, 1),
        ("gait_speed_m_per_s", 1.0, 0),
        ("sppb_points", 10, 0),
        ("sppb_points", 9, 2),
        ("sppb_points", 8, 3),
    ],
)
def test_cut_offs_are_met_at_their_published_side(test: str, value: float, met: int) -> None:
    assert sum(one.flagged for one in findings_for(test, value)) == met


def test_cut_offs_by_sex_are_left_out_without_it() -> None:
    assert findings_for("grip_kg", 20.0) == ()
    assert len(findings_for("grip_kg", 20.0, sex="female")) == 2


def test_a_test_without_cut_offs_is_named() -> None:
    with pytest.raises(HalewardError, match="no cut-off for the test 'hop'"):
        findings_for("hop", 1.0)


def test_only_recorded_tests_are_found() -> None:
    record = Record("p-1", "Wren", date(2026, 11, 2), born_on=date(1950, 1, 1), sex="female")
    assert findings(record, today=date(2026, 11, 2)) == ()
    tested = Record(
        "p-1",
        "Wren",
        date(2026, 11, 2),
        born_on=date(1950, 1, 1),
        sex="female",
        tests=FunctionTests(chair_stands_30s=9, tandem_s=6.4),
    )
    found = findings(tested, today=date(2026, 11, 2))
    assert [(one.test, one.flagged) for one in found if isinstance(one, Finding)] == [
        ("chair_stands_30s", True),
        ("tandem_s", True),
        ("chair_stands_30s", True),
    ]
    assert "below the normal range of 10 to 15 for women of 75 to 79 years" in str(found[-1])

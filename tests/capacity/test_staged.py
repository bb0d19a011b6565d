"""The limits of reading heart rate over stages, each from both sides."""

from __future__ import annotations

from typing import Any

import pytest

from haleward.capacity.extrapolation import MaximalRate, Point, measured_maximum
from haleward.capacity.staged import StagedResult, StagedTest, read, refusal
from haleward.capacity.void import Validity
from haleward.worksheet import Figure, NotComputed

POINTS = (Point(10, 100), Point(20, 120))


def staged(points: tuple[Point, ...] = POINTS, *, bpm: float = 130, **more: Any) -> StagedTest:
    top = max(points, key=lambda one: one.vo2_ml_per_kg_min)
    return StagedTest("A test", points, top, measured_maximum(bpm=bpm), Validity("step_test"), **more)


def peak(test: StagedTest) -> Figure:
    found = read(test).peak_vo2
    assert isinstance(found, Figure)
    return found


@pytest.mark.parametrize(("bpm", "given"), [(140, True), (140.1, False)])
def test_exactly_one_and_a_half_times_the_top_stage_is_given(bpm: float, given: bool) -> None:
    assert isinstance(read(staged(bpm=bpm)).peak_vo2, Figure) is given


def test_the_same_work_twice_is_no_line() -> None:
    found = read(staged((Point(10, 100), Point(10, 110), Point(20, 120))))
    assert isinstance(found.peak_vo2, NotComputed)
    assert found.peak_vo2.reason.startswith("Heart rate does not rise with oxygen uptake")


@pytest.mark.parametrize(("rate", "refused"), [(104.9, True), (105, False)])
def test_the_rise_counts_from_five(rate: float, refused: bool) -> None:
    assert bool(refusal(staged((Point(10, 100), Point(20, rate)), bpm=107))[0]) is refused


@pytest.mark.parametrize(("resting", "refused"), [(90, False), (90.1, True), (None, False)])
def test_ten_above_rest_is_enough(resting: float | None, refused: bool) -> None:
    assert bool(refusal(staged(resting_bpm=resting))[0]) is refused


@pytest.mark.parametrize(("bpm", "refused"), [(120, True), (120.1, False)])
def test_the_maximum_is_above_every_rate_seen(bpm: float, refused: bool) -> None:
    assert bool(refusal(staged(bpm=bpm))[0]) is refused


def test_the_rate_of_a_top_stage_that_is_left_out_counts_too() -> None:
    test = StagedTest("A test", POINTS, Point(25, 135), measured_maximum(bpm=130), Validity("step_test"))
    assert "not above the heart rate of the top stage (135 bpm)" in refusal(test)[0]


@pytest.mark.parametrize(("rate", "told"), [(99.9, True), (100, False)])
def test_a_light_start_is_told_under_a_hundred(rate: float, told: bool) -> None:
    cautions = read(staged((Point(10, rate), Point(20, 120)))).worksheet.cautions
    assert any("the line starts low" in text for text in cautions) is told


def test_both_parts_of_the_error_of_an_equation_are_taken() -> None:
    figure = peak(staged(error_vo2=1.0, error_fraction=0.1))
    assert (figure.value, figure.low, figure.high) == (25, pytest.approx(21.5), pytest.approx(28.5))
    top = read(staged(error_vo2=1.0, error_fraction=0.1)).top_vo2
    assert (top.value, top.low, top.high) == (20, pytest.approx(17), pytest.approx(23))


def test_the_likely_range_is_never_below_nothing() -> None:
    wild = measured_maximum(bpm=130)
    unsure = MaximalRate(Figure(130, "bpm", 70, 190), "named", True, wild.step)
    figure = peak(StagedTest("A test", POINTS, POINTS[-1], unsure, Validity("step_test")))
    assert (figure.value, figure.low, figure.high) == (25, 0, pytest.approx(55))


def test_what_voids_comes_before_what_is_unknown() -> None:
    validity = Validity("step_test", void=("It is void.",), ask=("Why?",))
    test = StagedTest("A test", POINTS, POINTS[-1], measured_maximum(bpm=130), validity)
    assert refusal(test) == ("Heart rate cannot be used here. It is void.", ())


def test_the_cautions_of_person_and_test_are_kept_in_both_results() -> None:
    validity = Validity("step_test", cautions=("Of the person.",))
    for bpm in (130, 200):
        test = StagedTest("A test", POINTS, POINTS[-1], measured_maximum(bpm=bpm), validity, cautions=("Of the test.",))
        found: StagedResult = read(test)
        assert {"Of the person.", "Of the test."} <= set(found.worksheet.cautions)
        assert found.maximum is test.maximum
        assert found.top_met.value == pytest.approx(20 / 3.5)


def test_the_working_names_each_stage_and_both_errors() -> None:
    steps = read(staged(error_vo2=1.7)).worksheet.steps
    assert [one.name for one in steps[0].inputs] == ["Stage 1: 10.0 mL/kg/min", "Stage 2: 20.0 mL/kg/min"]
    assert [one.value for one in steps[0].inputs] == [100, 120]
    errors = steps[3]
    assert (errors.low, errors.high, errors.result) == (pytest.approx(23.3), pytest.approx(26.7), "23.3 to 26.7")
    assert [one.value for one in errors.inputs] == [25, 0, 1.7]

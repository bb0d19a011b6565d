"""The step test: the line, the peak with its error, and every refusal with the top stage in its place."""

from __future__ import annotations

import statistics
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from haleward.capacity.extrapolation import (
    MaximalRate,
    Point,
    fitted_line,
    measured_maximum,
    peak_vo2_from_line,
    peak_vo2_two_stages,
    predicted_maximum_rate,
)
from haleward.capacity.staged import StagedResult
from haleward.capacity.step_test import Stage, recovery_count_test, recovery_pulse_test, single_stage_met, step_test
from haleward.capacity.void import fact_names
from haleward.errors import HalewardError, Inconsistent, OutOfRange
from haleward.worksheet import Figure, NotComputed, Worksheet
from tests.formula.arguments import FEW

CLEAR: dict[str, bool | None] = dict.fromkeys(fact_names(), False)
STAGES = [Stage(0.2, 15, 96), Stage(0.2, 20, 108), Stage(0.2, 25, 119)]
TOP_VO2 = 3.5 + 25 * (0.2 + 1.33 * 1.8 * 0.2)


def done(stages: list[Stage] = STAGES, *, bpm: float = 140, **more: Any) -> StagedResult:
    more.setdefault("maximum", measured_maximum(bpm=bpm))
    more.setdefault("facts", CLEAR)
    return step_test(stages, **more)


def refused(found: StagedResult) -> NotComputed:
    assert isinstance(found.peak_vo2, NotComputed)
    assert found.peak_met == found.peak_vo2
    assert found.line is None
    return found.peak_vo2


def peak(found: StagedResult) -> Figure:
    assert isinstance(found.peak_vo2, Figure)
    return found.peak_vo2


def test_a_measured_maximum_leaves_the_error_of_the_equation() -> None:
    found = done(resting_bpm=70)
    assert peak(found).value == pytest.approx(26.6186, abs=1e-3)
    assert peak(found).high == pytest.approx(peak(found).value + 1.7)
    assert peak(found).low == pytest.approx(peak(found).value - 1.7)
    assert found.worksheet.result == "about 26.6 mL/kg/min, likely 24.9 to 28.3; about 7.6 METs, likely 7.1 to 8.1"
    assert found.worksheet.figure == found.peak_vo2
    assert found.maximum.method == "measured"
    assert found.maximum.stated
    assert found.maximum.figure == Figure(140, "bpm")
    assert "since the maximal heart rate was measured" in found.worksheet.cautions[0]


def test_both_errors_add_by_their_squares() -> None:
    found = done(maximum=predicted_maximum_rate("maximum_bpm_fox_1971", age_y=75))
    slope = statistics.linear_regression([13.682, 17.076, 20.47], [96, 108, 119]).slope
    error = ((12 / slope) ** 2 + 1.7**2) ** 0.5
    assert peak(found).high == pytest.approx(peak(found).value + error)
    assert "(12 bpm, 3.5 mL/kg/min here) and of the oxygen equation (1.7 mL/kg/min)" in found.worksheet.cautions[0]
    assert found.maximum.stated


def test_a_maximum_without_an_error_of_its_own_takes_the_largest_and_says_so() -> None:
    maximum = predicted_maximum_rate("maximum_bpm_women_sydo_2014", age_y=70)
    assert not maximum.stated
    assert maximum.figure.high == pytest.approx(210 - 0.79 * 70 + 12)
    assert maximum.figure.low == pytest.approx(210 - 0.79 * 70 - 12)
    found = done([Stage(0.2, 15, 96), Stage(0.2, 20, 116), Stage(0.2, 25, 136)], maximum=maximum)
    assert any("states no error of its own; 12 bpm is taken" in text for text in found.worksheet.cautions)


def test_the_working_runs_from_the_stages_to_the_mets() -> None:
    found = done()
    titles = [step.title for step in found.worksheet.steps]
    assert titles == [
        "Oxygen uptake of stage 1",
        "Oxygen uptake of stage 2",
        "Oxygen uptake of stage 3",
        "Line of heart rate over oxygen uptake",
        "Maximal heart rate",
        "Peak oxygen uptake from a line of heart rate",
        "Likely range of the estimate",
        "METs of an oxygen uptake",
    ]
    assert found.worksheet.steps[3].result == "49.81 bpm + 3.388 bpm for each mL/kg/min"
    assert found.worksheet.steps[6].result == "24.9 to 28.3"


def test_the_top_stage_is_always_there_with_its_error() -> None:
    found = done()
    assert found.top_vo2.value == pytest.approx(TOP_VO2)
    assert found.top_vo2.high == pytest.approx(TOP_VO2 + 1.7)
    assert found.top_met.value == pytest.approx(TOP_VO2 / 3.5)


@pytest.mark.parametrize(
    ("stages", "more", "reason"),
    [
        (STAGES[:1], {}, "There is 1 usable stage; a line through heart rate and oxygen uptake needs at least 2."),
        (
            [STAGES[0], Stage(0.2, 20, 100)],
            {},
            "Heart rate does not rise by 5 bpm or more from each stage to the next: no line can be read from it.",
        ),
        (
            [Stage(0.2, 20, 96), Stage(0.2, 15, 108)],
            {},
            "Heart rate does not rise with oxygen uptake: no line can be read from it.",
        ),
        (
            STAGES,
            {"resting_bpm": 87},
            "The first stage (96 bpm) is not 10 bpm or more above rest (87 bpm): it was too light to show the line.",
        ),
        (
            STAGES,
            {"bpm": 158},
            "The line gives 31.9 mL/kg/min, more than 1.5 times the top stage reached (20.5 mL/kg/min): too far beyond "
            "what was seen.",
        ),
        (
            STAGES,
            {"bpm": 119},
            "The maximal heart rate (119 bpm) is not above the heart rate of the top stage (119 bpm): it cannot be "
            "this person's maximum.",
        ),
    ],
    ids=["one stage", "not rising", "work falls", "near rest", "too far", "below top"],
)
def test_a_test_that_shows_no_line_reports_its_top_stage(
    stages: list[Stage], more: dict[str, Any], reason: str
) -> None:
    found = done(stages, **more)
    top = found.top_met.value
    assert refused(found).reason == f"{reason} Instead: the top stage reached, {top:.1f} METs."
    assert found.worksheet.result.startswith("Top stage reached: about")
    assert found.worksheet.cautions[0] == reason
    assert found.worksheet.figure == found.top_vo2


def test_a_rise_of_five_and_ten_above_rest_are_enough() -> None:
    found = done([Stage(0.2, 15, 96), Stage(0.2, 20, 101)], bpm=110, resting_bpm=86)
    assert isinstance(found.peak_vo2, Figure)


@pytest.mark.parametrize(("share", "given"), [(1.499, True), (1.501, False)])
def test_a_peak_up_to_one_and_a_half_times_the_top_stage_is_given(share: float, given: bool) -> None:
    first, top = (3.5 + rate * (0.2 + 1.33 * 1.8 * 0.2) for rate in (15, 20))
    slope = 20 / (top - first)
    found = done([Stage(0.2, 15, 96), Stage(0.2, 20, 116)], bpm=116 + (share - 1) * top * slope)
    assert isinstance(found.peak_vo2, Figure) is given


@pytest.mark.parametrize("fact", ["rate_slowing_medicine", "atrial_fibrillation", "paced", "transplant", "pump"])
def test_what_voids_the_heart_rate_leaves_the_top_stage(fact: str) -> None:
    found = refused(done(facts={**CLEAR, fact: True}))
    assert found.reason.startswith("Heart rate cannot be used here. ")
    assert found.reason.endswith("Instead: the top stage reached, 5.8 METs.")
    assert found.ask == ()


def test_what_is_not_known_is_asked_and_no_peak_is_given() -> None:
    found = refused(done(facts={}))
    assert "What is the heart rhythm?" in found.ask
    assert found.reason.startswith("What decides whether heart rate can be used is not recorded.")


def test_cautions_travel_with_the_number() -> None:
    told = " ".join(done(facts={**CLEAR, "hand_support": True}).worksheet.cautions)
    assert "A hand was held on a support" in told
    assert "No resting heart rate is given" in told
    assert "The first stage ended at 96 bpm, under about 100" in told
    assert "two stages only" not in told
    assert "±14 mL/kg/min" in told
    two = " ".join(done(STAGES[:2], bpm=130, resting_bpm=70).worksheet.cautions)
    assert "two stages only" in two
    assert "No resting heart rate" not in two


def test_a_rate_outside_the_equation_is_called_extrapolated() -> None:
    found = done([Stage(0.15, 25, 100), Stage(0.15, 35, 120)], bpm=125)
    assert any("Stepping rate 35 is outside the 12 to 30" in text for text in found.worksheet.cautions)


def test_no_stage_and_impossible_values_are_refused() -> None:
    with pytest.raises(HalewardError, match="needs its stages"):
        done([])
    with pytest.raises(OutOfRange, match="Heart rate of the stage is 20"):
        done([Stage(0.2, 15, 20)])
    with pytest.raises(OutOfRange, match="Step height"):
        done([Stage(20, 15, 96)])
    with pytest.raises(OutOfRange, match="Maximal heart rate"):
        measured_maximum(bpm=300)
    with pytest.raises(HalewardError, match="does not predict a maximal heart rate"):
        predicted_maximum_rate("met_minutes", energy_met=3, duration_min=20)
    with pytest.raises(HalewardError, match=r"reserve_target_bpm does not predict .* name begins with maximum_bpm_"):
        predicted_maximum_rate("reserve_target_bpm", resting_bpm=60, maximum_bpm=150, fraction=0.5)


rates = st.integers(60, 110)
rises = st.lists(st.integers(5, 25), min_size=1, max_size=4)
heights = st.floats(0.1, 0.3)


def _stages(first: float, rises: list[float], height: float) -> list[Stage]:
    found = [Stage(height, 12, first)]
    for rise in rises:
        found.append(Stage(height, found[-1].steps_per_min + 4, found[-1].rate_bpm + rise))
    return found


def _points(stages: list[Stage]) -> tuple[Point, ...]:
    return tuple(Point(3.5 + one.steps_per_min * (0.2 + 1.33 * 1.8 * one.height_m), one.rate_bpm) for one in stages)


@FEW
@given(first=rates, rises=rises, height=heights)
def test_the_line_is_that_of_the_standard_library(first: float, rises: list[float], height: float) -> None:
    points = _points(_stages(first, rises, height))
    line = fitted_line(points)
    referee = statistics.linear_regression([one.vo2_ml_per_kg_min for one in points], [one.rate_bpm for one in points])
    assert line.slope_bpm_per_vo2 == pytest.approx(referee.slope, rel=1e-9)
    assert line.intercept_bpm == pytest.approx(referee.intercept, rel=1e-9, abs=1e-6)


@FEW
@given(first=rates, rise=st.integers(5, 25), height=heights, further=st.floats(0, 40))
def test_two_points_and_the_line_agree(first: float, rise: float, height: float, further: float) -> None:
    one, two = _points(_stages(first, [rise], height))
    line = fitted_line((one, two))
    top = max(60.0, two.rate_bpm + further)
    by_line = peak_vo2_from_line(
        maximum_bpm=top, intercept_bpm=line.intercept_bpm, slope_bpm_per_vo2=line.slope_bpm_per_vo2
    )
    by_points = peak_vo2_two_stages(
        first_vo2_ml_per_kg_min=one.vo2_ml_per_kg_min,
        first_bpm=one.rate_bpm,
        second_vo2_ml_per_kg_min=two.vo2_ml_per_kg_min,
        second_bpm=two.rate_bpm,
        maximum_bpm=top,
    )
    assert by_points == pytest.approx(by_line, rel=1e-9, abs=1e-9)
    assert by_points >= two.vo2_ml_per_kg_min - 1e-9


@settings(max_examples=40)
@given(first=rates, rises=rises, height=heights, over=st.floats(0.5, 60), more=st.floats(0, 20))
def test_a_higher_maximum_never_means_a_lower_peak_and_the_range_holds_it(
    first: float, rises: list[float], height: float, over: float, more: float
) -> None:
    stages = _stages(first, rises, height)
    top = stages[-1].rate_bpm + over
    assume(top + more <= 230)
    lower, higher = done(stages, bpm=top), done(stages, bpm=top + more)
    for found in (lower, higher):
        if isinstance(found.peak_vo2, Figure):
            assert found.peak_vo2.low is not None
            assert found.peak_vo2.high is not None
            assert 0 <= found.peak_vo2.low <= found.peak_vo2.value <= found.peak_vo2.high
            assert found.peak_vo2.value <= 1.5 * found.top_vo2.value
    if isinstance(lower.peak_vo2, Figure) and isinstance(higher.peak_vo2, Figure):
        assert lower.peak_vo2.value <= higher.peak_vo2.value + 1e-9


@settings(max_examples=40)
@given(beats=st.floats(-5, 5), rise=st.floats(6, 20))
def test_a_surer_maximum_gives_a_narrower_range(beats: float, rise: float) -> None:
    stages = [Stage(0.2, 15, 100), Stage(0.2, 20, 100 + rise)]
    sure = MaximalRate(Figure(104 + rise, "bpm"), "measured", True, measured_maximum(bpm=140).step)
    error = abs(beats)
    unsure = MaximalRate(Figure(104 + rise, "bpm", 104 + rise - error, 104 + rise + error), "named", True, sure.step)
    narrow, wide = peak(done(stages, maximum=sure)), peak(done(stages, maximum=unsure))
    assert narrow.value == wide.value
    assert narrow.high is not None
    assert wide.high is not None
    assert narrow.high <= wide.high + 1e-9


def test_two_stages_that_do_not_rise_are_a_contradiction() -> None:
    given_ = {"first_vo2_ml_per_kg_min": 13.0, "first_bpm": 100, "second_bpm": 105, "maximum_bpm": 150}
    assert peak_vo2_two_stages(**given_, second_vo2_ml_per_kg_min=17.0) == pytest.approx(53)
    assert peak_vo2_two_stages(**given_, second_vo2_ml_per_kg_min=13.5) == pytest.approx(18)
    with pytest.raises(Inconsistent, match="second stage must be harder"):
        peak_vo2_two_stages(**given_, second_vo2_ml_per_kg_min=13.0)
    with pytest.raises(Inconsistent, match="rises by 4 bpm from the first stage to the second; a line needs 5"):
        peak_vo2_two_stages(**{**given_, "second_bpm": 104}, second_vo2_ml_per_kg_min=17.0)


def test_a_line_needs_stages_of_different_work() -> None:
    with pytest.raises(Inconsistent, match="two or more stages of different work"):
        fitted_line((Point(13, 100), Point(13, 110)))
    with pytest.raises(Inconsistent, match="two or more stages"):
        fitted_line((Point(13, 100),))


def test_the_recovery_pulse_says_that_the_test_is_too_hard() -> None:
    found = recovery_pulse_test(recovery_bpm=150, sex="male", facts=CLEAR, age_y=22)
    assert isinstance(found, Worksheet)
    assert found.figure is not None
    assert found.figure.value == pytest.approx(48.33)
    assert any("costs about 9.2 METs, which is too hard" in text for text in found.cautions)
    assert not any("At 22 years" in text or "at 22 years" in text for text in found.cautions)
    women = recovery_pulse_test(recovery_bpm=150, sex="female", facts=CLEAR, age_y=60)
    assert isinstance(women, Worksheet)
    assert women.figure is not None
    assert women.figure.value == pytest.approx(38.105)
    assert any("made from students: at 60 years" in text for text in women.cautions)
    assert any("8.5 METs" in text for text in women.cautions)


def test_the_recovery_count_is_never_an_oxygen_uptake() -> None:
    found = recovery_count_test(count_bpm=110, facts=CLEAR, age_y=60)
    assert isinstance(found, Worksheet)
    assert found.result == "110 beats"
    assert found.figure == Figure(110, "bpm")
    assert found.cautions[0].startswith("The count of the first minute of recovery")
    assert any("7.4 METs" in text for text in found.cautions)


def test_a_medicine_voids_the_recovery_tests_and_an_unknown_one_is_asked() -> None:
    slowed = {**CLEAR, "rate_slowing_medicine": True}
    for found in (
        recovery_pulse_test(recovery_bpm=110, sex="male", facts=slowed, age_y=60),
        recovery_count_test(count_bpm=110, facts=slowed, age_y=60),
    ):
        assert isinstance(found, NotComputed)
        assert found.reason.startswith("A medicine that slows the pulse is taken")
    for found in (
        recovery_pulse_test(recovery_bpm=110, sex="male", facts={}, age_y=60),
        recovery_count_test(count_bpm=110, facts={}, age_y=60),
    ):
        assert isinstance(found, NotComputed)
        assert found.ask


def test_a_single_stage_test_that_nobody_knows_is_named() -> None:
    with pytest.raises(HalewardError, match="no single-stage step test 'hop'; there is recovery_pulse, recovery_count"):
        single_stage_met("hop", "male")

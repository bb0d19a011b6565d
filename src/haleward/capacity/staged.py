"""When heart rate over stages gives a peak, and how sure it is; else the top stage reached, and why.

Shared by the step test and the cycle test. Every limit is a row of ``staged_test_settings.csv``.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

from haleward.capacity.extrapolation import MEASURED, Line, MaximalRate, Point, fitted_line
from haleward.capacity.void import Validity
from haleward.formula import find
from haleward.physiology.tables import settings, texts
from haleward.units import between, likely, rounded, shown
from haleward.worksheet import Figure, Input, NotComputed, Step, Worksheet

SETTINGS = "staged_test_settings"
VO2_UNIT = "mL/kg/min"


@dataclass(frozen=True)
class StagedTest:
    """A test of rising stages, ready to be read.

    ``points`` are the stages that may be used, in the order done; ``top`` is the hardest stage reached, usable or not.
    The standard error of the oxygen equation is ``error_vo2`` plus ``error_fraction`` times the result.
    """

    title: str
    points: tuple[Point, ...]
    top: Point
    maximum: MaximalRate
    validity: Validity
    resting_bpm: float | None = None
    error_vo2: float = 0.0
    error_fraction: float = 0.0
    steps: tuple[Step, ...] = ()
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True)
class StagedResult:
    """The top stage reached, always; the peak with its likely range, or why there is none."""

    top_vo2: Figure
    top_met: Figure
    peak_vo2: Figure | NotComputed
    peak_met: Figure | NotComputed
    line: Line | None
    maximum: MaximalRate
    worksheet: Worksheet


def read(test: StagedTest) -> StagedResult:
    """The peak by extrapolation to the named maximum, or the top stage reached instead, with the reason."""
    top = test.top.vo2_ml_per_kg_min
    error = test.error_vo2 + test.error_fraction * top
    top_vo2 = Figure(top, VO2_UNIT, top - error, top + error)
    why, ask = refusal(test)
    if why:
        return _refused(test, top_vo2, why, ask)
    line = fitted_line(test.points)
    step = find("peak_vo2_from_line").step(
        origins={"maximum_bpm": test.maximum.method, "intercept_bpm": "line above", "slope_bpm_per_vo2": "line above"},
        maximum_bpm=test.maximum.figure,
        intercept_bpm=line.intercept_bpm,
        slope_bpm_per_vo2=line.slope_bpm_per_vo2,
    )
    most, peak = settings(SETTINGS)["extrapolation_most"], float(step.result)
    if peak > most * top_vo2.value:
        values = {"value": rounded(peak, VO2_UNIT), "most": f"{most:g}", "top": rounded(top_vo2.value, VO2_UNIT)}
        return _refused(test, top_vo2, _words("staged_too_far", **values), ())
    return _computed(test, top_vo2, line, step)


def refusal(test: StagedTest) -> tuple[str, tuple[str, ...]]:
    """Why no line may be read from this test, with what to ask; an empty sentence if one may."""
    limits, points = settings(SETTINGS), test.points
    if test.validity.void:
        return _words("staged_void", why=test.validity.why), ()
    if test.validity.ask:
        return _words("staged_unknown"), test.validity.ask
    if len(points) < limits["stages_least"]:
        return _words("staged_few", count=str(len(points)), least=f"{limits['stages_least']:g}"), ()
    pairs = list(itertools.pairwise(points))
    if any(after.rate_bpm - before.rate_bpm < limits["rate_rise_least_bpm"] for before, after in pairs):
        return _words("staged_not_rising", least=f"{limits['rate_rise_least_bpm']:g}"), ()
    if any(after.vo2_ml_per_kg_min <= before.vo2_ml_per_kg_min for before, after in pairs):
        return _words("staged_slope"), ()
    over_rest, first = limits["first_stage_over_rest_bpm"], points[0].rate_bpm
    if test.resting_bpm is not None and first - test.resting_bpm < over_rest:
        values = {"rate": f"{first:g}", "resting": f"{test.resting_bpm:g}", "least": f"{over_rest:g}"}
        return _words("staged_near_rest", **values), ()
    highest = max(one.rate_bpm for one in (*points, test.top))
    if test.maximum.figure.value <= highest:
        maximum = rounded(test.maximum.figure.value, "bpm")
        return _words("staged_below_top", maximum=maximum, rate=f"{highest:g}"), ()
    return "", ()


def _computed(test: StagedTest, top_vo2: Figure, line: Line, read_off: Step) -> StagedResult:
    """The peak with both errors. That of the maximum moves the reading along the line; that of the equation shifts or
    stretches all stages alike, and the reading with them. The two are independent, so their squares add."""
    peak = float(read_off.result)
    from_rate = 0.0 if read_off.high is None else read_off.high - peak
    from_equation = test.error_vo2 + test.error_fraction * peak
    error = math.hypot(from_rate, from_equation)
    low, high = max(0.0, peak - error), peak + error
    vo2 = Figure(peak, VO2_UNIT, low, high)
    to_met = find("met_from_oxygen_uptake").step(vo2_ml_per_kg_min=vo2)
    met = _met(vo2)
    steps = (
        *test.steps,
        _line_step(test, line),
        test.maximum.step,
        read_off,
        _range_step(peak, low, high, from_rate, from_equation),
    )
    cautions = (*test.validity.cautions, *_cautions(test, from_rate, from_equation), *test.cautions)
    sheet = Worksheet(test.title, f"{likely(vo2)}; {likely(met)}", (*steps, to_met), cautions, vo2)
    return StagedResult(top_vo2, _met(top_vo2), vo2, met, line, test.maximum, sheet)


def _refused(test: StagedTest, top_vo2: Figure, why: str, ask: tuple[str, ...]) -> StagedResult:
    top_met = _met(top_vo2)
    instead = _words("staged_instead", met=shown(top_met.value, "METs"))
    none = NotComputed(test.title, f"{why} {instead}", ask)
    to_met = find("met_from_oxygen_uptake").step("METs of the top stage", vo2_ml_per_kg_min=top_vo2)
    result = _words("staged_top", vo2=likely(top_vo2), met=likely(top_met))
    cautions = (why, *test.validity.cautions, *test.cautions)
    sheet = Worksheet(test.title, result, (*test.steps, to_met), cautions, top_vo2)
    return StagedResult(top_vo2, top_met, none, none, None, test.maximum, sheet)


def _met(vo2: Figure) -> Figure:
    return find("met_from_oxygen_uptake").figure(vo2_ml_per_kg_min=vo2)


def _line_step(test: StagedTest, line: Line) -> Step:
    inputs = tuple(
        Input(f"Stage {number}: {shown(one.vo2_ml_per_kg_min, VO2_UNIT)}", one.rate_bpm, "bpm", "test")
        for number, one in enumerate(test.points, 1)
    )
    return Step(
        "Line of heart rate over oxygen uptake",
        "least squares: heart rate = intercept + slope × oxygen uptake",
        inputs,
        f"{line.intercept_bpm:.2f} bpm + {line.slope_bpm_per_vo2:.3f} bpm for each mL/kg/min",
        source="Method of least squares [definition]",
    )


def _range_step(peak: float, low: float, high: float, from_rate: float, from_equation: float) -> Step:
    inputs = (
        Input("Estimate", peak, VO2_UNIT, "line above"),
        Input("Error from the maximal heart rate", from_rate, VO2_UNIT, "line above"),
        Input("Error of the oxygen equation", from_equation, VO2_UNIT, "its source"),
    )
    formula = "estimate ± √(error² + error²), not below 0"
    source = "Independent errors add by their squares [definition]"
    text = between(low, high, VO2_UNIT)
    return Step("Likely range of the estimate", formula, inputs, text, VO2_UNIT, source, low=low, high=high)


def _cautions(test: StagedTest, from_rate: float, from_equation: float) -> tuple[str, ...]:
    limits, first, maximum = settings(SETTINGS), test.points[0].rate_bpm, test.maximum
    rate_error = rounded((maximum.figure.high or maximum.figure.value) - maximum.figure.value, "bpm")
    values = {"vo2_from_rate": rounded(from_rate, VO2_UNIT), "equation_error": rounded(from_equation, VO2_UNIT)}
    measured = maximum.method == MEASURED
    said = [_words("staged_range_measured" if measured else "staged_range", rate_error=rate_error, **values)]
    if not maximum.stated:
        said.append(_words("staged_error_unstated", rate_error=rate_error))
    if len(test.points) == limits["stages_least"]:
        said.append(_words("staged_two_points"))
    if test.resting_bpm is None:
        said.append(_words("staged_no_rest"))
    if first < limits["first_stage_usual_bpm"]:
        said.append(_words("staged_light_start", rate=f"{first:g}", usual=f"{limits['first_stage_usual_bpm']:g}"))
    return (*said, _words("staged_change"), texts("capacity_wording")["met_overstates"])


def _words(key: str, **values: str) -> str:
    return texts("capacity_wording")[key].format(**values)

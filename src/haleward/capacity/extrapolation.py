"""From heart rate at two or more stages to peak oxygen uptake: a least-squares line, read off at a named maximum.

The line is heart rate = intercept + slope × oxygen uptake. This is the arithmetic alone; ``staged`` says when it may be
used and how sure its result is.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from haleward.errors import HalewardError, Inconsistent
from haleward.formula import Range, find, formula, require
from haleward.physiology.heart_rate import MAXIMUM
from haleward.physiology.tables import settings
from haleward.worksheet import Figure, Input, Step

SETTINGS = "staged_test_settings"
MEASURED = "measured"
PREDICTS = "maximum_bpm_"


@dataclass(frozen=True)
class Point:
    """One steady stage: the oxygen uptake that its work costs, and the heart rate at its end."""

    vo2_ml_per_kg_min: float
    rate_bpm: float


@dataclass(frozen=True)
class Line:
    """Heart rate = ``intercept_bpm`` + ``slope_bpm_per_vo2`` × oxygen uptake in mL/kg/min."""

    slope_bpm_per_vo2: float
    intercept_bpm: float


@dataclass(frozen=True)
class MaximalRate:
    """The maximal heart rate a line is read at: its value with one standard error to each side, and how it was found.

    ``method`` is the name of a formula, or "measured". ``stated`` is false where the method states no error of its own
    and the table's is taken.
    """

    figure: Figure
    method: str
    stated: bool
    step: Step


@formula(
    title="Peak oxygen uptake from a line of heart rate",
    equation="(maximal heart rate − intercept) ÷ slope",
    unit="mL/kg/min",
    ranges={
        "maximum_bpm": MAXIMUM,
        "intercept_bpm": Range(-5000, 250, "bpm", "Heart rate where the line meets an oxygen uptake of 0"),
        "slope_bpm_per_vo2": Range(0.05, 500, "bpm per mL/kg/min", "Slope of the line"),
    },
    source="ACSM Guidelines for Exercise Testing and Prescription, extrapolation of submaximal heart rate",
    trust="computed",
    error="As uncertain as the maximal heart rate and the oxygen equation that go in.",
)
def peak_vo2_from_line(*, maximum_bpm: float, intercept_bpm: float, slope_bpm_per_vo2: float) -> float:
    """Oxygen uptake where the line reaches the maximal heart rate. Plain arithmetic: no refusal is made here."""
    return (maximum_bpm - intercept_bpm) / slope_bpm_per_vo2


@formula(
    title="Peak oxygen uptake from two stages",
    equation="VO2 of stage 2 + (maximum − rate of stage 2) × (VO2 of stage 2 − VO2 of stage 1) ÷ (rate 2 − rate 1)",
    unit="mL/kg/min",
    ranges={
        "first_vo2_ml_per_kg_min": Range(0, 90, "mL/kg/min", "Oxygen uptake of the first stage"),
        "first_bpm": Range(30, 250, "bpm", "Heart rate of the first stage"),
        "second_vo2_ml_per_kg_min": Range(0, 90, "mL/kg/min", "Oxygen uptake of the second stage"),
        "second_bpm": Range(30, 250, "bpm", "Heart rate of the second stage"),
        "maximum_bpm": MAXIMUM,
    },
    source="ACSM Guidelines for Exercise Testing and Prescription, extrapolation of submaximal heart rate",
    trust="computed",
    error="As uncertain as the maximal heart rate and the oxygen equation that go in.",
)
def peak_vo2_two_stages(
    *,
    first_vo2_ml_per_kg_min: float,
    first_bpm: float,
    second_vo2_ml_per_kg_min: float,
    second_bpm: float,
    maximum_bpm: float,
) -> float:
    """Oxygen uptake where the line through two stages reaches the maximal heart rate.

    Raises Inconsistent unless work and heart rate both rise, the heart rate by 5 or more.
    """
    least = settings(SETTINGS)["rate_rise_least_bpm"]
    rise_bpm = second_bpm - first_bpm
    rise_vo2 = second_vo2_ml_per_kg_min - first_vo2_ml_per_kg_min
    require(rise_vo2 > 0, "The second stage must be harder than the first; check the order of the stages")
    require(
        rise_bpm >= least,
        "Heart rate rises by {rise} bpm from the first stage to the second; a line needs {least} or more",
        rise=rise_bpm,
        least=least,
    )
    return second_vo2_ml_per_kg_min + (maximum_bpm - second_bpm) * rise_vo2 / rise_bpm


def measured_maximum(*, bpm: float) -> MaximalRate:
    """The highest heart rate reached in a maximal test on current medicines. Raises :class:`OutOfRange`."""
    MAXIMUM.check(bpm)
    step = Step(
        "Maximal heart rate",
        "highest rate reached in a maximal test on current medicines",
        (Input("Measured peak", bpm, "bpm", "maximal test"),),
        bpm,
        "bpm",
    )
    return MaximalRate(Figure(bpm, "bpm"), MEASURED, True, step)


def predicted_maximum_rate(method: str, **arguments: float | str) -> MaximalRate:
    """The maximal heart rate by a registered method, with its error. Raises :class:`HalewardError`.

    A method that states no standard error is given the table's, and the result says so.
    """
    known = find(method)
    if known.unit != "bpm" or not method.startswith(PREDICTS):
        raise HalewardError(
            f"{method} does not predict a maximal heart rate; name a method whose name begins with {PREDICTS}."
        )
    given: dict[str, Any] = dict(arguments)
    step, figure, stated = known.step(**given), known.figure(**given), True
    if figure.low is None:
        error, stated = settings(SETTINGS)["maximum_error_bpm"], False
        figure = Figure(figure.value, figure.unit, figure.value - error, figure.value + error)
    return MaximalRate(figure, method, stated, step)


def fitted_line(points: tuple[Point, ...]) -> Line:
    """The least-squares line through two or more points. Raises :class:`Inconsistent` if all cost the same."""
    vo2 = np.array([one.vo2_ml_per_kg_min for one in points])
    rate = np.array([one.rate_bpm for one in points])
    spread = vo2 - vo2.mean()
    square = float(spread @ spread)
    if len(points) < 2 or square == 0:
        raise Inconsistent("A line needs two or more stages of different work; give the stages as they were done.")
    slope = float(spread @ (rate - rate.mean())) / square
    return Line(slope, float(rate.mean()) - slope * float(vo2.mean()))

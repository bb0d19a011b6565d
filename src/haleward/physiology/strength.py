"""One-repetition maximum predicted from a set of several repetitions: seven equations, their median and their spread.

Repetitions are those to the technical end of the set, plus those left in reserve; best from 2 to 10, never above 15.
In older adults all under-predict by 1 to 10 kg (Knutzen 1999, source seen): the error is on the safe side. A
one-repetition maximum is never tested directly early in recovery.
"""

from __future__ import annotations

import statistics
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import ParamSpec

import numpy as np

from haleward.errors import Inconsistent
from haleward.formula import REGISTRY, Range, formula
from haleward.physiology.tables import rows
from haleward.units import spread_in_words
from haleward.worksheet import Figure, Input, Step, Worksheet

P = ParamSpec("P")
RANGES = {
    "load_kg": Range(0, 500, "kg", "Load"),
    "repetitions": Range(1, 15, "repetitions", "Repetitions", stated_low=2, stated_high=10, whole=True),
}
SOURCE = "Several public listings that agree"
ERROR = (
    "The range shows only how far the seven equations differ. The error for one person is larger: 5.4 to 6.9 kg in "
    "young men (Hutchins 2010), more with more repetitions (Reynolds 2006)."
)
POPULATION = "younger trained adults; in adults of about 70 years all predict too little, by 1 to 10 kg (Knutzen 1999)"
SPREAD_OF = "by seven equations"
METHODS = ("epley", "brzycki", "lombardi", "mayhew", "oconner", "wathen", "lander")


def _spread_of_seven(**given: float) -> tuple[float, float]:
    """The lowest and the highest of the seven equations for the same set: the range that travels with each."""
    values = [REGISTRY[f"one_repetition_maximum_kg_{method}"].call(**given) for method in METHODS]
    return min(values), max(values)


def _one_of_seven(author: str, equation: str) -> Callable[[Callable[P, float]], Callable[P, float]]:
    """Registers one of the seven: they differ in their author and their equation alone."""
    return formula(
        title=f"One-repetition maximum ({author})",
        equation=equation,
        unit="kg",
        ranges=RANGES,
        source=SOURCE,
        trust="seen second-hand",
        error=ERROR,
        population=POPULATION,
        spread=_spread_of_seven,
        spread_of=SPREAD_OF,
    )


@_one_of_seven("Epley", "load × (1 + repetitions ÷ 30)")
def one_repetition_maximum_kg_epley(*, load_kg: float, repetitions: float) -> float:
    """Heaviest single lift predicted by Epley's equation."""
    return load_kg * (1 + repetitions / 30)


@_one_of_seven("Brzycki", "load × 36 ÷ (37 − repetitions)")
def one_repetition_maximum_kg_brzycki(*, load_kg: float, repetitions: float) -> float:
    """Heaviest single lift predicted by Brzycki's equation; equals Epley's at ten repetitions."""
    return load_kg * 36 / (37 - repetitions)


@_one_of_seven("Lombardi", "load × repetitions^0.10")
def one_repetition_maximum_kg_lombardi(*, load_kg: float, repetitions: float) -> float:
    """Heaviest single lift predicted by Lombardi's equation."""
    maximum: float = load_kg * repetitions**0.10
    return maximum


@_one_of_seven("Mayhew", "100 × load ÷ (52.2 + 41.9 × e^(−0.055 × repetitions))")
def one_repetition_maximum_kg_mayhew(*, load_kg: float, repetitions: float) -> float:
    """Heaviest single lift predicted by Mayhew's equation."""
    maximum: float = 100 * load_kg / (52.2 + 41.9 * np.exp(-0.055 * repetitions))
    return maximum


@_one_of_seven("O'Conner", "load × (1 + 0.025 × repetitions)")
def one_repetition_maximum_kg_oconner(*, load_kg: float, repetitions: float) -> float:
    """Heaviest single lift predicted by O'Conner's equation."""
    return load_kg * (1 + 0.025 * repetitions)


@_one_of_seven("Wathen", "100 × load ÷ (48.8 + 53.8 × e^(−0.075 × repetitions))")
def one_repetition_maximum_kg_wathen(*, load_kg: float, repetitions: float) -> float:
    """Heaviest single lift predicted by Wathen's equation."""
    maximum: float = 100 * load_kg / (48.8 + 53.8 * np.exp(-0.075 * repetitions))
    return maximum


@_one_of_seven("Lander", "100 × load ÷ (101.3 − 2.67123 × repetitions)")
def one_repetition_maximum_kg_lander(*, load_kg: float, repetitions: float) -> float:
    """Heaviest single lift predicted by Lander's equation."""
    return 100 * load_kg / (101.3 - 2.67123 * repetitions)


@dataclass(frozen=True)
class PredictedMaximum:
    """The median of the seven equations with their spread as low and high, and the working."""

    maximum_kg: Figure
    worksheet: Worksheet


def predicted_maximum(*, load_kg: float, repetitions: int) -> PredictedMaximum:
    """One-repetition maximum by all seven equations: median, lowest, highest. Raises :class:`HalewardError`."""
    formulas = [REGISTRY[f"one_repetition_maximum_kg_{method}"] for method in METHODS]
    steps = [one.step(load_kg=load_kg, repetitions=repetitions) for one in formulas]
    values = [float(step.result) for step in steps]
    figure = Figure(statistics.median(values), "kg", min(values), max(values))
    result = spread_in_words(figure, SPREAD_OF)
    last = Step("Median of the seven", "middle value", (), figure.value, "kg", "project rule, no source")
    cautions = (*formulas[0].cautions(load_kg=load_kg, repetitions=repetitions), ERROR)
    sheet = Worksheet("Predicted one-repetition maximum", result, (*steps, last), cautions, figure)
    return PredictedMaximum(figure, sheet)


def predicted_maximum_with_reserve(
    *, load_kg: float, repetitions: int, reserve_low: int, reserve_high: int
) -> PredictedMaximum:
    """The same for a set that ended with repetitions left: those done plus those left count (Zourdos 2016).

    The value is that of the fewest left, which predicts least: the error is then on the safe side. The range reaches
    from the lowest equation at the fewest to the highest at the most. Raises :class:`HalewardError`.
    """
    if reserve_high < reserve_low:
        raise Inconsistent(f"Repetitions left are given as {reserve_low} to {reserve_high}; give the fewer first.")
    fewest = predicted_maximum(load_kg=load_kg, repetitions=repetitions + reserve_low)
    most = predicted_maximum(load_kg=load_kg, repetitions=repetitions + reserve_high)
    figure = Figure(fewest.maximum_kg.value, "kg", fewest.maximum_kg.low, most.maximum_kg.high)
    counted = Step(
        "Repetitions to the technical end",
        "repetitions done + repetitions left",
        (
            Input("Repetitions done", repetitions, "repetitions"),
            Input("Repetitions left", f"{reserve_low} to {reserve_high}", "repetitions"),
        ),
        f"{repetitions + reserve_low} to {repetitions + reserve_high}",
        "repetitions",
        "Zourdos 2016; Helms 2016 [source seen]",
    )
    result = spread_in_words(figure, f"{SPREAD_OF} and from the fewest to the most left")
    sheet = replace(fewest.worksheet, result=result, steps=(counted, *fewest.worksheet.steps), figure=figure)
    return PredictedMaximum(figure, sheet)


@formula(
    title="Share of the one-repetition maximum (load chart)",
    equation="table: 1 to 10 repetitions and 12",
    unit="%",
    ranges={"repetitions": Range(1, 12, "repetitions", "Repetitions", whole=True)},
    source="NSCA training-load chart",
    trust="source seen",
)
def load_chart_percent(*, repetitions: float) -> float:
    """Per cent of the maximum that allows this many repetitions; 11, which the chart leaves out, is interpolated."""
    chart = {int(row["repetitions"]): float(row["percent"]) for row in rows("load_chart")}
    percent: float = np.interp(repetitions, sorted(chart), [chart[key] for key in sorted(chart)])
    return percent

"""From a maximum back to a load, and finding a load by feel: two repetitions, then how hard it was.

The two-repetition check needs no maximum and no formula, so it is the safest way to a first load (Buckley and Borg
2011, source seen).
"""

from __future__ import annotations

import statistics
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from haleward.errors import Inconsistent
from haleward.formula import REGISTRY, Choice, Range, find, formula
from haleward.physiology.effort import EFFORT_0_10
from haleward.physiology.strength import ERROR, METHODS, POPULATION, RANGES, SOURCE, SPREAD_OF
from haleward.physiology.tables import settings, texts
from haleward.units import spread_in_words
from haleward.worksheet import Figure, NotComputed, Step, Worksheet

MAXIMUM_KG = Range(0, 1000, "kg", "One-repetition maximum")
Feel = Literal["too_heavy", "suits", "light"]


@formula(
    title="Load for a number of repetitions",
    equation="maximum ÷ (maximum that the equation predicts from 1 kg and these repetitions)",
    unit="kg",
    ranges={"maximum_kg": MAXIMUM_KG, "repetitions": RANGES["repetitions"], "equation": Choice(METHODS, "Equation")},
    source=SOURCE,
    trust="seen second-hand",
    error=ERROR,
    population=POPULATION,
    spread=lambda **given: _spread(given["maximum_kg"], given["repetitions"]),
    spread_of=SPREAD_OF,
    elementwise=True,
)
def load_kg_for_repetitions(*, maximum_kg: float, repetitions: float, equation: str) -> float:
    """Load that can be lifted so many times, by one of the seven equations turned round (all are linear in load)."""
    return maximum_kg / REGISTRY[f"one_repetition_maximum_kg_{equation}"].call(load_kg=1, repetitions=repetitions)


@formula(
    title="Share of the one-repetition maximum by equation",
    equation="100 ÷ (maximum that the equation predicts from 1 kg and these repetitions)",
    unit="%",
    ranges={"repetitions": RANGES["repetitions"], "equation": Choice(METHODS, "Equation")},
    source=SOURCE,
    trust="seen second-hand",
    error=ERROR,
    population=POPULATION,
    spread=lambda **given: _spread(100, given["repetitions"]),
    spread_of=SPREAD_OF,
    elementwise=True,
)
def maximum_share_percent(*, repetitions: float, equation: str) -> float:
    """Per cent of the maximum that allows so many repetitions, by one of the seven equations."""
    return load_kg_for_repetitions(maximum_kg=100, repetitions=repetitions, equation=equation)


def _spread(maximum_kg: float, repetitions: float) -> tuple[float, float]:
    loads = [load_kg_for_repetitions(maximum_kg=maximum_kg, repetitions=repetitions, equation=m) for m in METHODS]
    return min(loads), max(loads)


@dataclass(frozen=True)
class PredictedLoad:
    """The median of the seven loads with their spread as low and high, and the working."""

    load_kg: Figure
    worksheet: Worksheet


def predicted_load(*, maximum_kg: float, repetitions: int) -> PredictedLoad:
    """The load for so many repetitions by all seven equations: median, lowest, highest. Raises HalewardError."""
    known = find("load_kg_for_repetitions")
    steps = [known.step(maximum_kg=maximum_kg, repetitions=repetitions, equation=method) for method in METHODS]
    values = [float(step.result) for step in steps]
    figure = Figure(statistics.median(values), "kg", min(values), max(values))
    result = spread_in_words(figure, SPREAD_OF)
    last = Step("Median of the seven", "middle value", (), figure.value, "kg", "project rule, no source")
    cautions = (*known.cautions(maximum_kg=maximum_kg, repetitions=repetitions, equation=METHODS[0]), ERROR)
    return PredictedLoad(figure, Worksheet("Load for repetitions", result, (*steps, last), cautions, figure))


@dataclass(frozen=True)
class LoadTrial:
    """What two repetitions said about a load, and the load to try or keep.

    ``share`` is about which fraction of the maximum a suiting load is; ``next_load_kg`` is None where nothing at hand
    fits, and ``text`` says what to do then.
    """

    feel: Feel
    text: str
    share: tuple[float, float] | None
    next_load_kg: float | None


def two_repetition_feel(*, effort_0_10: float) -> Feel:
    """How a load feels after two repetitions. Raises :class:`HalewardError` for an effort off the 0 to 10 scale."""
    EFFORT_0_10.check(effort_0_10)
    known = settings("load_finder")
    if effort_0_10 > known["too_heavy_over"]:
        return "too_heavy"
    return "suits" if effort_0_10 >= known["suits_from"] else "light"


def next_load(
    *, tried: Sequence[tuple[float, float]], loads_kg: Sequence[float] | None
) -> LoadTrial | float | NotComputed:
    """The load to begin with (the lightest), or what the last trial says and the next load.

    ``tried`` holds each (load in kg, effort 0 to 10 after two repetitions) in order; ``loads_kg`` what is at hand
    (None: not asked). A load found too heavy is not offered again. Raises :class:`Inconsistent` for a load that is not
    at hand.
    """
    wording = texts("physiology_wording")
    if not loads_kg:
        return NotComputed("Load", wording["no_loads"], (wording["ask_loads"],))
    for load, _ in tried:
        if load not in loads_kg:
            raise Inconsistent(f"The load of {load:g} kg was tried but is not among those at hand; check the list.")
    if not tried:
        return min(loads_kg)
    load, effort = tried[-1]
    feel = two_repetition_feel(effort_0_10=effort)
    too_heavy = [one for one, felt in tried if two_repetition_feel(effort_0_10=felt) == "too_heavy"]
    if feel == "too_heavy":
        lighter = max((one for one in loads_kg if one < min(too_heavy)), default=None)
        text = wording["load_too_heavy"] if lighter is not None else wording["no_lighter"]
        return LoadTrial(feel, text, None, lighter)
    if feel == "suits":
        known = settings("load_finder")
        share = known["share_low"], known["share_high"]
        low, high = (f"{100 * one:g}" for one in share)
        return LoadTrial(feel, wording["load_suits"].format(low=low, high=high), share, load)
    return _heavier(load, loads_kg, too_heavy)


def _heavier(load: float, loads_kg: Sequence[float], too_heavy: Sequence[float]) -> LoadTrial:
    wording = texts("physiology_wording")
    heavier = min((one for one in loads_kg if one > load), default=None)
    if heavier is None:
        return LoadTrial("light", wording["no_heavier"], None, load)
    if too_heavy and heavier >= min(too_heavy):
        return LoadTrial("light", wording["found_too_heavy"], None, load)
    return LoadTrial("light", wording["load_light"], None, heavier)


def effort_after_repetitions(*, effort_0_10: float, repetitions: int) -> tuple[float, float]:
    """Lowest and highest effort after further repetitions, from a start of 4 to 6: one point every 3 to 4.

    Never above 10. Raises :class:`OutOfRange` for another start: the source has none.
    """
    known = settings("load_finder")
    Range(known["climb_from"], known["climb_to"], "points", "Effort at the start").check(effort_0_10)
    Range(0, 30, "repetitions", "Further repetitions", whole=True).check(repetitions)
    slow, fast = known["repetitions_a_point_high"], known["repetitions_a_point_low"]
    top = EFFORT_0_10.high
    return min(top, effort_0_10 + repetitions / slow), min(top, effort_0_10 + repetitions / fast)

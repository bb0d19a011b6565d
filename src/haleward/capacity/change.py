"""Has the person changed? A difference against measurement error and against the difference that matters.

A verdict is given only on the raw result (metres, seconds, repetitions), never on estimated oxygen uptake, and only
between tests done the same way.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from haleward.capacity.validity import stop_reason
from haleward.errors import HalewardError
from haleward.formula import Range, formula
from haleward.physiology.tables import rows, texts
from haleward.record import WalkTest
from haleward.worksheet import NotComputed

Verdict = Literal["within_error", "small", "meaningful", "may_matter", "below", "worse"]
SEM = Range(0, 1000, "1", "Standard error of measurement")
SD = Range(0.0001, 10000, "1", "Standard deviation")


@formula(
    title="Smallest detectable change, 95 per cent",
    equation="1.96 × √2 × standard error of measurement",
    unit="1",
    ranges={"sem": SEM},
    source="Definition; reproduces 47 m for the shuttle walk in Hanson 2019",
    trust="definition",
)
def smallest_detectable_change_95(*, sem: float) -> float:
    """Change of one person that measurement error reaches in only 5 per cent; in the unit of the measure."""
    return 1.96 * math.sqrt(2) * sem


@formula(
    title="Smallest detectable change, 90 per cent",
    equation="1.645 × √2 × standard error of measurement",
    unit="1",
    ranges={"sem": SEM},
    source="Definition of the smallest detectable change",
    trust="definition",
)
def smallest_detectable_change_90(*, sem: float) -> float:
    """Change of one person that measurement error reaches in only 10 per cent; in the unit of the measure."""
    return 1.645 * math.sqrt(2) * sem


@formula(
    title="Half a standard deviation",
    equation="standard deviation ÷ 2",
    unit="1",
    ranges={"sd": SD},
    source="Houchen-Wolloff 2015, distribution method",
    trust="source seen",
)
def half_standard_deviation(*, sd: float) -> float:
    """Difference that matters by the distribution method; in the unit of the measure."""
    return sd / 2


@formula(
    title="Effect size",
    equation="mean change ÷ standard deviation at the start",
    unit="1",
    ranges={"mean_change": Range(-10000, 10000, "1", "Mean change"), "sd": SD},
    source="Definition; reproduces 0.38 in Houchen-Wolloff 2015",
    trust="definition",
)
def effect_size(*, mean_change: float, sd: float) -> float:
    """Mean change of a group in units of its spread at the start."""
    return mean_change / sd


@dataclass(frozen=True)
class Change:
    """A change with its verdict, the limits it was held against, and their source."""

    difference: float
    unit: str
    verdict: Verdict
    text: str
    important: float
    detectable: float | None
    source: str


def change(*, before: float, after: float, measure: str, population: str) -> Change:
    """The verdict on ``after`` minus ``before`` (for measures where more is better).

    The caller names the population of the limits. Raises :class:`HalewardError` for a pair that the table lacks.
    """
    known = {(row["measure"], row["population"]): row for row in rows("change_that_matters")}
    if (measure, population) not in known:
        pairs = "; ".join(f"{m} in {p}" for m, p in known)
        raise HalewardError(f"There is no difference that matters for {measure} in {population}; there is: {pairs}.")
    row = known[measure, population]
    limit = Range(0, 10000, row["unit"], measure)
    limit.check(before)
    limit.check(after)
    important = float(row["important"])
    detectable = float(row["detectable"]) if row["detectable"] else None
    verdict = _verdict(after - before, important, detectable)
    text = texts("function_wording")[f"change_{verdict}"]
    source = f"{row['source']}, {row['population_label']} [{row['trust']}]"
    return Change(after - before, row["unit"], verdict, text, important, detectable, source)


def change_of_walks(before: WalkTest, after: WalkTest, *, population: str) -> Change | NotComputed:
    """The change between two walks, unless they were not walked the same way: then why, and what to ask."""
    why = _not_comparable(before, after)
    if why:
        wording = texts("function_wording")
        reason = wording["not_comparable"].format(why=" and ".join(wording[key] for key in why))
        return NotComputed("Change of the walk", reason, (wording["ask_repeat"],))
    return change(before=before.distance_m, after=after.distance_m, measure=before.kind, population=population)


def _verdict(difference: float, important: float, detectable: float | None) -> Verdict:
    size = abs(difference)
    if detectable is not None and size < detectable:
        return "may_matter" if size >= important else "within_error"
    if size >= important:
        return "meaningful" if difference > 0 else "worse"
    return "below" if detectable is None else "small"


def _not_comparable(before: WalkTest, after: WalkTest) -> tuple[str, ...]:
    limited = "heart_rate_limit"
    faults = {
        "why_kind": before.kind != after.kind,
        "why_order": after.tested_on <= before.tested_on,
        "why_course": before.kind == "six_minute_walk"
        and (before.course_m is None or before.course_m != after.course_m),
        "why_aid": _aid(before) != _aid(after),
        "why_stop": limited in (stop_reason(before.stopped_for), stop_reason(after.stopped_for)),
    }
    return tuple(key for key, fault in faults.items() if fault)


def _aid(walk: WalkTest) -> str:
    said = walk.aid.strip().lower()
    return "" if said in ("none", "no") else said

"""Has the person changed? A difference against measurement error and against the difference that matters.

A verdict is given only on the raw result (metres, seconds, repetitions), never on estimated oxygen uptake, and only
between tests done the same way. Where a source gives a range for the difference that matters, a gain must reach its
upper end, and a loss counts from its lower end: the safer reading of both.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from typing import Literal

from haleward.capacity.validity import stop_reason
from haleward.errors import HalewardError
from haleward.formula import Range
from haleward.physiology.finding import cited
from haleward.physiology.tables import rows, texts
from haleward.record import DrugClass, Record, WalkTest
from haleward.worksheet import NotComputed

# 1.00 m/s less 0.90 m/s is 0.09999999999999998 to the machine: a limit of 0.1 must be met.
EXACT_DECIMALS = 9
Verdict = Literal["within_error", "small", "minimal", "meaningful", "may_matter", "below", "worse"]


@dataclass(frozen=True)
class Limits:
    """The published limits of one measure in one population, in the unit of the measure.

    A gain matters from ``important`` on, a loss from ``important_from`` on (the lower end where the source gives a
    range). ``small`` is a lesser and ``further`` a greater step of the same source; ``interval`` its 95 per cent
    interval. ``verdict`` is False where no verdict may rest on the figure.
    """

    measure: str
    population: str
    population_label: str
    important: float
    important_from: float
    small: float | None
    further: float | None
    interval: tuple[float, float] | None
    detectable: float | None
    unit: str
    verdict: bool
    method: str
    source: str


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
    limits: Limits


def published_limits() -> tuple[Limits, ...]:
    """Every published difference that matters, in the order of the table."""
    return tuple(_limits(row) for row in rows("change_that_matters"))


def limits_of(measure: str, population: str) -> Limits:
    """The limits of a measure in a population. Raises :class:`HalewardError` for a pair that the table lacks."""
    known = {(one.measure, one.population): one for one in published_limits()}
    if (measure, population) not in known:
        pairs = "; ".join(f"{m} in {p}" for m, p in known)
        raise HalewardError(f"There is no difference that matters for {measure} in {population}; there is: {pairs}.")
    return known[measure, population]


def change(*, before: float, after: float, measure: str, population: str) -> Change:
    """The verdict on ``after`` minus ``before`` (for measures where more is better).

    The caller names the population of the limits. Raises :class:`HalewardError` for a pair that the table lacks, and
    for a measure on which no verdict may rest (peak oxygen uptake is estimated, with an error larger than the limit).
    """
    limits = limits_of(measure, population)
    if not limits.verdict:
        raise HalewardError(texts("function_wording")["no_verdict"].format(measure=measure.replace("_", " ")))
    allowed = Range(0, 10000, limits.unit, measure)
    allowed.check(before)
    allowed.check(after)
    difference = round(after - before, EXACT_DECIMALS)
    verdict = _verdict(difference, limits)
    text = texts("function_wording")[f"change_{verdict}"]
    source = f"{limits.source.partition(' [')[0]}, {limits.population_label} [{limits.source.partition(' [')[2]}"
    return Change(difference, limits.unit, verdict, text, limits.important, limits.detectable, source, limits)


def change_of_walks(
    before: WalkTest,
    after: WalkTest,
    *,
    population: str,
    slowing_medicine_changed: bool | None = None,
    oxygen_changed: bool | None = None,
) -> Change | NotComputed:
    """The change between two walks, unless they were not walked the same way: then why, and what to ask.

    A changed medicine that slows the heart and changed oxygen suppress the verdict; ``None`` (not known) is asked.
    """
    wording = texts("function_wording")
    why = _not_comparable(before, after, slowing_medicine_changed, oxygen_changed)
    if why:
        reason = wording["not_comparable"].format(why=" and ".join(wording[key] for key in why))
        return NotComputed("Change of the walk", reason, (wording["ask_repeat"],))
    asked = [
        wording[key]
        for key, known in (("ask_slowing", slowing_medicine_changed), ("ask_oxygen", oxygen_changed))
        if known is None
    ]
    if asked:
        return NotComputed("Change of the walk", wording["conditions_unknown"], tuple(asked))
    return change(before=before.distance_m, after=after.distance_m, measure=before.kind, population=population)


def slowing_medicine_changed(before: Record, after: Record, *, slowing: Collection[DrugClass]) -> bool | None:
    """Whether a medicine of the ``slowing`` classes was started, stopped or changed in dose; ``None`` if not asked."""
    if before.medicines is None or after.medicines is None:
        return None
    first, second = (
        {(m.drug_class, m.name.strip().lower(), m.dose.strip().lower()) for m in taken if m.drug_class in slowing}
        for taken in (before.medicines, after.medicines)
    )
    return first != second


def _verdict(difference: float, limits: Limits) -> Verdict:
    size = abs(difference)
    enough = limits.important if difference > 0 else limits.important_from
    if limits.detectable is not None and size < limits.detectable:
        return "may_matter" if size >= enough else "within_error"
    if size >= enough:
        return "meaningful" if difference > 0 else "worse"
    if limits.small is not None and size >= limits.small:
        return "minimal"
    return "below" if limits.detectable is None else "small"


def _not_comparable(
    before: WalkTest, after: WalkTest, slowing_changed: bool | None, oxygen_changed: bool | None
) -> tuple[str, ...]:
    limited = "heart_rate_limit"
    faults = {
        "why_kind": before.kind != after.kind,
        "why_order": after.tested_on <= before.tested_on,
        "why_course": before.kind == "six_minute_walk"
        and (before.course_m is None or before.course_m != after.course_m),
        "why_aid": _aid(before) != _aid(after),
        "why_oxygen": oxygen_changed is True,
        "why_slowing": slowing_changed is True,
        "why_stop": limited in (stop_reason(before.stopped_for), stop_reason(after.stopped_for)),
        "why_other_stop": _stopped_otherwise(before, after),
    }
    return tuple(key for key, fault in faults.items() if fault)


def _stopped_otherwise(before: WalkTest, after: WalkTest) -> bool:
    """Whether the two ended for different reasons; a reason left blank on either side does not tell."""
    reasons = {stop_reason(before.stopped_for), stop_reason(after.stopped_for)}
    return "" not in reasons and len(reasons) > 1


def _aid(walk: WalkTest) -> str:
    said = walk.aid.strip().lower()
    return "" if said in ("none", "no") else said


def _limits(row: dict[str, str]) -> Limits:
    low, high = _number(row["interval_low"]), _number(row["interval_high"])
    return Limits(
        row["measure"],
        row["population"],
        row["population_label"],
        float(row["important"]),
        float(row["important_from"] or row["important"]),
        _number(row["small"]),
        _number(row["further"]),
        None if low is None or high is None else (low, high),
        _number(row["detectable"]),
        row["unit"],
        row["verdict"] == "yes",
        row["method"],
        cited(row),
    )


def _number(text: str) -> float | None:
    return float(text) if text else None

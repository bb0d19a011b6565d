"""The activity status questionnaire: points by item number, and the oxygen uptake they stand for. No wording."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from haleward.errors import HalewardError
from haleward.formula import find
from haleward.physiology.tables import rows, texts
from haleward.units import likely, rounded
from haleward.worksheet import Figure, Input, NotComputed, Step, Worksheet

ITEMS = tuple(range(1, 13))
Variant = Literal["original", "british"]
METHOD = "peak_vo2_activity_status_hlatky_1989"
TITLE = "Activity status"


@dataclass(frozen=True)
class ActivityStatus:
    """Points from the least (each open item a no) to the most (each a yes), and what they stand for.

    With every item answered the two are equal, and ``vo2_ml_per_kg_min`` and ``energy_met`` hold the estimate; with an
    open item both are ``None`` and the worksheet's figure is not set: only the range of the points is known.
    """

    least_points: float
    most_points: float
    open_items: tuple[int, ...]
    least_met: float
    most_met: float
    vo2_ml_per_kg_min: Figure | None
    energy_met: Figure | None
    worksheet: Worksheet
    ask: tuple[str, ...] = ()


def points_of(item: int) -> float:
    """The points of a yes to this item. Raises :class:`HalewardError` for a number that is no item."""
    for row in rows("activity_status_items"):
        if int(row["item"]) == item:
            return float(row["points"])
    raise HalewardError(f"The activity questionnaire has no item {item}; its items are 1 to {ITEMS[-1]}.")


def activity_status(
    answers: Mapping[int, bool | None], *, variant: Variant = "original"
) -> ActivityStatus | NotComputed:
    """Points and the estimate from yes, no or unknown by item number; an item left out is unknown, never a no.

    The British variant is an instrument of its own and is not scored here. Raises :class:`HalewardError` for a number
    that is no item.
    """
    for item in answers:
        points_of(item)
    wording = texts("capacity_wording")
    if variant == "british":
        return NotComputed(TITLE, wording["void_british_variant"])
    open_items = tuple(item for item in ITEMS if answers.get(item) is None)
    if len(open_items) == len(ITEMS):
        return NotComputed(TITLE, wording["activity_none"], (_ask(open_items),))
    least = sum(points_of(item) for item in ITEMS if answers.get(item))
    most = least + sum(points_of(item) for item in open_items)
    return _ranged(least, most, open_items) if open_items else _complete(least, answers)


def _complete(points: float, answers: Mapping[int, bool | None]) -> ActivityStatus:
    method, to_met, wording = find(METHOD), find("met_from_oxygen_uptake"), texts("capacity_wording")
    estimate, vo2 = method.step(score=points), method.figure(score=points)
    met = to_met.figure(vo2_ml_per_kg_min=vo2)
    yes = ", ".join(str(item) for item in ITEMS if answers.get(item))
    total = Step(
        "Points",
        "sum of the points of every item answered yes",
        (Input("Items answered yes", yes or "none"),),
        points,
        "points",
        "Hlatky 1989 [source seen]",
    )
    cautions = (
        method.error,
        *_limits(),
        wording["met_overstates"],
    )
    result = f"{points:g} points; {likely(vo2)}; {likely(met)}"
    steps = (total, estimate, to_met.step(vo2_ml_per_kg_min=vo2))
    return ActivityStatus(
        points, points, (), met.value, met.value, vo2, met, Worksheet(TITLE, result, steps, cautions, vo2)
    )


def _ranged(least: float, most: float, open_items: tuple[int, ...]) -> ActivityStatus:
    low, high = _met(least), _met(most)
    said = texts("capacity_wording")["activity_open"].format(items=_listed(open_items))
    result = f"{least:g} to {most:g} points; {rounded(low, 'METs')} to {rounded(high, 'METs')} METs"
    sheet = Worksheet(TITLE, result, (), (said, *_limits()))
    return ActivityStatus(least, most, open_items, low, high, None, None, sheet, (_ask(open_items),))


def _limits() -> tuple[str, str]:
    wording, most = texts("capacity_wording"), sum(points_of(item) for item in ITEMS)
    low, high = rounded(_met(0.0), "METs"), rounded(_met(most), "METs")
    return wording["activity_limits"].format(low=low, high=high), wording["activity_change"]


def _met(points: float) -> float:
    return find("met_from_oxygen_uptake").call(vo2_ml_per_kg_min=find(METHOD).call(score=points))


def _ask(items: tuple[int, ...]) -> str:
    return texts("capacity_wording")["ask_items"].format(items=_listed(items))


def _listed(items: tuple[int, ...]) -> str:
    return ", ".join(str(item) for item in items)

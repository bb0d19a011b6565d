"""Deal the chosen movements out to two parts, and put each part in order: both the cheapest way there is.

What makes a deal or an order dear is stated in ``data/tables/choosing.csv`` and docs/choosing.md.
"""

from __future__ import annotations

from collections import Counter
from itertools import combinations

from haleward.dose.choosing import Picked
from haleward.dose.choosing_score import weights

Part = tuple[Picked, ...]


def two_parts(picked: Part, *, most_a_part: int) -> tuple[Part, Part]:
    """The best deal into two parts of nearly the same length, each in its best order.

    Every deal is tried; the most useful movement is in part one, so that no deal is tried twice.
    """
    if not picked:
        return (), ()
    half = len(picked) // 2
    deals = []
    for size in sorted({half, len(picked) - half}):
        for places in combinations(range(len(picked)), size):
            if places[:1] != (0,) or max(size, len(picked) - size) > most_a_part:
                continue
            one = tuple(picked[place] for place in places)
            two = tuple(item for place, item in enumerate(picked) if place not in places)
            deals.append((_dear(one, two), places, one, two))
    if not deals:  # a single movement
        return picked, ()
    _, _, one, two = min(deals, key=lambda deal: deal[:2])
    return in_order(one), in_order(two)


def _dear(one: Part, two: Part) -> float:
    points = weights()
    repeats = sum(count - 1 for part in (one, two) for count in Counter(p.option.region for p in part).values())
    kits = sum(len({p.option.start.load.kit for p in part} - {"own_weight"}) for part in (one, two))
    arms = abs(sum(p.option.upper for p in one) - sum(p.option.upper for p in two))
    functional = abs(sum(_functional(p) for p in one) - sum(_functional(p) for p in two))
    return (
        points["part_same_region"] * repeats
        + points["part_kit"] * kits
        + points["part_upper"] * arms
        + points["part_functional"] * functional
    )


def _functional(picked: Picked) -> bool:
    return picked.option.category == "functional"


def in_order(part: Part) -> Part:
    """The order with the least cost; among equals the more useful movement first.

    For each set of movements already placed and the last of them only the best order is kept.
    """
    if len(part) < 2:
        return part
    arms = sum(p.option.upper for p in part)
    start_upper = arms > len(part) - arms
    best: dict[tuple[int, int], tuple[float, tuple[int, ...]]] = {
        (1 << i, i): (_first(item, start_upper), (i,)) for i, item in enumerate(part)
    }
    for _ in range(len(part) - 1):
        longer: dict[tuple[int, int], tuple[float, tuple[int, ...]]] = {}
        for (placed, last), (cost, order) in best.items():
            for i in range(len(part)):
                if placed >> i & 1:
                    continue
                found = (cost + _after(part[last], part[i]), (*order, i))
                key = (placed | 1 << i, i)
                if key not in longer or found < longer[key]:
                    longer[key] = found
        best = longer
    _, order = min(best.values())
    return tuple(part[i] for i in order)


def _first(first: Picked, start_upper: bool) -> float:
    points = weights()
    small = points["order_small_first"] if first.option.small_muscle else 0.0
    return small + (points["order_first"] if first.option.upper != start_upper else 0.0)


def _after(one: Picked, two: Picked) -> float:
    """What it costs that ``two`` follows ``one``."""
    points = weights()
    first, second = one.option, two.option
    return (
        points["order_same_half"] * (first.upper == second.upper)
        + points["order_small_first"] * (first.small_muscle and not second.small_muscle)
        + points["order_kit_change"] * (first.start.load.kit != second.start.load.kit)
    )

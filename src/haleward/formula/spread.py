"""How the error of a result is found: its own, and that of what goes in.

A likely range is one standard error to each side: about two people in three lie inside it. An argument that carries
a range of its own is put in at each end, the others unchanged; what this moves the result by is added to the formula's
own error as independent errors are, by the root of the sum of squares.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from haleward.formula.ranges import Range
from haleward.worksheet import Figure

if TYPE_CHECKING:
    from haleward.formula.registry import Formula

Given = Mapping[str, float | str | Figure]
# Units whose amounts cannot be negative; a likely range never falls below none at all.
NEVER_NEGATIVE = frozenset(
    (
        "bpm",
        "mmHg",
        "mL/kg/min",
        "MET",
        "METs",
        "MET·min",
        "m",
        "m/min",
        "km/h",
        "m/s",
        "min",
        "s",
        "kg",
        "kg/m²",
        "kg·m/min",
        "W",
        "kcal",
        "kcal/min",
        "points",
        "repetitions",
        "years",
        "bpm·mmHg",
        "steps/min",
        "shuttles",
        "level",
        "L/min",
    )
)


def central(arguments: Mapping[str, object]) -> dict[str, Any]:
    """The arguments with each figure as its value alone."""
    return {key: value.value if isinstance(value, Figure) else value for key, value in arguments.items()}


def figure_of(known: Formula, arguments: Given) -> Figure:
    """The result with its likely range, or without one where neither the formula nor an argument has an error."""
    middle = central(arguments)
    value = known.call(**middle)
    moves = [
        _moved(known, value, middle, key, given)
        for key, given in arguments.items()
        if isinstance(given, Figure) and given.low is not None and given.high is not None
    ]
    own = _own(known, value, middle)
    if own is not None:
        moves.append(own)
    if not moves:
        return Figure(value, known.unit)
    down, up = (math.hypot(*(move[side] for move in moves)) for side in (0, 1))
    return bounded(value, value - down, value + up, known)


def bounded(value: float, low: float, high: float, known: Formula) -> Figure:
    """A figure whose range stays within what is physically possible and always holds the value itself."""
    least, most = known.bounds or (0.0 if known.unit in NEVER_NEGATIVE else None, None)
    low = low if least is None else max(low, least)
    high = high if most is None else min(high, most)
    return Figure(value, known.unit, min(low, value), max(high, value))


def _own(known: Formula, value: float, middle: Mapping[str, Any]) -> tuple[float, float] | None:
    """How far the formula's own error reaches below and above ``value``."""
    if known.spread is not None:
        low, high = known.spread(**middle)
        return value - low, high - value
    if known.standard_error is not None:
        return known.standard_error, known.standard_error
    return None


def _moved(known: Formula, value: float, middle: Mapping[str, Any], key: str, given: Figure) -> tuple[float, float]:
    """How far the range of one argument moves the result below and above ``value``.

    An end beyond what the formula accepts is taken at its limit. Raises :class:`HalewardError` where an end contradicts
    another argument.
    """
    limits = known.ranges[key]
    ends = [end for end in (given.low, given.high) if end is not None]
    if isinstance(limits, Range):
        ends = [min(max(end, limits.low), limits.high) for end in ends]
    results = [known.call(**{**middle, key: end}) for end in ends]
    return max(0.0, value - min(results)), max(0.0, max(results) - value)

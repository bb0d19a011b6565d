"""What a number outside its range, or text with a unit, may have been meant as.

Nothing is converted in silence. A value that would fit in another unit is asked about, in one sentence:
"Did you mean 1.72 m (172 cm)?".
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from haleward.formula.other_units import OTHER_UNITS, Other

LONGEST_BODY_M = 5  # a length that cannot pass this is of a body or a room, not a distance walked
LARGEST_FRACTION = 2  # a bare number that cannot pass this is a fraction, not a point on a scale
SHOWN_DIGITS = 3  # enough to see which unit was meant
_PIECE = re.compile(r"(\d+(?:[.,]\d+)?)\s*([^\d\s,;]+)?")


@dataclass(frozen=True)
class Limits:
    """The numbers that a quantity may be. ``quantity`` names the substance where its unit does not tell."""

    low: float
    high: float
    unit: str
    quantity: str = ""

    def holds(self, value: float) -> bool:
        """Whether ``value`` is allowed."""
        return self.low <= value <= self.high

    @property
    def others(self) -> tuple[Other, ...]:
        """The other units in use for this quantity."""
        quantity = self.quantity
        if self.unit == "m" and not quantity:
            quantity = "body" if self.high <= LONGEST_BODY_M else "distance"
        if self.unit in ("", "1") and self.high <= LARGEST_FRACTION:
            return OTHER_UNITS["1", "fraction"]
        return OTHER_UNITS.get((self.unit, quantity), ())


def question(value: float, limits: Limits) -> str:
    """A question about ``value``, "Did you mean 1.72 m (172 cm)?"; "" if no unit in use makes it fit."""
    unit = "" if limits.unit in ("", "1") else "%" if limits.unit == "%" else f" {limits.unit}"
    found = [f"{_short(meant)}{unit} ({written})" for meant, written in _readings(value, limits)]
    return f"Did you mean {' or '.join(found)}?" if found else ""


def read(text: str, limits: Limits) -> float | None:
    """The value that text with a unit states, in the unit of ``limits``: "172 cm", "5 ft 8 in", "60%".

    ``None`` for text that does not state one value within the limits.
    """
    pieces = [(float(number.replace(",", ".")), unit) for number, unit in _PIECE.findall(text)]
    if not pieces or _PIECE.sub("", text).strip(" ,"):
        return None
    (number, unit), *rest = pieces
    if not rest and unit.lower() in (limits.unit.lower(), ""):
        return number if limits.holds(number) else None
    for other in limits.others:
        if unit.lower() not in (word.lower() for word in other.words):
            continue
        meant = _sum(number, rest, other)
        if meant is not None and limits.holds(meant):
            return meant
    return None


def _sum(number: float, rest: list[tuple[float, str]], other: Other) -> float | None:
    """One number of a unit, with the number of its smaller unit where one is named ("5 ft 8", "12 st 4 lb")."""
    if not rest:
        return other.to_own(number)
    (smaller, unit), *more = rest
    if more or not other.parts or smaller >= other.parts or unit.lower() not in (*other.part, ""):
        return None
    return other.to_own(number + smaller / other.parts)


def _readings(value: float, limits: Limits) -> Iterator[tuple[float, str]]:
    """Each value within the limits that ``value`` could stand for, and how it would have been written."""
    for other in limits.others:
        if (split := _split(value, other)) is not None:
            whole, smaller = split
            meant = other.to_own(whole + smaller / other.parts)
            if limits.holds(meant):
                yield meant, f"{whole} {other.words[0]} {smaller} {other.part[0]}"
        meant = other.to_own(value)
        if limits.holds(meant):
            joined = "" if other.words[0] == "%" else " "
            yield meant, f"{value:g}{joined}{other.words[0]}"


def _split(value: float, other: Other) -> tuple[int, int] | None:
    """5.8 as 5 and 8, for units that people write with a point between them; ``None`` where it cannot be that."""
    whole, point, part = f"{value:g}".partition(".")
    if not other.parts or not point or not (whole + part).isdecimal() or int(part) >= other.parts:
        return None
    return int(whole), int(part)


def _short(value: float) -> str:
    return f"{float(f'{value:.{SHOWN_DIGITS}g}'):g}"

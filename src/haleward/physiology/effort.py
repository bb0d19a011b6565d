"""Perceived effort: classes of intensity, the two scales side by side, repetitions left.

No formula turns one scale into the other; the reference pairs whole ranges for a use, and only those are given here.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from haleward.errors import HalewardError
from haleward.formula import Range
from haleward.physiology.tables import rows

Measure = Literal["reserve_fraction", "maximum_fraction", "vo2_maximum_fraction", "effort_6_20", "energy_met"]
LIMITS: dict[Measure, Range] = {
    "reserve_fraction": Range(0, 1, "1", "Fraction of the reserve"),
    "maximum_fraction": Range(0, 1, "1", "Fraction of the maximum"),
    "vo2_maximum_fraction": Range(0, 1, "1", "Fraction of peak oxygen uptake"),
    "effort_6_20": Range(6, 20, "1", "Effort on the 6 to 20 scale"),
    "energy_met": Range(0, 25, "METs", "Energy cost"),
}


@dataclass(frozen=True)
class EffortPair:
    """A range on the 0 to 10 scale and the range on the 6 to 20 scale that its source names for the same use."""

    use: str
    effort_0_10: tuple[float, float]
    effort_6_20: tuple[float, float]
    source: str


def intensity_class(measure: Measure, value: float) -> str:
    """The published class ("very light" to "near-maximal") of one measure; each class starts at its lower limit.

    METs are absolute and too high for people with little capacity: 3 METs may be most of what they can do.
    Source: Garber et al. 2011, ACSM position stand. Raises :class:`HalewardError`.
    """
    if measure not in LIMITS:
        raise HalewardError(f"There is no intensity measure {measure!r}; it must be one of {', '.join(LIMITS)}.")
    LIMITS[measure].check(value)
    return [row["class"] for row in rows("intensity_classes") if value >= float(row[f"{measure}_from"])][-1]


def effort_pairs() -> tuple[EffortPair, ...]:
    """The pairs of ranges that the reference gives, with their sources."""
    return tuple(
        EffortPair(
            row["use"],
            (float(row["effort_0_10_low"]), float(row["effort_0_10_high"])),
            (float(row["effort_6_20_low"]), float(row["effort_6_20_high"])),
            f"{row['source']} [{row['trust']}]",
        )
        for row in rows("effort_pairs")
    )


def repetitions_in_reserve(*, effort_0_10: float) -> tuple[int, int] | None:
    """Fewest and most repetitions left at this effort at the end of a set; ``None`` below 5, where it is only "light".

    Worse the further from the end and in long sets (Zourdos 2021). Source: Zourdos 2016; Helms 2016.
    """
    Range(0, 10, "1", "Effort on the 0 to 10 scale").check(effort_0_10)
    for row in rows("repetitions_in_reserve"):
        if effort_0_10 >= float(row["effort_0_10_from"]):
            return int(row["reserve_low"]), int(row["reserve_high"])
    return None

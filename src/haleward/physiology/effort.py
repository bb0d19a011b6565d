"""Perceived effort: classes of intensity, the two scales side by side, repetitions left.

No formula turns one scale into the other; the reference pairs whole ranges for a use, and only those are given here.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from haleward.errors import HalewardError
from haleward.formula import Range
from haleward.physiology.finding import cited
from haleward.physiology.tables import rows, texts

Measure = Literal["reserve_fraction", "maximum_fraction", "vo2_maximum_fraction", "effort_6_20", "energy_met"]
Scheme = Literal["acsm_2011", "esc_2020", "german_2021"]
LIMITS: dict[Measure, Range] = {
    "reserve_fraction": Range(0, 1, "1", "Fraction of the reserve"),
    "maximum_fraction": Range(0, 1, "1", "Fraction of the maximum"),
    "vo2_maximum_fraction": Range(0, 1, "1", "Fraction of peak oxygen uptake"),
    "effort_6_20": Range(6, 20, "1", "Effort on the 6 to 20 scale"),
    "energy_met": Range(0, 25, "METs", "Energy cost"),
}
EFFORT_0_10 = Range(0, 10, "1", "Effort on the 0 to 10 scale")


@dataclass(frozen=True)
class EffortPair:
    """A range on the 0 to 10 scale and the range on the 6 to 20 scale that its source names for the same use."""

    use: str
    effort_0_10: tuple[float, float]
    effort_6_20: tuple[float, float]
    source: str


def intensity_class(measure: Measure, value: float, *, scheme: Scheme = "acsm_2011") -> str:
    """The published class ("very light" to "near-maximal") of one measure; each class starts at its lower limit.

    METs are absolute and too high for people with little capacity: 3 METs may be most of what they can do.
    ``acsm_2011`` is Garber et al. 2011, ACSM position stand; the schemes differ at their edges. Raises
    :class:`HalewardError` for a value that the scheme gives no class.
    """
    if measure not in LIMITS:
        raise HalewardError(f"There is no intensity measure {measure!r}; it must be one of {', '.join(LIMITS)}.")
    LIMITS[measure].check(value)
    known = _scheme(scheme)
    under = [row for row in known if row[f"{measure}_from"] and value >= float(row[f"{measure}_from"])]
    top = under[-1][f"{measure}_to"] if under else ""
    if not under or (top and value > float(top)):
        label = LIMITS[measure].label
        named = texts("physiology_wording")["no_class"]
        raise HalewardError(named.format(label=label, value=f"{value:g}", scheme=known[0]["scheme_label"]))
    return under[-1]["class"]


def intensity_classes(values: Mapping[Measure, float], *, scheme: Scheme = "acsm_2011") -> dict[Measure, str]:
    """The class by each measure given; measures often disagree, and none of them is then the right one."""
    return {measure: intensity_class(measure, value, scheme=scheme) for measure, value in values.items()}


def intensity_schemes() -> dict[str, str]:
    """The schemes of classes, with the source of each in words."""
    return {row["scheme"]: row["scheme_label"] for row in rows("intensity_classes")}


def effort_pairs() -> tuple[EffortPair, ...]:
    """The pairs of ranges that the reference gives, with their sources."""
    return tuple(
        EffortPair(
            row["use"],
            (float(row["effort_0_10_low"]), float(row["effort_0_10_high"])),
            (float(row["effort_6_20_low"]), float(row["effort_6_20_high"])),
            cited(row),
        )
        for row in rows("effort_pairs")
    )


def effort_relation_text() -> str:
    """The sentence that goes with the table of pairs."""
    return texts("physiology_wording")["effort_scales"]


def repetitions_in_reserve(*, effort_0_10: float) -> tuple[int, int] | None:
    """Fewest and most repetitions left at this effort at the end of a set; ``None`` below 5, where it is only "light".

    Worse the further from the end and in long sets (Zourdos 2021). Source: Zourdos 2016; Helms 2016.
    """
    EFFORT_0_10.check(effort_0_10)
    for row in rows("repetitions_in_reserve"):
        if effort_0_10 >= float(row["effort_0_10_from"]):
            return int(row["reserve_low"]), int(row["reserve_high"])
    return None


def effort_6_20_of_reserve(*, reserve: int) -> tuple[int, int]:
    """The range of the 6 to 20 scale that goes with so many repetitions left (common practice, no source)."""
    Range(0, 30, "repetitions", "Repetitions left", whole=True).check(reserve)
    row = next(row for row in rows("reserve_effort_6_20") if reserve >= int(row["reserve_from"]))
    return int(row["effort_6_20_low"]), int(row["effort_6_20_high"])


def _scheme(scheme: str) -> list[dict[str, str]]:
    known = [row for row in rows("intensity_classes") if row["scheme"] == scheme]
    if not known:
        raise HalewardError(f"There is no scheme of classes {scheme!r}; it must be {' or '.join(intensity_schemes())}.")
    return known

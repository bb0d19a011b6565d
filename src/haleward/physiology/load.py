"""How much one session was: from effort, or from heart rate as a trend only."""

from __future__ import annotations

import numpy as np

from haleward.formula import Choice, Range, either, formula, require
from haleward.physiology.heart_rate import MAXIMUM, RESTING, fraction_of_reserve

MINUTES = Range(0, 600, "min", "Duration")


@formula(
    title="Session load from effort",
    equation="effort (0 to 10) × minutes",
    unit="load units",
    ranges={"effort_0_10": Range(0, 10, "1", "Effort on the 0 to 10 scale"), "duration_min": MINUTES},
    source="Foster 1995, 2001",
    trust="seen second-hand",
    error="Needs no maximal heart rate, so it also holds under a beta-blocker. Never with the 6 to 20 scale.",
)
def session_load(*, effort_0_10: float, duration_min: float) -> float:
    """Load of a session from its overall effort and its minutes."""
    return effort_0_10 * duration_min


@formula(
    title="Training impulse from heart rate (Banister 1991)",
    equation="minutes × x × k × e^(b × x), x = fraction of the reserve; men k 0.64, b 1.92; women k 0.86, b 1.67",
    unit="load units",
    ranges={
        "duration_min": MINUTES,
        "rate_bpm": Range(30, 250, "bpm", "Mean heart rate"),
        "resting_bpm": RESTING,
        "maximum_bpm": MAXIMUM,
        "sex": Choice(("female", "male"), "Sex"),
    },
    source="Banister 1991; Morton 1990",
    trust="seen second-hand",
    error="A trend only: without meaning where the maximum is a weak prediction or a medicine slows the heart.",
    population="trained people",
)
def training_impulse_banister_1991(
    *, duration_min: float, rate_bpm: float, resting_bpm: float, maximum_bpm: float, sex: str
) -> float:
    """Load of a session from its mean heart rate, weighted by how lactate rises in trained people.

    Raises Inconsistent for a mean rate under rest or over the maximum: the curve was made between them.
    """
    share = fraction_of_reserve(rate_bpm=rate_bpm, resting_bpm=resting_bpm, maximum_bpm=maximum_bpm)
    require(
        (np.asarray(share) >= 0) & (np.asarray(share) <= 1),
        "Mean heart rate {mean} bpm is not between rest ({rest} bpm) and maximum ({top} bpm); check the readings.",
        mean=rate_bpm,
        rest=resting_bpm,
        top=maximum_bpm,
    )
    k, b = either(sex == "male", 0.64, 0.86), either(sex == "male", 1.92, 1.67)
    impulse: float = duration_min * share * k * np.exp(b * share)
    return impulse


ZONE_MINUTES = {f"zone_{n}_min": Range(0, 600, "min", f"Minutes in band {n}") for n in range(1, 6)}


@formula(
    title="Load from minutes in bands",
    equation="1 × band 1 + 2 × band 2 + 3 × band 3 + 4 × band 4 + 5 × band 5",
    unit="load units",
    ranges=ZONE_MINUTES,
    source="Edwards 1993: minutes in 50 to 60, 60 to 70 ... 90 to 100 per cent of maximum",
    trust="seen second-hand",
    error="The five bands lack physiological validation.",
)
def band_load(
    *, zone_1_min: float, zone_2_min: float, zone_3_min: float, zone_4_min: float, zone_5_min: float
) -> float:
    """Load of a session from the minutes spent in each tenth of maximal heart rate."""
    return zone_1_min + 2 * zone_2_min + 3 * zone_3_min + 4 * zone_4_min + 5 * zone_5_min

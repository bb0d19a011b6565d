"""How the heart answers effort: recovery, chronotropic index, rate-pressure product, rise of blood pressure."""

from __future__ import annotations

import numpy as np

from haleward.formula import Range, formula, require
from haleward.physiology.heart_rate import AGE, RESTING

MMHG_PER_MET, MMHG_PER_MET_SPREAD = 10.0, 2.0

PEAK = Range(40, 250, "bpm", "Peak heart rate")


@formula(
    title="Heart-rate recovery",
    equation="peak − heart rate one minute later",
    unit="bpm",
    ranges={"peak_bpm": PEAK, "one_minute_bpm": Range(30, 250, "bpm", "Heart rate one minute later")},
    source="Cole 1999; used as not more than 12 in Nishime 2000, JAMA",
    trust="source seen",
    error="12 bpm or less with a walking cool-down is taken as abnormal; other protocols have other limits.",
    bounds=(None, None),
)
def heart_rate_recovery_bpm(*, peak_bpm: float, one_minute_bpm: float) -> float:
    """Fall of the heart rate in the first minute after effort; negative if it rose."""
    return peak_bpm - one_minute_bpm


@formula(
    title="Heart-rate recovery in two minutes",
    equation="peak − heart rate two minutes later",
    unit="bpm",
    ranges={"peak_bpm": PEAK, "two_minute_bpm": Range(30, 250, "bpm", "Heart rate two minutes later")},
    source="Cole 2000",
    trust="source seen",
    error="42 bpm or less after a submaximal test is taken as abnormal; after a maximal test the limit is weak.",
    bounds=(None, None),
)
def heart_rate_recovery_two_minutes_bpm(*, peak_bpm: float, two_minute_bpm: float) -> float:
    """Fall of the heart rate in the first two minutes after effort; negative if it rose."""
    return peak_bpm - two_minute_bpm


@formula(
    title="Chronotropic index",
    equation="(peak − rest) ÷ ((220 − age) − rest)",
    unit="1",
    ranges={"peak_bpm": PEAK, "resting_bpm": RESTING, "age_y": AGE},
    source="Gulati 2010; under a beta-blocker Smarz 2021",
    trust="source seen",
    error="Low under 0.80; under a beta-blocker 0.62 or less.",
    population="not in atrial fibrillation",
)
def chronotropic_index(*, peak_bpm: float, resting_bpm: float, age_y: float) -> float:
    """Share of the predicted reserve that was used. Raises Inconsistent if 220 − age is not above rest."""
    require(
        220 - np.asarray(age_y) > np.asarray(resting_bpm),
        "The maximum predicted for age {age} is not above the resting heart rate ({rest} bpm); check both values.",
        age=age_y,
        rest=resting_bpm,
    )
    return (peak_bpm - resting_bpm) / (220 - age_y - resting_bpm)


@formula(
    title="Rate-pressure product",
    equation="heart rate × systolic pressure",
    unit="bpm·mmHg",
    ranges={
        "rate_bpm": Range(30, 250, "bpm", "Heart rate"),
        "systolic_mmhg": Range(50, 300, "mmHg", "Systolic blood pressure"),
    },
    source="Definition of the rate-pressure product",
    trust="definition",
    error="Typical peak 25 000 to 40 000; angina tends to come back at a like value (both from memory, unverified).",
)
def rate_pressure_product(*, rate_bpm: float, systolic_mmhg: float) -> float:
    """Heart rate times systolic pressure, a stand-in for the work of the heart."""
    return rate_bpm * systolic_mmhg


@formula(
    title="Expected rise of systolic pressure",
    equation="10 × METs above rest",
    unit="mmHg",
    ranges={"met_rise": Range(0, 20, "METs", "METs above rest")},
    source="ACSM Guidelines for Exercise Testing and Prescription",
    trust="from memory, unverified",
    error="10 ± 2 mmHg a MET. A prompt only: a review finds little ground for it (Currie et al. 2018).",
    spread=lambda met_rise: (
        (MMHG_PER_MET - MMHG_PER_MET_SPREAD) * met_rise,
        (MMHG_PER_MET + MMHG_PER_MET_SPREAD) * met_rise,
    ),
)
def expected_systolic_rise_mmhg(*, met_rise: float) -> float:
    """About how far systolic pressure rises with effort. Never a limit, and never a reason by itself to stop."""
    return MMHG_PER_MET * met_rise

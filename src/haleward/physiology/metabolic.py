"""Oxygen uptake of steady walking, running, stepping and cycling, and the way back to a speed or a work rate.

All are gross steady-state values of the published metabolic equations. They overestimate when the effort is not yet
steady, with a hand on a rail, and in people with little fitness or heart failure (from memory, unverified).
"""

from __future__ import annotations

from collections.abc import Mapping

from haleward.formula import Range, find, formula, require
from haleward.units import VO2_PER_MET

# 3.5 mL/kg/min stands for resting use in every equation here, as one MET.
REST_ML_PER_KG_MIN = VO2_PER_MET
LEAST_CYCLING = 2 * VO2_PER_MET  # of cycling without load
ACSM = (
    "ACSM Guidelines for Exercise Testing and Prescription, table of metabolic calculations; restated by Bushman 2020"
)
ACSM_SHARE = 0.07
ACSM_ERROR = "Roughly 7 per cent standard error (from memory, unverified)."
GRADE = Range(0, 0.25, "1", "Grade as a fraction")
VO2 = Range(VO2_PER_MET, 90, "mL/kg/min", "Oxygen uptake")
MASS = Range(25, 300, "kg", "Body mass")
WALKING_SPEED = Range(0, 134, "m/min", "Walking speed", stated_low=50, stated_high=100)
RUNNING_SPEED = Range(80, 400, "m/min", "Running speed", stated_low=134)
STEP_RATE = Range(1, 60, "steps/min", "Stepping rate", stated_low=12, stated_high=30)
STEP_HEIGHT = Range(0.02, 0.6, "m", "Step height", stated_low=0.04, stated_high=0.40)


def _share(equation: str, given: Mapping[str, float]) -> tuple[float, float]:
    """The likely range of an oxygen uptake whose error is a share of it."""
    value = find(equation).call(**given)
    return value * (1 - ACSM_SHARE), value * (1 + ACSM_SHARE)


def share_back(inverse: str, given: Mapping[str, float], least: float = REST_ML_PER_KG_MIN) -> tuple[float, float]:
    """The likely range of what is solved for, when one person's oxygen uptake may be a share off."""
    others = {key: value for key, value in given.items() if key != "vo2_ml_per_kg_min"}
    vo2 = given["vo2_ml_per_kg_min"]
    low, high = max(least, vo2 * (1 - ACSM_SHARE)), min(VO2.high, vo2 * (1 + ACSM_SHARE))
    solved = find(inverse)
    return solved.call(vo2_ml_per_kg_min=low, **others), solved.call(vo2_ml_per_kg_min=high, **others)


@formula(
    title="Oxygen uptake of walking",
    equation="3.5 + 0.1 × speed + 1.8 × speed × grade",
    unit="mL/kg/min",
    ranges={"speed_m_per_min": WALKING_SPEED, "grade_fraction": GRADE},
    source=ACSM,
    trust="source seen",
    error=ACSM_ERROR,
    spread=lambda **given: _share("vo2_walking_acsm", given),
)
def vo2_walking_acsm(*, speed_m_per_min: float, grade_fraction: float) -> float:
    """Gross oxygen uptake of steady walking. Above 100 m/min only if the person is truly walking."""
    return REST_ML_PER_KG_MIN + 0.1 * speed_m_per_min + 1.8 * speed_m_per_min * grade_fraction


@formula(
    title="Walking speed for an oxygen uptake",
    equation="(VO2 − 3.5) ÷ (0.1 + 1.8 × grade)",
    unit="m/min",
    ranges={"vo2_ml_per_kg_min": VO2, "grade_fraction": GRADE},
    source=ACSM,
    trust="source seen",
    error=ACSM_ERROR,
    spread=lambda **given: share_back("walking_speed_m_per_min_acsm", given),
)
def walking_speed_m_per_min_acsm(*, vo2_ml_per_kg_min: float, grade_fraction: float) -> float:
    """Speed of steady walking that uses this much oxygen. A result outside 50 to 100 m/min is extrapolated."""
    return (vo2_ml_per_kg_min - REST_ML_PER_KG_MIN) / (0.1 + 1.8 * grade_fraction)


@formula(
    title="Oxygen uptake of running",
    equation="3.5 + 0.2 × speed + 0.9 × speed × grade",
    unit="mL/kg/min",
    ranges={"speed_m_per_min": RUNNING_SPEED, "grade_fraction": GRADE},
    source=ACSM,
    trust="seen second-hand",
    error=ACSM_ERROR,
    spread=lambda **given: _share("vo2_running_acsm", given),
)
def vo2_running_acsm(*, speed_m_per_min: float, grade_fraction: float) -> float:
    """Gross oxygen uptake of steady running. From 80 to 134 m/min only if truly jogging; not for hills outdoors."""
    return REST_ML_PER_KG_MIN + 0.2 * speed_m_per_min + 0.9 * speed_m_per_min * grade_fraction


@formula(
    title="Running speed for an oxygen uptake",
    equation="(VO2 − 3.5) ÷ (0.2 + 0.9 × grade)",
    unit="m/min",
    ranges={"vo2_ml_per_kg_min": VO2, "grade_fraction": GRADE},
    source=ACSM,
    trust="seen second-hand",
    error=ACSM_ERROR,
    spread=lambda **given: share_back("running_speed_m_per_min_acsm", given),
)
def running_speed_m_per_min_acsm(*, vo2_ml_per_kg_min: float, grade_fraction: float) -> float:
    """Speed of steady running that uses this much oxygen. A result under 134 m/min holds only for true jogging."""
    return (vo2_ml_per_kg_min - REST_ML_PER_KG_MIN) / (0.2 + 0.9 * grade_fraction)


@formula(
    title="Oxygen uptake of stepping",
    equation="3.5 + 0.2 × steps + 1.33 × 1.8 × height × steps",
    unit="mL/kg/min",
    ranges={
        "steps_per_min": STEP_RATE,
        "height_m": STEP_HEIGHT,
    },
    source=f"{ACSM}; error from Latin 2001",
    trust="seen second-hand",
    error="Standard error 1.7 mL/kg/min in adults of 19 to 35 years.",
    standard_error=1.7,
)
def vo2_stepping_acsm(*, steps_per_min: float, height_m: float) -> float:
    """Gross oxygen uptake of steady stepping; one step is a full cycle up, up, down, down. No hand support."""
    return REST_ML_PER_KG_MIN + 0.2 * steps_per_min + 1.33 * 1.8 * height_m * steps_per_min


@formula(
    title="Stepping rate for an oxygen uptake",
    equation="(VO2 − 3.5) ÷ (0.2 + 1.33 × 1.8 × height)",
    unit="steps/min",
    ranges={
        "vo2_ml_per_kg_min": VO2,
        "height_m": STEP_HEIGHT,
    },
    source=ACSM,
    trust="seen second-hand",
    error=ACSM_ERROR,
    spread=lambda **given: share_back("stepping_rate_per_min_acsm", given),
)
def stepping_rate_per_min_acsm(*, vo2_ml_per_kg_min: float, height_m: float) -> float:
    """Full step cycles a minute that use this much oxygen. A result outside 12 to 30 is extrapolated."""
    return (vo2_ml_per_kg_min - REST_ML_PER_KG_MIN) / (0.2 + 1.33 * 1.8 * height_m)


LEG_POWER = Range(0, 3000, "kg·m/min", "Work rate", stated_low=300, stated_high=1200)
ARM_POWER = Range(0, 1500, "kg·m/min", "Work rate", stated_low=150, stated_high=750)


@formula(
    title="Oxygen uptake of leg cycling",
    equation="3.5 + 3.5 + 1.8 × work rate ÷ body mass",
    unit="mL/kg/min",
    ranges={"power_kgm_per_min": LEG_POWER, "mass_kg": MASS},
    source=ACSM,
    trust="source seen",
    error=ACSM_ERROR,
    spread=lambda **given: _share("vo2_leg_cycling_acsm", given),
)
def vo2_leg_cycling_acsm(*, power_kgm_per_min: float, mass_kg: float) -> float:
    """Gross oxygen uptake of steady cycling on an ergometer. Watts become kg·m/min by a constant the caller names."""
    return LEAST_CYCLING + 1.8 * power_kgm_per_min / mass_kg


@formula(
    title="Leg cycling work rate for an oxygen uptake",
    equation="(VO2 − 7) × body mass ÷ 1.8",
    unit="kg·m/min",
    ranges={"vo2_ml_per_kg_min": VO2, "mass_kg": MASS},
    source=ACSM,
    trust="source seen",
    error=ACSM_ERROR,
    spread=lambda **given: share_back("leg_cycling_kgm_per_min_acsm", given, LEAST_CYCLING),
)
def leg_cycling_kgm_per_min_acsm(*, vo2_ml_per_kg_min: float, mass_kg: float) -> float:
    """Work rate of leg cycling that uses this much oxygen. Raises Inconsistent below unloaded cycling, 7 mL/kg/min."""
    require(
        vo2_ml_per_kg_min >= LEAST_CYCLING,
        f"Oxygen uptake {{vo2}} mL/kg/min is below that of cycling without load, {LEAST_CYCLING:g}; there is "
        "no work rate for it.",
        vo2=vo2_ml_per_kg_min,
    )
    return (vo2_ml_per_kg_min - LEAST_CYCLING) * mass_kg / 1.8


@formula(
    title="Oxygen uptake of arm cycling",
    equation="3.5 + 3 × work rate ÷ body mass",
    unit="mL/kg/min",
    ranges={"power_kgm_per_min": ARM_POWER, "mass_kg": MASS},
    source=ACSM,
    trust="seen second-hand",
    error=ACSM_ERROR,
    spread=lambda **given: _share("vo2_arm_cycling_acsm", given),
)
def vo2_arm_cycling_acsm(*, power_kgm_per_min: float, mass_kg: float) -> float:
    """Gross oxygen uptake of steady arm cranking on an ergometer."""
    return REST_ML_PER_KG_MIN + 3 * power_kgm_per_min / mass_kg


@formula(
    title="Arm cycling work rate for an oxygen uptake",
    equation="(VO2 − 3.5) × body mass ÷ 3",
    unit="kg·m/min",
    ranges={"vo2_ml_per_kg_min": VO2, "mass_kg": MASS},
    source=ACSM,
    trust="seen second-hand",
    error=ACSM_ERROR,
    spread=lambda **given: share_back("arm_cycling_kgm_per_min_acsm", given),
)
def arm_cycling_kgm_per_min_acsm(*, vo2_ml_per_kg_min: float, mass_kg: float) -> float:
    """Work rate of arm cranking that uses this much oxygen."""
    return (vo2_ml_per_kg_min - REST_ML_PER_KG_MIN) * mass_kg / 3

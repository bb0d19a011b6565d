"""The grade, step height and watts that use a wanted amount of oxygen: the metabolic equations solved for the rest.

Speed, stepping rate and work rate in kg·m/min are solved for in :mod:`haleward.physiology.metabolic`.
"""

from __future__ import annotations

from haleward.formula import Range, formula, require
from haleward.physiology.metabolic import (
    ACSM,
    ACSM_ERROR,
    LEAST_CYCLING,
    MASS,
    REST_ML_PER_KG_MIN,
    RUNNING_SPEED,
    STEP_RATE,
    VO2,
    arm_cycling_kgm_per_min_acsm,
    leg_cycling_kgm_per_min_acsm,
    share_back,
)
from haleward.units import KGM_PER_MIN_PER_W_COMPENDIUM, KGM_PER_MIN_PER_W_TEACHING, cm_from_m, w_from_kgm_per_min

SOLVING_SPEED = Range(20, 134, "m/min", "Walking speed", stated_low=50, stated_high=100)
# The caller names the constant: 6 in most teaching, 6.12 in the activity compendium; 2 per cent apart.
KGM_PER_MIN_PER_W = Range(
    KGM_PER_MIN_PER_W_TEACHING, KGM_PER_MIN_PER_W_COMPENDIUM, "kg·m/min per W", "kg·m/min in a watt"
)
TOO_LITTLE = (
    "Oxygen uptake {vo2} mL/kg/min is below that of this speed on the level, {level}; there is no grade for it."
)


@formula(
    title="Walking grade for an oxygen uptake",
    equation="(VO2 − 3.5 − 0.1 × speed) ÷ (1.8 × speed)",
    unit="1",
    ranges={"vo2_ml_per_kg_min": VO2, "speed_m_per_min": SOLVING_SPEED},
    source=ACSM,
    trust="source seen",
    error=ACSM_ERROR,
)
def walking_grade_fraction_acsm(*, vo2_ml_per_kg_min: float, speed_m_per_min: float) -> float:
    """Grade, as a fraction, at which this walking speed uses this much oxygen. Raises Inconsistent below the level."""
    level = REST_ML_PER_KG_MIN + 0.1 * speed_m_per_min
    require(vo2_ml_per_kg_min >= level, TOO_LITTLE, vo2=vo2_ml_per_kg_min, level=level)
    return (vo2_ml_per_kg_min - level) / (1.8 * speed_m_per_min)


@formula(
    title="Running grade for an oxygen uptake",
    equation="(VO2 − 3.5 − 0.2 × speed) ÷ (0.9 × speed)",
    unit="1",
    ranges={"vo2_ml_per_kg_min": VO2, "speed_m_per_min": RUNNING_SPEED},
    source=ACSM,
    trust="seen second-hand",
    error=f"{ACSM_ERROR} One printed key uses 1.8 for 0.9 and halves the grade: it is wrong.",
)
def running_grade_fraction_acsm(*, vo2_ml_per_kg_min: float, speed_m_per_min: float) -> float:
    """Grade, as a fraction, at which this running speed uses this much oxygen. Raises Inconsistent below the level."""
    level = REST_ML_PER_KG_MIN + 0.2 * speed_m_per_min
    require(vo2_ml_per_kg_min >= level, TOO_LITTLE, vo2=vo2_ml_per_kg_min, level=level)
    return (vo2_ml_per_kg_min - level) / (0.9 * speed_m_per_min)


@formula(
    title="Step height for an oxygen uptake",
    equation="100 × (VO2 − 3.5 − 0.2 × steps) ÷ (1.33 × 1.8 × steps)",
    unit="cm",
    ranges={"vo2_ml_per_kg_min": VO2, "steps_per_min": STEP_RATE},
    source=ACSM,
    trust="seen second-hand",
    error=f"{ACSM_ERROR} A height outside 4 to 40 cm is extrapolated.",
)
def step_height_cm_acsm(*, vo2_ml_per_kg_min: float, steps_per_min: float) -> float:
    """Step height, in centimetres, for this much oxygen at this rate. Raises Inconsistent below the rate's own cost."""
    flat = REST_ML_PER_KG_MIN + 0.2 * steps_per_min
    sentence = "Oxygen uptake {vo2} mL/kg/min is below that of stepping at this rate without height, {flat}."
    require(vo2_ml_per_kg_min >= flat, sentence, vo2=vo2_ml_per_kg_min, flat=flat)
    return cm_from_m(length_m=(vo2_ml_per_kg_min - flat) / (1.33 * 1.8 * steps_per_min))


@formula(
    title="Leg cycling watts for an oxygen uptake",
    equation="(VO2 − 7) × body mass ÷ 1.8 ÷ (kg·m/min in a watt)",
    unit="W",
    ranges={"vo2_ml_per_kg_min": VO2, "mass_kg": MASS, "kgm_per_min_per_w": KGM_PER_MIN_PER_W},
    source=ACSM,
    trust="source seen",
    error=ACSM_ERROR,
    spread=lambda **given: share_back("leg_cycling_w_acsm", given, LEAST_CYCLING),
)
def leg_cycling_w_acsm(*, vo2_ml_per_kg_min: float, mass_kg: float, kgm_per_min_per_w: float) -> float:
    """Power of leg cycling that uses this much oxygen, by the constant that the caller names."""
    power = leg_cycling_kgm_per_min_acsm(vo2_ml_per_kg_min=vo2_ml_per_kg_min, mass_kg=mass_kg)
    return w_from_kgm_per_min(power_kgm_per_min=power, kgm_per_min_per_w=kgm_per_min_per_w)


@formula(
    title="Arm cycling watts for an oxygen uptake",
    equation="(VO2 − 3.5) × body mass ÷ 3 ÷ (kg·m/min in a watt)",
    unit="W",
    ranges={"vo2_ml_per_kg_min": VO2, "mass_kg": MASS, "kgm_per_min_per_w": KGM_PER_MIN_PER_W},
    source=ACSM,
    trust="seen second-hand",
    error=ACSM_ERROR,
    spread=lambda **given: share_back("arm_cycling_w_acsm", given),
)
def arm_cycling_w_acsm(*, vo2_ml_per_kg_min: float, mass_kg: float, kgm_per_min_per_w: float) -> float:
    """Power of arm cranking that uses this much oxygen, by the constant that the caller names."""
    power = arm_cycling_kgm_per_min_acsm(vo2_ml_per_kg_min=vo2_ml_per_kg_min, mass_kg=mass_kg)
    return w_from_kgm_per_min(power_kgm_per_min=power, kgm_per_min_per_w=kgm_per_min_per_w)

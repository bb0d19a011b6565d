"""METs, energy and the amount of exercise."""

from __future__ import annotations

import numpy as np

from haleward.formula import Range, formula, require
from haleward.units import VO2_PER_MET, met_from_vo2, vo2_from_met

MET = Range(0.5, 25, "METs", "Energy cost")
MASS = Range(25, 300, "kg", "Body mass")
MINUTES = Range(0, 1440, "min", "Duration")
VO2 = Range(0, 90, "mL/kg/min", "Oxygen uptake")
COMPENDIUM = "Compendium of Physical Activities, unit conversions page"


@formula(
    title="METs of an oxygen uptake",
    equation="VO2 ÷ 3.5",
    unit="METs",
    ranges={"vo2_ml_per_kg_min": VO2},
    source="1 MET = 3.5 mL/kg/min by convention; Franklin et al. 2018, Am J Cardiol 121:382 on its limits",
    trust="definition",
    error="3.5 overstates resting use in coronary heart disease, great obesity and under a beta-blocker.",
)
def met_from_oxygen_uptake(*, vo2_ml_per_kg_min: float) -> float:
    """Oxygen uptake as multiples of the conventional resting use."""
    return met_from_vo2(vo2_ml_per_kg_min=vo2_ml_per_kg_min)


@formula(
    title="Oxygen uptake of a MET value",
    equation="METs × 3.5",
    unit="mL/kg/min",
    ranges={"energy_met": Range(0, 25, "METs", "Energy cost")},
    source="1 MET = 3.5 mL/kg/min by convention",
    trust="definition",
)
def oxygen_uptake_from_met(*, energy_met: float) -> float:
    """Multiples of the conventional resting use as oxygen uptake."""
    return vo2_from_met(energy_met=energy_met)


@formula(
    title="Oxygen uptake at a fraction of its reserve",
    equation="3.5 + fraction × (peak VO2 − 3.5)",
    unit="mL/kg/min",
    ranges={
        "peak_vo2_ml_per_kg_min": Range(0, 90, "mL/kg/min", "Peak oxygen uptake"),
        "fraction": Range(0, 1, "1", "Fraction of the reserve"),
    },
    source="ACSM Guidelines for Exercise Testing and Prescription",
    trust="from memory, unverified",
    error="As uncertain as the peak that goes in.",
)
def reserve_target_vo2(*, peak_vo2_ml_per_kg_min: float, fraction: float) -> float:
    """Oxygen uptake at a fraction of the reserve above resting. Raises Inconsistent for a peak not above 3.5."""
    require(
        np.asarray(peak_vo2_ml_per_kg_min) > VO2_PER_MET,
        "The peak oxygen uptake ({peak} mL/kg/min) is not above the resting {rest} mL/kg/min; check the test.",
        peak=peak_vo2_ml_per_kg_min,
        rest=VO2_PER_MET,
    )
    return VO2_PER_MET + fraction * (peak_vo2_ml_per_kg_min - VO2_PER_MET)


@formula(
    title="Fraction of the oxygen-uptake reserve",
    equation="(VO2 − 3.5) ÷ (peak VO2 − 3.5)",
    unit="1",
    ranges={"vo2_ml_per_kg_min": VO2, "peak_vo2_ml_per_kg_min": Range(0, 90, "mL/kg/min", "Peak oxygen uptake")},
    source="ACSM Guidelines for Exercise Testing and Prescription",
    trust="from memory, unverified",
    error="As uncertain as the peak that goes in; about the same as the fraction of the heart-rate reserve.",
)
def fraction_of_vo2_reserve(*, vo2_ml_per_kg_min: float, peak_vo2_ml_per_kg_min: float) -> float:
    """Share of the reserve above resting that an oxygen uptake uses; below 0 under rest, above 1 over the peak."""
    sentence = "The peak oxygen uptake ({peak} mL/kg/min) is not above the resting 3.5 mL/kg/min; check the test."
    require(peak_vo2_ml_per_kg_min > VO2_PER_MET, sentence, peak=peak_vo2_ml_per_kg_min)
    return (vo2_ml_per_kg_min - VO2_PER_MET) / (peak_vo2_ml_per_kg_min - VO2_PER_MET)


@formula(
    title="Oxygen uptake at a fraction of the peak",
    equation="fraction × peak VO2",
    unit="mL/kg/min",
    ranges={
        "peak_vo2_ml_per_kg_min": Range(0, 90, "mL/kg/min", "Peak oxygen uptake"),
        "fraction": Range(0, 1, "1", "Fraction of the peak"),
    },
    source="Definition of per cent of peak oxygen uptake",
    trust="definition",
    error="As uncertain as the peak that goes in.",
)
def peak_target_vo2(*, peak_vo2_ml_per_kg_min: float, fraction: float) -> float:
    """Oxygen uptake at a fraction of the peak. Not the same scale as a fraction of the reserve."""
    return fraction * peak_vo2_ml_per_kg_min


@formula(
    title="Energy used, from oxygen",
    equation="METs × 3.5 × body mass ÷ 200 × minutes",
    unit="kcal",
    ranges={"energy_met": MET, "mass_kg": MASS, "duration_min": MINUTES},
    source=COMPENDIUM,
    trust="source seen",
    error="5 per cent above the form of 1 kcal per kilogram and hour; never mix the two.",
)
def energy_kcal(*, energy_met: float, mass_kg: float, duration_min: float) -> float:
    """Gross energy by 3.5 mL/kg/min a MET and 5 kcal a litre of oxygen: the form used throughout."""
    return energy_met * VO2_PER_MET * mass_kg / 200 * duration_min


@formula(
    title="Energy used, by 1 kcal per kilogram and hour",
    equation="METs × body mass × minutes ÷ 60",
    unit="kcal",
    ranges={"energy_met": MET, "mass_kg": MASS, "duration_min": MINUTES},
    source=COMPENDIUM,
    trust="source seen",
    error="5 per cent below the form from oxygen; never mix the two.",
)
def energy_kcal_by_hour(*, energy_met: float, mass_kg: float, duration_min: float) -> float:
    """Gross energy by 1 kcal per kilogram and hour a MET: for checking against tables that use it."""
    return energy_met * mass_kg * duration_min / 60


@formula(
    title="Minutes for an amount of energy, from oxygen",
    equation="energy ÷ (METs × 3.5 × body mass ÷ 200)",
    unit="min",
    ranges={"energy_kcal": Range(0, 10000, "kcal", "Energy"), "energy_met": MET, "mass_kg": MASS},
    source=COMPENDIUM,
    trust="source seen",
    error="5 per cent shorter than by 1 kcal per kilogram and hour; never mix the two.",
)
def minutes_for_energy(*, energy_kcal: float, energy_met: float, mass_kg: float) -> float:
    """Minutes at this energy cost that use this much gross energy."""
    return energy_kcal / (energy_met * VO2_PER_MET * mass_kg / 200)


@formula(
    title="Amount of exercise",
    equation="METs × minutes",
    unit="MET·min",
    ranges={"energy_met": MET, "duration_min": MINUTES},
    source="Garber et al. 2011, ACSM position stand",
    trust="source seen",
)
def met_minutes(*, energy_met: float, duration_min: float) -> float:
    """Gross MET-minutes of one bout; add bouts for a week."""
    return energy_met * duration_min

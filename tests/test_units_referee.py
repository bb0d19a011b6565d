"""A library of units, written by others, agrees with every conversion."""

from __future__ import annotations

from typing import Any

import pint
import pytest

from haleward import units

REGISTRY: Any = pint.UnitRegistry()
REGISTRY.define("met = 3.5 * milliliter / kilogram / minute")
GLUCOSE_G_PER_MOL, CHOLESTEROL_G_PER_MOL = 180.156, 386.65
# name, our argument, value, its unit, the unit of the result, further arguments, relative tolerance
CASES: list[tuple[str, str, float, str, str, dict[str, float], float]] = [
    (
        "m_per_min_from_mph",
        "speed_mph",
        3.5,
        "mph",
        "m/min",
        {"m_per_min_per_mph": units.M_PER_MIN_PER_MPH_EXACT},
        1e-12,
    ),
    (
        "mph_from_m_per_min",
        "speed_m_per_min",
        90,
        "m/min",
        "mph",
        {"m_per_min_per_mph": units.M_PER_MIN_PER_MPH_EXACT},
        1e-12,
    ),
    ("m_per_min_from_km_per_h", "speed_km_per_h", 4.86, "km/hour", "m/min", {}, 1e-12),
    ("km_per_h_from_m_per_min", "speed_m_per_min", 81, "m/min", "km/hour", {}, 1e-12),
    ("m_per_min_from_m_per_s", "speed_m_per_s", 1.35, "m/s", "m/min", {}, 1e-12),
    ("m_per_s_from_m_per_min", "speed_m_per_min", 81, "m/min", "m/s", {}, 1e-12),
    ("km_per_h_from_m_per_s", "speed_m_per_s", 2.37, "m/s", "km/hour", {}, 1e-12),
    ("m_per_s_from_km_per_h", "speed_km_per_h", 8.53, "km/hour", "m/s", {}, 1e-12),
    (
        "kgm_per_min_from_w",
        "power_w",
        75,
        "W",
        "kgf*m/min",
        {"kgm_per_min_per_w": units.KGM_PER_MIN_PER_W_EXACT},
        1e-12,
    ),
    (
        "w_from_kgm_per_min",
        "power_kgm_per_min",
        450,
        "kgf*m/min",
        "W",
        {"kgm_per_min_per_w": units.KGM_PER_MIN_PER_W_EXACT},
        1e-12,
    ),
    ("vo2_from_met", "energy_met", 5.1, "met", "mL/kg/min", {}, 1e-12),
    ("met_from_vo2", "vo2_ml_per_kg_min", 17.85, "mL/kg/min", "met", {}, 1e-12),
    ("kg_from_lb", "mass_lb", 176, "lb", "kg", {}, 1e-12),
    ("lb_from_kg", "mass_kg", 80, "kg", "lb", {}, 1e-12),
    ("kg_from_stone", "mass_stone", 12, "stone", "kg", {"mass_lb": 0}, 1e-12),
    ("stone_from_kg", "mass_kg", 80, "kg", "stone", {}, 1e-12),
    ("m_from_cm", "length_cm", 175, "cm", "m", {}, 1e-12),
    ("cm_from_m", "length_m", 1.75, "m", "cm", {}, 1e-12),
    ("m_from_ft", "length_ft", 5.5, "ft", "m", {"length_in": 0}, 1e-12),
    ("in_from_m", "length_m", 1.75, "m", "inch", {}, 1e-12),
    ("c_from_f", "temperature_f", 98.6, "degF", "degC", {}, 1e-9),
    ("f_from_c", "temperature_c", 37.2, "degC", "degF", {}, 1e-9),
    ("mmhg_from_kpa", "pressure_kpa", 16, "kPa", "mmHg", {}, 1e-6),
    ("kpa_from_mmhg", "pressure_mmhg", 120, "mmHg", "kPa", {}, 1e-6),
    ("kcal_from_kj", "energy_kj", 500, "kJ", "kcal", {}, 1e-12),
    ("kj_from_kcal", "energy_kcal", 120, "kcal", "kJ", {}, 1e-12),
]
# Laboratory units: an amount and a mass meet by the molar mass.
LABORATORY = [
    ("glucose_mg_per_dl_from_mmol_per_l", "glucose_mmol_per_l", 7.2, "mmol/L", "mg/dL", GLUCOSE_G_PER_MOL, 1e-9),
    ("glucose_mmol_per_l_from_mg_per_dl", "glucose_mg_per_dl", 126, "mg/dL", "mmol/L", GLUCOSE_G_PER_MOL, 1e-9),
    (
        "cholesterol_mg_per_dl_from_mmol_per_l",
        "cholesterol_mmol_per_l",
        1.4,
        "mmol/L",
        "mg/dL",
        CHOLESTEROL_G_PER_MOL,
        2e-4,
    ),
    (
        "cholesterol_mmol_per_l_from_mg_per_dl",
        "cholesterol_mg_per_dl",
        70,
        "mg/dL",
        "mmol/L",
        CHOLESTEROL_G_PER_MOL,
        2e-4,
    ),
]
# No library of units knows the relation of the two ways to report HbA1c: it is a regression, not a unit.
NO_REFEREE = {"hba1c_percent_from_mmol_per_mol", "hba1c_mmol_per_mol_from_percent"}


@pytest.mark.parametrize("case", CASES, ids=lambda case: case[0])
def test_a_conversion_agrees_with_the_library_of_units(case: tuple[Any, ...]) -> None:
    name, argument, value, given, wanted, further, tolerance = case
    ours = getattr(units, name)(**{argument: value}, **further)
    theirs = REGISTRY.Quantity(value, given).to(wanted).magnitude
    assert ours == pytest.approx(theirs, rel=tolerance)


@pytest.mark.parametrize("case", LABORATORY, ids=lambda case: case[0])
def test_a_laboratory_conversion_agrees_by_molar_mass(case: tuple[Any, ...]) -> None:
    name, argument, value, given, wanted, molar_mass, tolerance = case
    ours = getattr(units, name)(**{argument: value})
    molar = REGISTRY.Quantity(molar_mass, "g/mol")
    amount = REGISTRY.Quantity(value, given)
    theirs = (amount * molar if given.startswith("mmol") else amount / molar).to(wanted).magnitude
    assert ours == pytest.approx(theirs, rel=tolerance)


def test_every_conversion_has_its_referee() -> None:
    known = {name for name in vars(units) if "_from_" in name}
    refereed = {case[0] for case in CASES} | {case[0] for case in LABORATORY} | NO_REFEREE
    assert known == refereed

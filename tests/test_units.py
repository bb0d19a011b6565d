"""Conversions return, keep order, and are shown the same way everywhere."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from haleward import units
from haleward.errors import HalewardError
from haleward.units import rounded, shown

SIZES = st.floats(min_value=0, max_value=1e6, allow_nan=False)
PAIRS: list[tuple[Callable[..., float], str, Callable[..., float], str, dict[str, float]]] = [
    (
        units.m_per_min_from_mph,
        "speed_mph",
        units.mph_from_m_per_min,
        "speed_m_per_min",
        {"m_per_min_per_mph": units.M_PER_MIN_PER_MPH_TEACHING},
    ),
    (units.m_per_min_from_km_per_h, "speed_km_per_h", units.km_per_h_from_m_per_min, "speed_m_per_min", {}),
    (units.m_per_min_from_m_per_s, "speed_m_per_s", units.m_per_s_from_m_per_min, "speed_m_per_min", {}),
    (units.km_per_h_from_m_per_s, "speed_m_per_s", units.m_per_s_from_km_per_h, "speed_km_per_h", {}),
    (
        units.kgm_per_min_from_w,
        "power_w",
        units.w_from_kgm_per_min,
        "power_kgm_per_min",
        {"kgm_per_min_per_w": units.KGM_PER_MIN_PER_W_EXACT},
    ),
    (units.vo2_from_met, "energy_met", units.met_from_vo2, "vo2_ml_per_kg_min", {}),
    (units.kg_from_lb, "mass_lb", units.lb_from_kg, "mass_kg", {}),
    (units.m_from_cm, "length_cm", units.cm_from_m, "length_m", {}),
    (
        units.glucose_mg_per_dl_from_mmol_per_l,
        "glucose_mmol_per_l",
        units.glucose_mmol_per_l_from_mg_per_dl,
        "glucose_mg_per_dl",
        {},
    ),
    (
        units.cholesterol_mg_per_dl_from_mmol_per_l,
        "cholesterol_mmol_per_l",
        units.cholesterol_mmol_per_l_from_mg_per_dl,
        "cholesterol_mg_per_dl",
        {},
    ),
    (
        units.hba1c_percent_from_mmol_per_mol,
        "hba1c_mmol_per_mol",
        units.hba1c_mmol_per_mol_from_percent,
        "hba1c_percent",
        {},
    ),
]


@pytest.mark.parametrize(
    ("there", "given_as", "back", "taken_as", "constants"), PAIRS, ids=lambda part: getattr(part, "__name__", str(part))
)
@given(value=SIZES)
def test_a_conversion_and_its_inverse_return_the_value(
    there: Callable[..., float],
    given_as: str,
    back: Callable[..., float],
    taken_as: str,
    constants: dict[str, float],
    value: float,
) -> None:
    returned = back(**{taken_as: there(**{given_as: value}, **constants)}, **constants)
    assert math.isclose(returned, value, rel_tol=1e-12, abs_tol=1e-9)


@given(stone=st.integers(0, 40), pounds=st.floats(0, 13.99))
def test_stone_and_pounds_return_as_decimal_stone(stone: int, pounds: float) -> None:
    mass_kg = units.kg_from_stone(mass_stone=stone, mass_lb=pounds)
    assert math.isclose(units.stone_from_kg(mass_kg=mass_kg), stone + pounds / 14, abs_tol=1e-9)


@given(feet=st.integers(0, 8), inches=st.floats(0, 11.99))
def test_feet_and_inches_return_as_inches(feet: int, inches: float) -> None:
    length_m = units.m_from_ft(length_ft=feet, length_in=inches)
    assert math.isclose(units.in_from_m(length_m=length_m), 12 * feet + inches, abs_tol=1e-9)


def test_an_array_is_converted_like_its_numbers() -> None:
    speeds = np.array([1.0, 3.6, 8.53])
    together = units.m_per_min_from_km_per_h(speed_km_per_h=speeds)  # type: ignore[arg-type]
    assert list(np.asarray(together)) == [units.m_per_min_from_km_per_h(speed_km_per_h=float(v)) for v in speeds]


def test_the_rival_constants_differ_by_what_the_reference_says() -> None:
    assert pytest.approx(1.02) == units.KGM_PER_MIN_PER_W_COMPENDIUM / units.KGM_PER_MIN_PER_W_TEACHING
    assert pytest.approx(6.118, abs=0.001) == units.KGM_PER_MIN_PER_W_EXACT
    assert pytest.approx(26.8224) == units.M_PER_MIN_PER_MPH_EXACT


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (88.5, "bpm", "89 bpm"),
        (89.5, "bpm", "90 bpm"),
        (15.15, "mL/kg/min", "15.2 mL/kg/min"),
        (-0.01, "kg", "0.0 kg"),
        (78.88, "%", "79%"),
        (0.425, "1", "0.43"),
        (420.0, "m", "420 m"),
    ],
)
def test_a_value_is_shown_with_halves_up_and_its_unit(value: float, unit: str, text: str) -> None:
    assert shown(value, unit) == text


def test_a_unit_that_nobody_defined_is_refused() -> None:
    with pytest.raises(HalewardError, match="no way of showing the unit 'furlong'"):
        rounded(1.0, "furlong")

"""Every conversion of units, in one place, and how each unit is shown.

Arguments are keyword-only and named with their unit; floats and NumPy arrays both work and the same comes back.
Two conversions have rival constants in print (miles per hour, watts): there the caller names the constant, because
the choice changes a result by up to 2 per cent. Nothing here rounds except :func:`shown`.
"""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal

from haleward.errors import HalewardError
from haleward.worksheet import Figure

# 1 MET is 3.5 mL/kg/min by convention; it overstates resting use in many people with heart disease.
VO2_PER_MET = 3.5
# Metres per minute in one mile per hour: as printed in teaching tables, and by the definition of the mile.
M_PER_MIN_PER_MPH_TEACHING = 26.8
M_PER_MIN_PER_MPH_EXACT = 1609.344 / 60
# Kilogram-metres per minute in one watt: most handouts, the activity compendium's table, and by definition.
KGM_PER_MIN_PER_W_TEACHING = 6.0
KGM_PER_MIN_PER_W_COMPENDIUM = 6.12
KGM_PER_MIN_PER_W_EXACT = 60 / 9.80665
M_PER_MIN_PER_KM_PER_H = 1000 / 60
S_PER_MIN = 60
KM_PER_H_PER_M_PER_S = 3.6
KG_PER_LB = 0.45359237
LB_PER_STONE = 14
M_PER_FT = 0.3048
M_PER_IN = 0.0254
CM_PER_M = 100
# Molar masses: glucose 180.156 g/mol; cholesterol as the usual laboratory factor.
GLUCOSE_MG_PER_DL_PER_MMOL_PER_L = 18.0156
CHOLESTEROL_MG_PER_DL_PER_MMOL_PER_L = 38.67
C_AT_ZERO_F = 32
F_PER_C = 1.8
MMHG_PER_KPA = 760 / 101.325
KJ_PER_KCAL = 4.184  # the thermochemical calorie; food tables use it too
M_PER_YD = 0.9144
# HbA1c master equation between IFCC (mmol/mol) and NGSP (per cent); from memory, unverified.
HBA1C_PERCENT_PER_MMOL_PER_MOL = 0.09148
HBA1C_PERCENT_AT_ZERO = 2.152


def m_per_min_from_mph(*, speed_mph: float, m_per_min_per_mph: float) -> float:
    """Speed in m/min from miles per hour, by the constant that the caller names (26.8 teaching, 26.8224 exact)."""
    return speed_mph * m_per_min_per_mph


def mph_from_m_per_min(*, speed_m_per_min: float, m_per_min_per_mph: float) -> float:
    """Speed in miles per hour from m/min, by the constant that the caller names (26.8 teaching, 26.8224 exact)."""
    return speed_m_per_min / m_per_min_per_mph


def m_per_min_from_km_per_h(*, speed_km_per_h: float) -> float:
    """Speed in m/min from km/h."""
    return speed_km_per_h * M_PER_MIN_PER_KM_PER_H


def km_per_h_from_m_per_min(*, speed_m_per_min: float) -> float:
    """Speed in km/h from m/min."""
    return speed_m_per_min / M_PER_MIN_PER_KM_PER_H


def m_per_min_from_m_per_s(*, speed_m_per_s: float) -> float:
    """Speed in m/min from m/s."""
    return speed_m_per_s * S_PER_MIN


def m_per_s_from_m_per_min(*, speed_m_per_min: float) -> float:
    """Speed in m/s from m/min."""
    return speed_m_per_min / S_PER_MIN


def km_per_h_from_m_per_s(*, speed_m_per_s: float) -> float:
    """Speed in km/h from m/s."""
    return speed_m_per_s * KM_PER_H_PER_M_PER_S


def m_per_s_from_km_per_h(*, speed_km_per_h: float) -> float:
    """Speed in m/s from km/h."""
    return speed_km_per_h / KM_PER_H_PER_M_PER_S


def kgm_per_min_from_w(*, power_w: float, kgm_per_min_per_w: float) -> float:
    """Work rate in kg·m/min from watts, by the constant that the caller names (6, 6.12 or exact)."""
    return power_w * kgm_per_min_per_w


def w_from_kgm_per_min(*, power_kgm_per_min: float, kgm_per_min_per_w: float) -> float:
    """Power in watts from kg·m/min, by the constant that the caller names (6, 6.12 or exact)."""
    return power_kgm_per_min / kgm_per_min_per_w


def vo2_from_met(*, energy_met: float) -> float:
    """Oxygen uptake in mL/kg/min from METs, 1 MET = 3.5 mL/kg/min."""
    return energy_met * VO2_PER_MET


def met_from_vo2(*, vo2_ml_per_kg_min: float) -> float:
    """METs from oxygen uptake in mL/kg/min, 1 MET = 3.5 mL/kg/min."""
    return vo2_ml_per_kg_min / VO2_PER_MET


def kg_from_lb(*, mass_lb: float) -> float:
    """Mass in kilograms from pounds."""
    return mass_lb * KG_PER_LB


def lb_from_kg(*, mass_kg: float) -> float:
    """Mass in pounds from kilograms."""
    return mass_kg / KG_PER_LB


def kg_from_stone(*, mass_stone: float, mass_lb: float) -> float:
    """Mass in kilograms from stone and the pounds over."""
    return (mass_stone * LB_PER_STONE + mass_lb) * KG_PER_LB


def stone_from_kg(*, mass_kg: float) -> float:
    """Mass in stone, as a decimal fraction, from kilograms."""
    return mass_kg / KG_PER_LB / LB_PER_STONE


def m_from_cm(*, length_cm: float) -> float:
    """Length in metres from centimetres."""
    return length_cm / CM_PER_M


def cm_from_m(*, length_m: float) -> float:
    """Length in centimetres from metres."""
    return length_m * CM_PER_M


def m_from_ft(*, length_ft: float, length_in: float) -> float:
    """Length in metres from feet and the inches over."""
    return length_ft * M_PER_FT + length_in * M_PER_IN


def in_from_m(*, length_m: float) -> float:
    """Length in inches from metres."""
    return length_m / M_PER_IN


def glucose_mg_per_dl_from_mmol_per_l(*, glucose_mmol_per_l: float) -> float:
    """Blood glucose in mg/dL from mmol/L."""
    return glucose_mmol_per_l * GLUCOSE_MG_PER_DL_PER_MMOL_PER_L


def glucose_mmol_per_l_from_mg_per_dl(*, glucose_mg_per_dl: float) -> float:
    """Blood glucose in mmol/L from mg/dL."""
    return glucose_mg_per_dl / GLUCOSE_MG_PER_DL_PER_MMOL_PER_L


def cholesterol_mg_per_dl_from_mmol_per_l(*, cholesterol_mmol_per_l: float) -> float:
    """Cholesterol (total, LDL, HDL) in mg/dL from mmol/L."""
    return cholesterol_mmol_per_l * CHOLESTEROL_MG_PER_DL_PER_MMOL_PER_L


def cholesterol_mmol_per_l_from_mg_per_dl(*, cholesterol_mg_per_dl: float) -> float:
    """Cholesterol (total, LDL, HDL) in mmol/L from mg/dL."""
    return cholesterol_mg_per_dl / CHOLESTEROL_MG_PER_DL_PER_MMOL_PER_L


def hba1c_percent_from_mmol_per_mol(*, hba1c_mmol_per_mol: float) -> float:
    """HbA1c in per cent (NGSP) from mmol/mol (IFCC)."""
    return HBA1C_PERCENT_PER_MMOL_PER_MOL * hba1c_mmol_per_mol + HBA1C_PERCENT_AT_ZERO


def hba1c_mmol_per_mol_from_percent(*, hba1c_percent: float) -> float:
    """HbA1c in mmol/mol (IFCC) from per cent (NGSP)."""
    return (hba1c_percent - HBA1C_PERCENT_AT_ZERO) / HBA1C_PERCENT_PER_MMOL_PER_MOL


def c_from_f(*, temperature_f: float) -> float:
    """Temperature in degrees Celsius from Fahrenheit."""
    return (temperature_f - C_AT_ZERO_F) / F_PER_C


def f_from_c(*, temperature_c: float) -> float:
    """Temperature in degrees Fahrenheit from Celsius."""
    return temperature_c * F_PER_C + C_AT_ZERO_F


def mmhg_from_kpa(*, pressure_kpa: float) -> float:
    """Pressure in mmHg from kilopascals (760 mmHg in a standard atmosphere of 101.325 kPa)."""
    return pressure_kpa * MMHG_PER_KPA


def kpa_from_mmhg(*, pressure_mmhg: float) -> float:
    """Pressure in kilopascals from mmHg (760 mmHg in a standard atmosphere of 101.325 kPa)."""
    return pressure_mmhg / MMHG_PER_KPA


def kcal_from_kj(*, energy_kj: float) -> float:
    """Energy in kilocalories from kilojoules, by the thermochemical calorie (4.184 kJ)."""
    return energy_kj / KJ_PER_KCAL


def kj_from_kcal(*, energy_kcal: float) -> float:
    """Energy in kilojoules from kilocalories, by the thermochemical calorie (4.184 kJ)."""
    return energy_kcal * KJ_PER_KCAL


# How each unit is shown to people: decimal places. A unit that is not here is refused, so that none is guessed.
DECIMALS: dict[str, int] = {
    "1": 2,
    "%": 0,
    "bpm": 0,
    "mmHg": 0,
    "mL/kg/min": 1,
    "MET": 1,
    "METs": 1,
    "MET·min": 0,
    "m": 0,
    "cm": 1,
    "m/min": 1,
    "km/h": 1,
    "mph": 1,
    "m/s": 2,
    "min": 1,
    "s": 1,
    "kg": 1,
    "lb": 1,
    "stone": 1,
    "in": 1,
    "mg/dL": 0,
    "mmol/L": 1,
    "mmol/mol": 0,
    "% HbA1c": 1,
    "kg/m²": 1,
    "kg·m/min": 0,
    "W": 0,
    "kcal": 0,
    "kcal/min": 2,
    "points": 0,
    "repetitions": 0,
    "years": 0,
    "bpm·mmHg": 0,
    "load units": 0,
    "L/min": 2,
    "steps/min": 0,
    "shuttles": 0,
    "level": 0,
}


def rounded(value: float, unit: str) -> str:
    """The number alone as it is shown for ``unit``: halves go up, no minus zero. Raises for an unknown unit."""
    if unit not in DECIMALS:
        raise HalewardError(f"There is no way of showing the unit {unit!r}; the known units are {', '.join(DECIMALS)}.")
    number = Decimal(repr(float(value))).quantize(Decimal(1).scaleb(-DECIMALS[unit]), rounding=ROUND_HALF_UP)
    return str(abs(number) if number == 0 else number)


def shown(value: float, unit: str) -> str:
    """``value`` with its unit as a person reads it, for example ``shown(61.5, "bpm") == "62 bpm"``."""
    text = rounded(value, unit)
    if unit == "1":
        return text
    return f"{text}%" if unit == "%" else f"{text} {unit}"


def likely(figure: Figure) -> str:
    """``figure`` as a person reads it, with its error in words: "about 5.1 METs, likely 3.9 to 6.3".

    A figure without a known error is only shown. The one place for these words on screen, in print and in the terminal.
    """
    text = shown(figure.value, figure.unit)
    if figure.low is None or figure.high is None:
        return text
    return f"about {text}, likely {between(figure.low, figure.high, figure.unit)}"


def spread_in_words(figure: Figure, spread_of: str) -> str:
    """``figure`` with a spread that is not a likely range, as "7.7 kg (7.4 to 7.9 by seven equations)"."""
    text = shown(figure.value, figure.unit)
    if figure.low is None or figure.high is None:
        return text
    return f"{text} ({between(figure.low, figure.high, figure.unit)} {spread_of})"


def between(low: float, high: float, unit: str) -> str:
    """A likely range without its unit, "3.9 to 6.3"; per cent keeps its sign."""
    return f"{rounded(low, unit)} to {rounded(high, unit)}{'%' if unit == '%' else ''}"

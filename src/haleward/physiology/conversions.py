"""Unit conversions as formulas, so that each can be asked for by name with its convention and range.

The arithmetic is that of :mod:`haleward.units`; where two constants are in print, the caller names one.
"""

from __future__ import annotations

import functools
from collections.abc import Callable, Mapping
from typing import NamedTuple

from haleward import units
from haleward.formula import Range, Trust, formula

MPH = Range(units.M_PER_MIN_PER_MPH_TEACHING, units.M_PER_MIN_PER_MPH_EXACT, "m/min per mph", "m/min in a mile an hour")
KGM = Range(
    units.KGM_PER_MIN_PER_W_TEACHING, units.KGM_PER_MIN_PER_W_COMPENDIUM, "kg·m/min per W", "kg·m/min in a watt"
)
SPEED_M_PER_MIN = Range(0, 600, "m/min", "Speed")
SPEED_KM_PER_H = Range(0, 36, "km/h", "Speed")
SPEED_M_PER_S = Range(0, 10, "m/s", "Speed")
MASS_KG = Range(0, 500, "kg", "Mass")
LENGTH_M = Range(0, 10, "m", "Length")
SPEED = "Definition of the units of speed"
MASS = "International pound, 0.45359237 kg"
MILE = "Mile of 1609.344 m, or 26.8 m/min as taught"
WATT = "6 in most teaching, 6.12 in the activity compendium, 6.118 by definition"
GLUCOSE = "Molar mass of glucose, 180.156 g/mol"
CHOLESTEROL = "Usual laboratory factor of cholesterol, 38.67"
HBA1C = "Master equation between IFCC and NGSP: per cent = 0.09148 × mmol/mol + 2.152"
TWO_CONSTANTS = "Two constants are in print and differ; the one used is an input."


class Conversion(NamedTuple):
    """A function of :mod:`haleward.units` with what its formula says of it."""

    function: Callable[..., float]
    title: str
    equation: str
    unit: str
    ranges: Mapping[str, Range]
    source: str
    trust: Trust = "definition"
    error: str = ""


CONVERSIONS = (
    Conversion(
        units.m_per_min_from_mph,
        "Speed in m/min from miles an hour",
        "miles an hour × constant",
        "m/min",
        {"speed_mph": Range(0, 22, "mph", "Speed"), "m_per_min_per_mph": MPH},
        MILE,
        "definition",
        TWO_CONSTANTS,
    ),
    Conversion(
        units.mph_from_m_per_min,
        "Speed in miles an hour from m/min",
        "m/min ÷ constant",
        "mph",
        {"speed_m_per_min": SPEED_M_PER_MIN, "m_per_min_per_mph": MPH},
        MILE,
        "definition",
        TWO_CONSTANTS,
    ),
    Conversion(
        units.m_per_min_from_km_per_h,
        "Speed in m/min from km/h",
        "km/h × 1000 ÷ 60",
        "m/min",
        {"speed_km_per_h": SPEED_KM_PER_H},
        SPEED,
    ),
    Conversion(
        units.km_per_h_from_m_per_min,
        "Speed in km/h from m/min",
        "m/min × 60 ÷ 1000",
        "km/h",
        {"speed_m_per_min": SPEED_M_PER_MIN},
        SPEED,
    ),
    Conversion(
        units.m_per_min_from_m_per_s,
        "Speed in m/min from m/s",
        "m/s × 60",
        "m/min",
        {"speed_m_per_s": SPEED_M_PER_S},
        SPEED,
    ),
    Conversion(
        units.m_per_s_from_m_per_min,
        "Speed in m/s from m/min",
        "m/min ÷ 60",
        "m/s",
        {"speed_m_per_min": SPEED_M_PER_MIN},
        SPEED,
    ),
    Conversion(
        units.km_per_h_from_m_per_s,
        "Speed in km/h from m/s",
        "m/s × 3.6",
        "km/h",
        {"speed_m_per_s": SPEED_M_PER_S},
        SPEED,
    ),
    Conversion(
        units.m_per_s_from_km_per_h,
        "Speed in m/s from km/h",
        "km/h ÷ 3.6",
        "m/s",
        {"speed_km_per_h": SPEED_KM_PER_H},
        SPEED,
    ),
    Conversion(
        units.kgm_per_min_from_w,
        "Work rate in kg·m/min from watts",
        "watts × constant",
        "kg·m/min",
        {"power_w": Range(0, 500, "W", "Power"), "kgm_per_min_per_w": KGM},
        WATT,
        "definition",
        TWO_CONSTANTS,
    ),
    Conversion(
        units.w_from_kgm_per_min,
        "Power in watts from kg·m/min",
        "kg·m/min ÷ constant",
        "W",
        {"power_kgm_per_min": Range(0, 3060, "kg·m/min", "Work rate"), "kgm_per_min_per_w": KGM},
        WATT,
        "definition",
        TWO_CONSTANTS,
    ),
    Conversion(
        units.kg_from_lb,
        "Mass in kilograms from pounds",
        "pounds × 0.45359237",
        "kg",
        {"mass_lb": Range(0, 1100, "lb", "Mass")},
        MASS,
    ),
    Conversion(
        units.lb_from_kg, "Mass in pounds from kilograms", "kilograms ÷ 0.45359237", "lb", {"mass_kg": MASS_KG}, MASS
    ),
    Conversion(
        units.kg_from_stone,
        "Mass in kilograms from stone and pounds",
        "(stone × 14 + pounds) × 0.45359237",
        "kg",
        {"mass_stone": Range(0, 80, "stone", "Stone"), "mass_lb": Range(0, 14, "lb", "Pounds over")},
        MASS,
    ),
    Conversion(
        units.stone_from_kg,
        "Mass in stone from kilograms",
        "kilograms ÷ 0.45359237 ÷ 14",
        "stone",
        {"mass_kg": MASS_KG},
        MASS,
    ),
    Conversion(
        units.cm_from_m, "Length in centimetres from metres", "metres × 100", "cm", {"length_m": LENGTH_M}, "Metre"
    ),
    Conversion(
        units.in_from_m,
        "Length in inches from metres",
        "metres ÷ 0.0254",
        "in",
        {"length_m": LENGTH_M},
        "International inch, 0.0254 m",
    ),
    Conversion(
        units.glucose_mg_per_dl_from_mmol_per_l,
        "Glucose in mg/dL from mmol/L",
        "mmol/L × 18.0156",
        "mg/dL",
        {"glucose_mmol_per_l": Range(0, 60, "mmol/L", "Glucose", quantity="glucose")},
        GLUCOSE,
    ),
    Conversion(
        units.glucose_mmol_per_l_from_mg_per_dl,
        "Glucose in mmol/L from mg/dL",
        "mg/dL ÷ 18.0156",
        "mmol/L",
        {"glucose_mg_per_dl": Range(0, 1081, "mg/dL", "Glucose", quantity="glucose")},
        GLUCOSE,
    ),
    Conversion(
        units.cholesterol_mg_per_dl_from_mmol_per_l,
        "LDL or other cholesterol in mg/dL from mmol/L",
        "mmol/L × 38.67",
        "mg/dL",
        {"cholesterol_mmol_per_l": Range(0, 30, "mmol/L", "Cholesterol", quantity="cholesterol")},
        CHOLESTEROL,
        "common practice, no source",
    ),
    Conversion(
        units.cholesterol_mmol_per_l_from_mg_per_dl,
        "LDL or other cholesterol in mmol/L from mg/dL",
        "mg/dL ÷ 38.67",
        "mmol/L",
        {"cholesterol_mg_per_dl": Range(0, 1161, "mg/dL", "Cholesterol", quantity="cholesterol")},
        CHOLESTEROL,
        "common practice, no source",
    ),
    Conversion(
        units.hba1c_percent_from_mmol_per_mol,
        "HbA1c in per cent from mmol/mol",
        "0.09148 × mmol/mol + 2.152",
        "% HbA1c",
        {"hba1c_mmol_per_mol": Range(0, 200, "mmol/mol", "HbA1c")},
        HBA1C,
        "from memory, unverified",
    ),
    Conversion(
        units.hba1c_mmol_per_mol_from_percent,
        "HbA1c in mmol/mol from per cent",
        "(per cent − 2.152) ÷ 0.09148",
        "mmol/mol",
        {"hba1c_percent": Range(2.152, 20.5, "% HbA1c", "HbA1c")},
        HBA1C,
        "from memory, unverified",
    ),
)


def _register(known: Conversion) -> None:
    @functools.wraps(known.function)
    def here(**given: float) -> float:
        return known.function(**given)

    here.__module__ = __name__
    formula(
        title=known.title,
        equation=known.equation,
        unit=known.unit,
        ranges=known.ranges,
        source=known.source,
        trust=known.trust,
        error=known.error,
    )(here)


for _known in CONVERSIONS:
    _register(_known)

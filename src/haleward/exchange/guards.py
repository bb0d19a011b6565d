"""Guards for what people type: units, dates and plausible values, the same for files, forms and imports.

Each function returns the value in the domain's unit or raises :class:`HalewardError` with one sentence. Sentences come
from the wording tables, limits from ``data/tables/plausible.csv``; a number without a unit is asked about, not guessed.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache

from haleward.errors import HalewardError
from haleward.formula import Limits, question
from haleward.physiology.tables import rows
from haleward.units import GLUCOSE_MG_PER_DL_PER_MMOL_PER_L, KG_PER_LB, LB_PER_STONE, M_PER_FT, M_PER_IN
from haleward.wording import default_wording

LENGTH_IN_M: Mapping[str, float] = {"m": 1.0, "cm": 0.01, "mm": 0.001, "ft": M_PER_FT, "in": M_PER_IN}
MASS_IN_KG: Mapping[str, float] = {"kg": 1.0, "g": 0.001, "st": LB_PER_STONE * KG_PER_LB, "lb": KG_PER_LB}
VOLUME_IN_L: Mapping[str, float] = {"l": 1.0, "ml": 0.001, "cl": 0.01}

# Units of plausible.csv that are counts and scales: nobody writes them in another unit.
COUNTED = frozenset({"", "count", "class", "points", "weeks", "days", "years"})

_UNIT_WORDS = {
    "metre": "m",
    "metres": "m",
    "centimetres": "cm",
    "feet": "ft",
    "foot": "ft",
    "'": "ft",
    "′": "ft",
    "’": "ft",
    "inch": "in",
    "inches": "in",
    '"': "in",
    "″": "in",
    "”": "in",
    "kilograms": "kg",
    "kilos": "kg",
    "kgs": "kg",
    "grams": "g",
    "stone": "st",
    "stones": "st",
    "lbs": "lb",
    "pound": "lb",
    "pounds": "lb",
    "litre": "l",
    "litres": "l",
}
_PAIRS = {("ft", "in"), ("st", "lb")}  # the only units that are written together
_PIECE = re.compile(r"(\d+(?:[.,]\d+)?)\s*([^\W\d_]+|['\"′″’”])?", re.UNICODE)
_MONTHS = (
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
)


@dataclass(frozen=True)
class Plausible:
    """The plausible range of a quantity: outside it a reading or its unit is questioned."""

    label: str
    low: float
    high: float
    unit: str
    example: str
    source: str


@cache
def plausible_ranges() -> Mapping[str, Plausible]:
    """The rows of ``data/tables/plausible.csv`` by name."""
    return {
        row["name"]: Plausible(
            row["label"], float(row["low"]), float(row["high"]), row["unit"], row["example"], row["source"]
        )
        for row in rows("plausible")
    }


def fault(key: str, **values: object) -> HalewardError:
    """The error whose sentence is the wording row ``key`` with its placeholders filled."""
    words = {name: f"{value:g}" if isinstance(value, float) else str(value) for name, value in values.items()}
    return HalewardError(default_wording().text(key, words))


def check_range(value: float, *, quantity: str, field: str = "", per_unit: float = 1.0, unit: str = "") -> float:
    """``value`` if it lies in the plausible range of ``quantity``; else the sentence of err_range.

    ``per_unit`` and ``unit`` state the limits in the unit that was written (0.01 and "cm" for a height in cm).
    """
    limits = plausible_ranges()[quantity]
    if limits.low <= value <= limits.high:
        return value
    shown = {"value": value / per_unit, "low": limits.low / per_unit, "high": limits.high / per_unit}
    rounded = {name: round(number, 3) for name, number in shown.items()}
    written = value / per_unit
    asked = meant(value, quantity=quantity)
    if per_unit != 1:  # 1.72 cm: the number fits the other way round
        asked = f"Did you mean {written:g} {limits.unit}?" if limits.low <= written <= limits.high else ""
    raise asking(fault("err_range", field=field or limits.label, unit=unit or limits.unit, **rounded), asked)


def meant(value: float, *, quantity: str) -> str:
    """The question what ``value`` may have been meant as, for example in another unit; "" where none fits."""
    limits = plausible_ranges()[quantity]
    if limits.unit in COUNTED:
        return ""
    substance = "glucose" if quantity.startswith("glucose") else ""
    return question(value, Limits(limits.low, limits.high, limits.unit, substance))


def asking(error: HalewardError, asked: str) -> HalewardError:
    """``error`` with a question after its sentence, where there is one."""
    return HalewardError(f"{error} {asked}") if asked else error


def parse_number(text: str, *, field: str, example: str) -> float:
    """A plain number; a decimal comma is read, thousands separators are not."""
    cleaned = text.strip()
    if not re.fullmatch(r"-?\d+(?:[.,]\d+)?", cleaned) or re.fullmatch(r"-?\d+,\d{3}", cleaned):
        raise fault("err_number", field=field, value=_short(text), example=example)
    return float(cleaned.replace(",", "."))


def parse_length_m(text: str, *, field: str = "Height", quantity: str = "stature_m") -> float:
    """A length with its unit, in metres: "172 cm", "1.72 m", "5 ft 8 in"."""
    value_m, number, unit = _with_units(text, LENGTH_IN_M, field=field, quantity=quantity)
    if quantity == "stature_m" and unit == "m" and value_m > plausible_ranges()[quantity].high:
        raise asking(fault("err_unit_height", value=number), meant(value_m, quantity=quantity))
    return check_range(value_m, quantity=quantity, field=field, per_unit=LENGTH_IN_M[unit], unit=unit)


def parse_mass_kg(text: str, *, field: str = "Weight", quantity: str = "mass_kg") -> float:
    """A mass with its unit, in kilograms: "81 kg", "12 st 10 lb", "178 lb"."""
    value_kg, number, unit = _with_units(text, MASS_IN_KG, field=field, quantity=quantity)
    if quantity == "mass_kg" and unit == "kg" and value_kg > plausible_ranges()[quantity].high:
        raise asking(fault("err_unit_weight", value=number), meant(value_kg, quantity=quantity))
    return check_range(value_kg, quantity=quantity, field=field, per_unit=MASS_IN_KG[unit], unit=unit)


def parse_volume_l(text: str, *, field: str = "Bottle", quantity: str = "bottle_volume_l") -> float:
    """A volume with its unit, in litres: "1 L", "500 mL"."""
    value_l, _number, unit = _with_units(text, VOLUME_IN_L, field=field, quantity=quantity)
    return check_range(value_l, quantity=quantity, field=field, per_unit=VOLUME_IN_L[unit], unit=unit)


def parse_glucose_mmol(text: str, unit: str) -> float:
    """A glucose reading in mmol/L, from "mmol/L" or "mg/dL"; a value that fits only the other unit is questioned."""
    number = parse_number(text, field="Glucose", example="6.5")
    if unit.lower() == "mg/dl":
        check_range(number, quantity="glucose_mg_dl", field="Glucose")
        return number / GLUCOSE_MG_PER_DL_PER_MMOL_PER_L
    if unit.lower() != "mmol/l":
        raise fault("err_input_no_unit", field="Glucose", value=_short(f"{text} {unit}"), example="6.5 mmol/L")
    return check_glucose_mmol(number)


def check_glucose_mmol(value_mmol: float) -> float:
    """``value_mmol`` unless it looks like mg/dL or lies outside the plausible range."""
    if value_mmol > plausible_ranges()["glucose_mmol"].high:
        raise asking(fault("err_unit_glucose", value=value_mmol), meant(value_mmol, quantity="glucose_mmol"))
    return check_range(value_mmol, quantity="glucose_mmol", field="Glucose")


def check_blood_pressure(systolic_mmhg: float, diastolic_mmhg: float) -> tuple[float, float]:
    """Both values if each is plausible and the upper one is above the lower one."""
    if systolic_mmhg <= diastolic_mmhg:
        raise fault("err_bp_order", sbp=float(systolic_mmhg), dbp=float(diastolic_mmhg))
    check_range(systolic_mmhg, quantity="systolic_mmhg")
    check_range(diastolic_mmhg, quantity="diastolic_mmhg")
    return systolic_mmhg, diastolic_mmhg


def check_body(stature_m: float, mass_kg: float) -> None:
    """Question a weight that does not go with the height: most often pounds entered as kilograms."""
    limits = plausible_ranges()["body_mass_index"]
    if not limits.low <= mass_kg / stature_m**2 <= limits.high:
        as_pounds = mass_kg * KG_PER_LB
        fits = limits.low <= as_pounds / stature_m**2 <= limits.high
        asked = f"Did you mean {as_pounds:.1f} kg ({mass_kg:g} lb)?" if fits else ""
        raise asking(fault("err_unit_weight", value=round(mass_kg, 1)), asked)


def parse_date(text: str, today: date, *, field: str = "Date", future_ok: bool = False) -> date:
    """One date, or a sentence: two readings are asked about, and so is a date after ``today``.

    Reads 1951-05-04, "4 May 1951", "May 4, 1951", and figures with slashes, dots or hyphens if only one date fits.
    """
    readings = _readings(text.strip())
    if not readings:
        raise fault("err_input_date", field=field, value=_short(text))
    if len(readings) > 1:
        raise fault("err_input_two_dates", field=field, value=_short(text), example=readings[0].isoformat())
    return check_date(readings[0], today, field=field, future_ok=future_ok)


def check_date(value: date, today: date, *, field: str = "Date", future_ok: bool = False) -> date:
    """``value`` unless it lies after ``today`` where only the past makes sense."""
    if value > today and not future_ok:
        raise fault("err_date_future", field=field, value=value.isoformat())
    return value


def check_birth(value: date, today: date) -> date:
    """A date of birth that gives a plausible age on ``today``."""
    check_date(value, today, field="Date of birth")
    age = today.year - value.year - ((today.month, today.day) < (value.month, value.day))
    limits = plausible_ranges()["age_y"]
    if not limits.low <= age <= limits.high:
        raise fault("err_birth", value=value.isoformat(), age=age)
    return value


def _with_units(text: str, known: Mapping[str, float], *, field: str, quantity: str) -> tuple[float, float, str]:
    """The sum in the base unit, the first number as written and its unit."""
    example = plausible_ranges()[quantity].example
    pieces = [(number, _UNIT_WORDS.get(unit.lower(), unit.lower())) for number, unit in _PIECE.findall(text)]
    between = _PIECE.sub("", text).strip(" .,").lower()
    if not pieces or between not in ("", "and"):
        raise fault("err_input_unit", field=field, value=_short(text), example=example)
    units = [unit for _number, unit in pieces]
    if len(pieces) == 2 and units == ["ft", ""]:  # 5'8 and "5 ft 8" leave the inches unsaid
        units = ["ft", "in"]
    if "" in units:
        raise fault("err_input_no_unit", field=field, value=_short(text), example=example)
    if any(unit not in known for unit in units) or (len(units) > 1 and tuple(units) not in _PAIRS):
        raise fault("err_input_unit", field=field, value=_short(text), example=example)
    numbers = [parse_number(number, field=field, example=example) for number, _unit in pieces]
    total = sum(number * known[unit] for number, unit in zip(numbers, units, strict=True))
    return round(total, 9), numbers[0], units[0]


def _readings(text: str) -> list[date]:
    """Every date the text could mean, the day-first reading before the month-first one."""
    if match := re.fullmatch(r"(\d{4})-(\d{2})-(\d{2})", text):
        year, month, day = map(int, match.groups())
        return _existing([(year, month, day)])
    if match := re.fullmatch(r"(\d{1,2})\s*[./-]\s*(\d{1,2})\s*[./-]\s*(\d{4})", text):
        first, second, year = map(int, match.groups())
        return _existing([(year, second, first), (year, first, second)])
    if match := re.fullmatch(r"(\d{1,2})(?:st|nd|rd|th)?[\s-]+([A-Za-z]+)\.?,?[\s-]+(\d{4})", text):
        return _existing([(int(match[3]), _month(match[2]), int(match[1]))])
    if match := re.fullmatch(r"([A-Za-z]+)\.?\s+(\d{1,2})(?:st|nd|rd|th)?,?\s+(\d{4})", text):
        return _existing([(int(match[3]), _month(match[1]), int(match[2]))])
    return []


def _existing(candidates: list[tuple[int, int, int]]) -> list[date]:
    found: list[date] = []
    for year, month, day in candidates:
        try:
            reading = date(year, month, day)
        except ValueError:
            continue  # this reading is no date; the other one may be
        if reading not in found:
            found.append(reading)
    return found


def _month(word: str) -> int:
    """1 to 12 for a month's name or its first letters; 0, which no date accepts, for any other word."""
    letters = word.lower()
    named = (number for number, name in enumerate(_MONTHS, start=1) if name.startswith(letters))
    if letters == "sept":
        return 9
    return next(named, 0) if len(letters) >= 3 else 0


def _short(text: str) -> str:
    """What was typed, on one line and at most 40 characters, fit to quote in a sentence."""
    line = " ".join("".join(c if c.isprintable() else " " for c in text).split()) or "(empty)"
    return line if len(line) <= 40 else f"{line[:39]}…"

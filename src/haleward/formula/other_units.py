"""The other units in use for a quantity, as data: how each is written and how it turns into the formula's own unit.

Every conversion here is linear, (value + shift) x factor, with its constants from :mod:`haleward.units`.
"""

from __future__ import annotations

from dataclasses import dataclass

from haleward import units


@dataclass(frozen=True)
class Other:
    """A unit in use beside a formula's own.

    ``words`` are the ways to write it, the first as we write it. ``parts`` is how many of the smaller unit ``part``
    make one of it, where people name both (5 ft 8 in, 12 st 4 lb).
    """

    words: tuple[str, ...]
    factor: float
    shift: float = 0.0
    parts: int = 0
    part: tuple[str, ...] = ()

    def to_own(self, value: float) -> float:
        """``value`` of this unit in the formula's own unit."""
        return (value + self.shift) * self.factor


_M_PER_MILE = units.M_PER_MIN_PER_MPH_EXACT * units.S_PER_MIN
_INCH_WORDS = ("in", "inch", "inches", '"', "″", "”")
_POUND_WORDS = ("lb", "lbs", "pound", "pounds")
_CM = Other(("cm", "centimetre", "centimetres"), 1 / units.CM_PER_M)
_MM = Other(("mm", "millimetre", "millimetres"), 1 / 1000)
_FOOT = Other(("ft", "foot", "feet", "'", "′", "’"), units.M_PER_FT, parts=12, part=_INCH_WORDS)
_INCH = Other(_INCH_WORDS, units.M_PER_IN)
_YARD = Other(("yd", "yard", "yards"), units.M_PER_YD)
_KM = Other(("km",), 1000)
_MILE = Other(("miles", "mile", "mi"), _M_PER_MILE)
_LB = Other(_POUND_WORDS, units.KG_PER_LB)
_STONE = Other(
    ("stone", "st", "stones"), units.KG_PER_LB * units.LB_PER_STONE, parts=units.LB_PER_STONE, part=_POUND_WORDS
)
_GRAM = Other(("g", "gram", "grams"), 1 / 1000)
_FAHRENHEIT = Other(("°F", "F", "fahrenheit"), 1 / units.F_PER_C, shift=-units.C_AT_ZERO_F)
# Speeds in m/min, each then seen from another of them.
_SPEEDS = {
    "km/h": (("km/h", "kmh", "kph"), units.M_PER_MIN_PER_KM_PER_H),
    "mph": (("mph",), units.M_PER_MIN_PER_MPH_EXACT),
    "m/s": (("m/s",), float(units.S_PER_MIN)),
    "m/min": (("m/min",), 1.0),
}


def speeds_beside(own: str) -> tuple[Other, ...]:
    """The other units of speed, seen from ``own``."""
    base = _SPEEDS[own][1]
    return tuple(Other(words, factor / base) for unit, (words, factor) in _SPEEDS.items() if unit != own)


# By the formula's own unit and, where the unit does not tell, the quantity. The likeliest first.
OTHER_UNITS: dict[tuple[str, str], tuple[Other, ...]] = {
    ("m", "body"): (_CM, _FOOT, _INCH, _MM),
    ("m", "distance"): (_FOOT, _YARD, _KM, _MILE),
    ("kg", ""): (_LB, _STONE, _GRAM),
    ("mmol/L", "glucose"): (Other(("mg/dL",), 1 / units.GLUCOSE_MG_PER_DL_PER_MMOL_PER_L),),
    ("mmol/L", "cholesterol"): (Other(("mg/dL",), 1 / units.CHOLESTEROL_MG_PER_DL_PER_MMOL_PER_L),),
    ("mmol/mol", ""): (Other(("%",), 1 / units.HBA1C_PERCENT_PER_MMOL_PER_MOL, shift=-units.HBA1C_PERCENT_AT_ZERO),),
    ("°C", ""): (_FAHRENHEIT,),
    ("deg C", ""): (_FAHRENHEIT,),
    ("mmHg", ""): (Other(("kPa",), units.MMHG_PER_KPA), Other(("cmHg",), 10)),
    ("m/min", ""): speeds_beside("m/min"),
    ("km/h", ""): speeds_beside("km/h"),
    ("m/s", ""): speeds_beside("m/s"),
    ("1", "fraction"): (Other(("%", "percent"), 1 / 100),),
    ("%", ""): (Other(("as a fraction",), 100),),
    ("s", ""): (Other(("min", "mins", "minute", "minutes"), units.S_PER_MIN, parts=60, part=("s", "sec", "seconds")),),
    ("min", ""): (
        Other(("s", "sec", "seconds"), 1 / units.S_PER_MIN),
        Other(("h", "hour", "hours"), units.S_PER_MIN, parts=60, part=("min", "mins", "minutes")),
    ),
    ("W", ""): (Other(("kg·m/min", "kgm/min", "kpm/min"), 1 / units.KGM_PER_MIN_PER_W_EXACT),),
    ("kg·m/min", ""): (Other(("W", "watt", "watts"), units.KGM_PER_MIN_PER_W_EXACT),),
    ("kcal", ""): (Other(("kJ",), 1 / units.KJ_PER_KCAL),),
    ("METs", ""): (Other(("mL/kg/min",), 1 / units.VO2_PER_MET),),
    ("mL/kg/min", ""): (Other(("METs", "MET"), units.VO2_PER_MET),),
    ("L", ""): (Other(("mL",), 1 / 1000), Other(("cL",), 1 / 100)),
    ("L/min", ""): (Other(("mL/min",), 1 / 1000),),
}

"""The one-load cycle test: six minutes at one load, read by the formula of the nomogram, corrected for age."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from haleward.capacity.staged import SETTINGS
from haleward.capacity.void import Facts, why_void
from haleward.errors import OutOfRange
from haleward.formula import Choice, Range, either, find, formula
from haleward.physiology.metabolic import LEG_POWER, MASS
from haleward.physiology.tables import rows, settings, texts
from haleward.record import Sex
from haleward.units import likely
from haleward.worksheet import Figure, NotComputed, Worksheet

STEADY_RATE = Range(125, 170, "bpm", "Steady heart rate of minutes 5 and 6")
FACTOR_AGE = Range(15, 65, "years", "Age")
LITRES = Range(0, 8, "L/min", "Oxygen uptake in litres a minute")
NOMOGRAM = "Åstrand and Ryhming 1954, J Appl Physiol 7:218, as a formula"


@dataclass(frozen=True)
class OneLoad:
    """Peak oxygen uptake from one load, by body mass and in METs, with the likely range and the working."""

    vo2_ml_per_kg_min: Figure
    energy_met: Figure
    worksheet: Worksheet


@formula(
    title="Peak oxygen uptake from one cycle load, before the correction for age",
    equation="men 100 × (0.00212 × load + 0.299) ÷ (0.769 × heart rate − 48.5); "
    "women 100 × (0.00193 × load + 0.326) ÷ (0.769 × heart rate − 56.1)",
    unit="L/min",
    ranges={
        "power_kgm_per_min": LEG_POWER,
        "steady_bpm": STEADY_RATE,
        "sex": Choice(("female", "male"), "Sex"),
    },
    source=f"{NOMOGRAM}; error: Björkman 2016",
    trust="from memory, unverified",
    error="Standard error 0.48 L/min, 18 per cent, after the correction for age.",
    population="healthy, well-trained people of 20 to 30 years",
    standard_error=0.48,
)
def peak_vo2_l_per_min_one_load_astrand_1954(*, power_kgm_per_min: float, steady_bpm: float, sex: str) -> float:
    """Peak oxygen uptake of a young adult from six minutes at one load and 50 turns a minute."""
    men = sex == "male"
    work = either(men, 0.00212, 0.00193) * power_kgm_per_min + either(men, 0.299, 0.326)
    return 100 * work / (0.769 * steady_bpm - either(men, 48.5, 56.1))


@formula(
    title="Age factor of the one-load cycle test",
    equation="tabled at 15, 25, 35, 40, 45, 50, 55, 60 and 65 years; linear between",
    unit="1",
    ranges={"age_y": FACTOR_AGE},
    source="Åstrand 1960, as quoted in public code; 40, 50 and 60 years from memory; linear between: common practice",
    trust="seen second-hand",
    error="No factor is published under 15 or over 65 years.",
)
def one_load_age_factor_astrand_1960(*, age_y: float) -> float:
    """What the uncorrected result is multiplied by, because the maximal heart rate falls with age."""
    table = rows("one_load_age_factors")
    ages, factors = ([float(row[key]) for row in table] for key in ("age_y", "factor"))
    factor: float = np.interp(age_y, ages, factors)
    return factor


@formula(
    title="Peak oxygen uptake corrected for age",
    equation="oxygen uptake × age factor",
    unit="L/min",
    ranges={"vo2_l_per_min": LITRES, "age_y": FACTOR_AGE},
    source="Åstrand 1960, as quoted in public code",
    trust="seen second-hand",
)
def age_corrected_vo2_l_per_min(*, vo2_l_per_min: float, age_y: float) -> float:
    """The one-load result of a person of this age."""
    return vo2_l_per_min * one_load_age_factor_astrand_1960(age_y=age_y)


@formula(
    title="Oxygen uptake by body mass",
    equation="1000 × litres a minute ÷ body mass",
    unit="mL/kg/min",
    ranges={"vo2_l_per_min": LITRES, "mass_kg": MASS},
    source="Definition",
    trust="definition",
)
def oxygen_uptake_per_kg(*, vo2_l_per_min: float, mass_kg: float) -> float:
    """Litres a minute as millilitres for each kilogram and minute."""
    return 1000 * vo2_l_per_min / mass_kg


@formula(
    title="Oxygen uptake in litres a minute",
    equation="oxygen uptake by body mass × body mass ÷ 1000",
    unit="L/min",
    ranges={"vo2_ml_per_kg_min": Range(0, 90, "mL/kg/min", "Oxygen uptake"), "mass_kg": MASS},
    source="Definition",
    trust="definition",
)
def oxygen_uptake_l_per_min(*, vo2_ml_per_kg_min: float, mass_kg: float) -> float:
    """Millilitres for each kilogram and minute as litres a minute."""
    return vo2_ml_per_kg_min * mass_kg / 1000


def one_load_test(
    *,
    power_kgm_per_min: float,
    minute_5_bpm: float,
    minute_6_bpm: float,
    sex: Sex,
    age_y: float,
    mass_kg: float,
    facts: Facts,
) -> OneLoad | NotComputed:
    """Peak oxygen uptake from one load, or why there is none: void, not steady, or outside 125 to 170 bpm.

    Raises :class:`HalewardError` for a value that is not possible.
    """
    validity = why_void("cycle_one_load", facts, age_y=age_y)
    wording, limits = texts("capacity_wording"), settings(SETTINGS)
    title, most = "One-load cycle test", limits["steady_difference_bpm"]
    if not validity.usable:
        return NotComputed(title, validity.why or wording["staged_unknown"], validity.open_questions)
    if abs(minute_6_bpm - minute_5_bpm) > most:
        reason = wording["one_load_not_steady"].format(most=f"{most:g}")
        return NotComputed(title, reason, (wording["ask_more_minutes"],))
    steady = (minute_5_bpm + minute_6_bpm) / 2
    try:
        STEADY_RATE.check(steady)
    except OutOfRange:
        values = {"rate": f"{steady:g}", "low": f"{STEADY_RATE.low:g}", "high": f"{STEADY_RATE.high:g}"}
        return NotComputed(title, wording["one_load_rate"].format(**values))
    return _read(power_kgm_per_min, steady, sex, age_y, mass_kg, (*validity.cautions, wording["one_load_completed"]))


def _read(
    power_kgm_per_min: float, steady_bpm: float, sex: Sex, age_y: float, mass_kg: float, cautions: tuple[str, ...]
) -> OneLoad:
    """The four steps. The published error is that of the age-corrected result, so it is not shrunk by the factor."""
    nomogram, corrected = find("peak_vo2_l_per_min_one_load_astrand_1954"), find("age_corrected_vo2_l_per_min")
    first = nomogram.step(power_kgm_per_min=power_kgm_per_min, steady_bpm=steady_bpm, sex=sex)
    litres = corrected.call(vo2_l_per_min=float(first.result), age_y=age_y)
    error = settings(SETTINGS)["one_load_error_l_per_min"]
    figure = Figure(litres, "L/min", max(0.0, litres - error), litres + error)
    second = corrected.step(vo2_l_per_min=float(first.result), age_y=age_y)
    per_kg, to_met = find("oxygen_uptake_per_kg"), find("met_from_oxygen_uptake")
    vo2 = per_kg.figure(vo2_l_per_min=figure, mass_kg=mass_kg)
    met = to_met.figure(vo2_ml_per_kg_min=vo2)
    steps = (
        first,
        second,
        per_kg.step(vo2_l_per_min=figure, mass_kg=mass_kg),
        to_met.step(vo2_ml_per_kg_min=vo2),
    )
    told = (nomogram.error, *cautions, texts("capacity_wording")["met_overstates"])
    sheet = Worksheet("One-load cycle test", f"{likely(vo2)}; {likely(met)}", steps, told, vo2)
    return OneLoad(vo2, met, sheet)

"""Heart rate: predicted maximum, reserve, targets, and how it falls after effort.

A measured peak on current medicines is always better than a prediction. None of these is for atrial fibrillation, fixed
pacing or a transplanted heart: whoever calls checks first that the heart rate is usable.
"""

from __future__ import annotations

import numpy as np

from haleward.formula import Choice, Range, either, formula, require

AGE = Range(18, 110, "years", "Age")
RESTING = Range(30, 130, "bpm", "Resting heart rate")
MAXIMUM = Range(60, 230, "bpm", "Maximal heart rate")
FRACTION = Range(0, 1, "1", "Fraction of the reserve")


@formula(
    title="Predicted maximal heart rate (Fox 1971)",
    equation="220 − age",
    unit="bpm",
    ranges={"age_y": AGE},
    source="Fox, Naughton, Haskell 1971; error as cited by Gellish 2007",
    trust="seen second-hand",
    error="Standard deviation 10 to 12 bpm; 12.4 bpm in the HERITAGE sample.",
    population="general; compiled, not regressed",
    standard_error=12,
)
def maximum_bpm_fox_1971(*, age_y: float) -> float:
    """Maximal heart rate by age, the oldest and least founded rule. Not under a rate-slowing medicine."""
    return 220 - age_y


@formula(
    title="Predicted maximal heart rate (Tanaka 2001)",
    equation="208 − 0.7 × age",
    unit="bpm",
    ranges={"age_y": AGE},
    source="Tanaka, Monahan, Seals 2001, J Am Coll Cardiol 37:153; error from the HERITAGE sample, 2013",
    trust="source seen",
    error="Standard error 11.4 bpm in the HERITAGE sample.",
    population="healthy adults",
    standard_error=11.4,
)
def maximum_bpm_tanaka_2001(*, age_y: float) -> float:
    """Maximal heart rate of healthy adults by age. Not under a rate-slowing medicine."""
    return 208 - 0.7 * age_y


@formula(
    title="Predicted maximal heart rate (Gellish 2007)",
    equation="206.9 − 0.67 × age",
    unit="bpm",
    ranges={"age_y": AGE},
    source="Gellish et al. 2007, Med Sci Sports Exerc 39:822",
    trust="source seen",
    error="About 5 to 8 bpm (from memory, unverified); the larger is used as the standard error.",
    population="members of a fitness centre, 132 people, 908 tests",
    standard_error=8,
)
def maximum_bpm_gellish_2007(*, age_y: float) -> float:
    """Maximal heart rate of fit adults by age. Not under a rate-slowing medicine."""
    return 206.9 - 0.67 * age_y


@formula(
    title="Predicted maximal heart rate (Gellish 2007, quadratic)",
    equation="191.5 − 0.007 × age²",
    unit="bpm",
    ranges={"age_y": AGE},
    source="Gellish et al. 2007, Med Sci Sports Exerc 39:822",
    trust="seen second-hand",
    error="2 to 5 bpm claimed in midlife (from memory, unverified), too small to rely on for one person: no standard "
    "error is given.",
    population="members of a fitness centre, 132 people, 908 tests",
)
def maximum_bpm_gellish_quadratic_2007(*, age_y: float) -> float:
    """Maximal heart rate of fit adults by age, curved form. Not under a rate-slowing medicine."""
    return 191.5 - 0.007 * age_y**2


@formula(
    title="Predicted maximal heart rate (Inbar 1994)",
    equation="205.8 − 0.685 × age",
    unit="bpm",
    ranges={"age_y": Range(18, 110, "years", "Age", stated_low=20, stated_high=70)},
    source="Inbar et al. 1994, Med Sci Sports Exerc 26:538",
    trust="seen second-hand",
    error="Standard error 6.4 bpm (from memory, unverified).",
    population="healthy adults of 20 to 70 years",
    standard_error=6.4,
)
def maximum_bpm_inbar_1994(*, age_y: float) -> float:
    """Maximal heart rate of healthy adults by age. UK teaching subtracts 30 bpm under a beta-blocker."""
    return 205.8 - 0.685 * age_y


@formula(
    title="Predicted maximal heart rate of women (Gulati 2010)",
    equation="206 − 0.88 × age",
    unit="bpm",
    ranges={"age_y": AGE},
    source="Gulati et al. 2010, Circulation 122:130",
    trust="source seen",
    error="Not stated in the abstract; standard error about 12 bpm (from memory, unverified).",
    population="5437 women without symptoms, mean age 52",
    standard_error=12,
)
def maximum_bpm_gulati_2010(*, age_y: float) -> float:
    """Maximal heart rate of women by age. Not for men, and not under a rate-slowing medicine."""
    return 206 - 0.88 * age_y


@formula(
    title="Predicted maximal heart rate under a beta-blocker (Brawner 2004)",
    equation="164 − 0.7 × age",
    unit="bpm",
    ranges={"age_y": Range(18, 110, "years", "Age", stated_low=40, stated_high=80)},
    source="Brawner et al. 2004, Am Heart J, doi 10.1016/j.ahj.2004.04.035",
    trust="source seen",
    error="Standard error 18 bpm; age explains 13 per cent of the differences between people.",
    population="334 people with coronary heart disease on a beta-blocker, 40 to 80 years, sinus rhythm",
    standard_error=18,
)
def maximum_bpm_brawner_2004(*, age_y: float) -> float:
    """Maximal heart rate in coronary heart disease on a beta-blocker. A weak prediction: pair it with effort."""
    return 164 - 0.7 * age_y


@formula(
    title="Predicted maximal heart rate of men (Sydó 2014)",
    equation="220 − 0.95 × age",
    unit="bpm",
    ranges={"age_y": Range(18, 110, "years", "Age", stated_low=40, stated_high=89)},
    source="Sydó et al. 2014",
    trust="source seen",
    error="No standard error for one person is known here.",
    population="men without heart disease or heart-rate medicines, 40 to 89 years",
)
def maximum_bpm_men_sydo_2014(*, age_y: float) -> float:
    """Maximal heart rate of men by age. Not under a rate-slowing medicine."""
    return 220 - 0.95 * age_y


@formula(
    title="Predicted maximal heart rate of women (Sydó 2014)",
    equation="210 − 0.79 × age",
    unit="bpm",
    ranges={"age_y": Range(18, 110, "years", "Age", stated_low=40, stated_high=89)},
    source="Sydó et al. 2014",
    trust="source seen",
    error="No standard error for one person is known here.",
    population="women without heart disease or heart-rate medicines, 40 to 89 years",
)
def maximum_bpm_women_sydo_2014(*, age_y: float) -> float:
    """Maximal heart rate of women by age. Not under a rate-slowing medicine."""
    return 210 - 0.79 * age_y


@formula(
    title="Predicted maximal heart rate in heart failure under a beta-blocker (Keteyian 2012)",
    equation="119 + 0.5 × rest − 0.5 × age, less 5 on a cycle",
    unit="bpm",
    ranges={"age_y": AGE, "resting_bpm": RESTING, "mode": Choice(("treadmill", "cycle"), "Mode of exercise")},
    source="Keteyian et al. 2012",
    trust="from memory, unverified",
    error="Standard error 18 bpm; 220 − age gave 43 bpm there. Confirm in the paper before use.",
    population="heart failure with reduced ejection fraction on a beta-blocker",
    standard_error=18,
)
def maximum_bpm_heart_failure_keteyian_2012(*, age_y: float, resting_bpm: float, mode: str) -> float:
    """Maximal heart rate in heart failure on a beta-blocker; neither formula nor error was seen in the paper."""
    return 119 + 0.5 * resting_bpm - 0.5 * age_y - either(mode == "cycle", 5, 0)


@formula(
    title="Heart rate at a fraction of the reserve",
    equation="rest + fraction × (maximum − rest)",
    unit="bpm",
    ranges={"resting_bpm": RESTING, "maximum_bpm": MAXIMUM, "fraction": FRACTION},
    source="Karvonen, Kentala, Mustala 1957, Ann Med Exp Biol Fenn 35:307",
    trust="seen second-hand",
    error="As uncertain as the maximum that goes in.",
)
def reserve_target_bpm(*, resting_bpm: float, maximum_bpm: float, fraction: float) -> float:
    """Heart rate at a given fraction of heart-rate reserve. Raises Inconsistent if the maximum is not above rest."""
    _require_reserve(resting_bpm, maximum_bpm)
    return resting_bpm + fraction * (maximum_bpm - resting_bpm)


@formula(
    title="Fraction of the heart-rate reserve",
    equation="(heart rate − rest) ÷ (maximum − rest)",
    unit="1",
    ranges={
        "rate_bpm": Range(30, 250, "bpm", "Heart rate"),
        "resting_bpm": RESTING,
        "maximum_bpm": MAXIMUM,
    },
    source="Karvonen, Kentala, Mustala 1957, Ann Med Exp Biol Fenn 35:307",
    trust="seen second-hand",
    error="As uncertain as the maximum that goes in.",
)
def fraction_of_reserve(*, rate_bpm: float, resting_bpm: float, maximum_bpm: float) -> float:
    """Share of the reserve that a heart rate uses; below 0 under rest, above 1 over the maximum."""
    _require_reserve(resting_bpm, maximum_bpm)
    return (rate_bpm - resting_bpm) / (maximum_bpm - resting_bpm)


@formula(
    title="Heart rate at a fraction of the maximum",
    equation="fraction × maximum",
    unit="bpm",
    ranges={"maximum_bpm": MAXIMUM, "fraction": Range(0, 1, "1", "Fraction of the maximum")},
    source="Definition of per cent of maximal heart rate",
    trust="definition",
    error="As uncertain as the maximum that goes in.",
)
def maximum_target_bpm(*, maximum_bpm: float, fraction: float) -> float:
    """Heart rate at a given fraction of the maximum. Not the same scale as a fraction of the reserve."""
    return fraction * maximum_bpm


@formula(
    title="Fraction of the maximal heart rate",
    equation="heart rate ÷ maximum",
    unit="1",
    ranges={"rate_bpm": Range(30, 250, "bpm", "Heart rate"), "maximum_bpm": MAXIMUM},
    source="Definition of per cent of maximal heart rate",
    trust="definition",
    error="As uncertain as the maximum that goes in.",
)
def fraction_of_maximum(*, rate_bpm: float, maximum_bpm: float) -> float:
    """Share of the maximal heart rate; above 1 over the maximum. Not the same scale as a fraction of the reserve."""
    return rate_bpm / maximum_bpm


@formula(
    title="Heart-rate reserve",
    equation="maximum − rest",
    unit="bpm",
    ranges={"maximum_bpm": MAXIMUM, "resting_bpm": RESTING},
    source="Karvonen, Kentala, Mustala 1957, Ann Med Exp Biol Fenn 35:307",
    trust="seen second-hand",
    error="As uncertain as the maximum that goes in.",
)
def heart_rate_reserve_bpm(*, maximum_bpm: float, resting_bpm: float) -> float:
    """What the heart rate can rise by. Raises Inconsistent if the maximum is not above rest."""
    _require_reserve(resting_bpm, maximum_bpm)
    return maximum_bpm - resting_bpm


@formula(
    title="Heart rate at a fixed step above rest",
    equation="rest + step",
    unit="bpm",
    ranges={
        "resting_bpm": RESTING,
        "increment_bpm": Range(10, 40, "bpm", "Step above rest", stated_low=20, stated_high=30),
    },
    source="United States practice without a test: rest + 20 after a heart attack, + 30 after surgery; Keteyian 2023",
    trust="seen second-hand",
    error="Poor: rest + 20 put all and rest + 30 put 48 per cent of patients under half of the measured reserve "
    "(Keteyian 2023). Pair it with effort.",
    population="cardiac rehabilitation without an exercise test",
)
def rest_plus_target_bpm(*, resting_bpm: float, increment_bpm: float) -> float:
    """Early upper limit where there is no exercise test; says little about how hard it is for one person."""
    return resting_bpm + increment_bpm


def _require_reserve(resting_bpm: float, maximum_bpm: float) -> None:
    require(
        np.asarray(maximum_bpm) > np.asarray(resting_bpm),
        "The maximal heart rate ({top} bpm) is not above the resting heart rate ({rest} bpm); check both readings.",
        top=maximum_bpm,
        rest=resting_bpm,
    )

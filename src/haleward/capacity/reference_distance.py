"""What healthy people of the same age, sex and size walk, and the share of it that was walked.

The equations disagree by more than the difference that matters: name the equation beside every per cent, never mix
two between visits, and compare a person with heart disease to others with heart disease first. Ages outside the
sample of an equation are refused.
"""

from __future__ import annotations

from dataclasses import dataclass

from haleward.formula import Choice, Range, formula
from haleward.physiology.tables import rows
from haleward.units import cm_from_m

SEX = Choice(("female", "male"), "Sex")
STATURE = Range(1.2, 2.2, "m", "Stature")
MASS = Range(30, 250, "kg", "Body mass")
BMI = Range(12, 70, "kg/m²", "Body mass index")


@formula(
    title="Predicted six-minute walk distance (Enright 1998)",
    equation="men 7.57 × cm − 5.02 × age − 1.76 × kg − 309; women 2.11 × cm − 2.29 × kg − 5.78 × age + 667",
    unit="m",
    ranges={"sex": SEX, "age_y": Range(40, 80, "years", "Age"), "stature_m": STATURE, "mass_kg": MASS},
    source="Enright and Sherrill 1998, Am J Respir Crit Care Med 158:1384",
    trust="source seen",
    error="Explains 42 per cent (men) and 38 per cent (women) of the differences between people.",
    population="healthy United States adults of 40 to 80 years, 117 men and 173 women",
)
def six_minute_walk_m_enright_1998(*, sex: str, age_y: float, stature_m: float, mass_kg: float) -> float:
    """Distance that healthy adults of this sex, age and size walk in six minutes."""
    stature_cm = cm_from_m(length_m=stature_m)
    if sex == "male":
        return 7.57 * stature_cm - 5.02 * age_y - 1.76 * mass_kg - 309
    return 2.11 * stature_cm - 2.29 * mass_kg - 5.78 * age_y + 667


@formula(
    title="Lower limit of normal of the six-minute walk (Enright 1998)",
    equation="predicted distance − 153 (men) or 139 (women)",
    unit="m",
    ranges={"sex": SEX, "age_y": Range(40, 80, "years", "Age"), "stature_m": STATURE, "mass_kg": MASS},
    source="Enright and Sherrill 1998, Am J Respir Crit Care Med 158:1384",
    trust="from memory, unverified",
    population="healthy United States adults of 40 to 80 years, 117 men and 173 women",
)
def six_minute_walk_lower_limit_m_enright_1998(*, sex: str, age_y: float, stature_m: float, mass_kg: float) -> float:
    """Distance under which only about one healthy adult in twenty walks."""
    predicted = six_minute_walk_m_enright_1998(sex=sex, age_y=age_y, stature_m=stature_m, mass_kg=mass_kg)
    return predicted - (153 if sex == "male" else 139)


@formula(
    title="Predicted six-minute walk distance of older adults (Enright 2003)",
    equation="510 (men) or 493 (women) + 2.2 × cm − 0.93 × kg − 5.3 × age",
    unit="m",
    ranges={"sex": SEX, "age_y": Range(68, 100, "years", "Age"), "stature_m": STATURE, "mass_kg": MASS},
    source="Enright 2003",
    trust="source seen",
    error="Explains 20 per cent of the differences between people.",
    population="healthy subgroup of United States adults of 68 years and over",
)
def six_minute_walk_m_enright_2003(*, sex: str, age_y: float, stature_m: float, mass_kg: float) -> float:
    """Distance that healthy older adults walk in six minutes."""
    return (510 if sex == "male" else 493) + 2.2 * cm_from_m(length_m=stature_m) - 0.93 * mass_kg - 5.3 * age_y


@formula(
    title="Predicted six-minute walk distance (Troosters 1999)",
    equation="218 + 5.14 × cm − 5.32 × age − 1.80 × kg + 51.31 for men",
    unit="m",
    ranges={"sex": SEX, "age_y": Range(50, 85, "years", "Age"), "stature_m": STATURE, "mass_kg": MASS},
    source="Troosters 1999",
    trust="source seen",
    error="Residual standard deviation about 56 m (from memory, unverified).",
    population="51 healthy Belgians of 50 to 85 years on a 50 m corridor, encouraged every 30 s",
    standard_error=56,
)
def six_minute_walk_m_troosters_1999(*, sex: str, age_y: float, stature_m: float, mass_kg: float) -> float:
    """Distance that healthy adults walk in six minutes when encouraged often, so higher than others."""
    return 218 + 5.14 * cm_from_m(length_m=stature_m) - 5.32 * age_y - 1.80 * mass_kg + (51.31 if sex == "male" else 0)


@formula(
    title="Predicted six-minute walk distance (Casanova 2011)",
    equation="361 − 4 × age + 2 × cm + 3 × peak per cent of (220 − age) − 1.5 × kg − 30 for women",
    unit="m",
    ranges={
        "sex": SEX,
        "age_y": Range(40, 80, "years", "Age"),
        "stature_m": STATURE,
        "mass_kg": MASS,
        "peak_fraction": Range(0.3, 1.2, "1", "Peak heart rate as a fraction of 220 − age"),
    },
    source="Casanova 2011",
    trust="source seen",
    error="Explains 9 to 73 per cent by centre. Not under a rate-slowing medicine or in atrial fibrillation.",
    population="444 healthy adults of 40 to 80 years in seven countries",
)
def six_minute_walk_m_casanova_2011(
    *, sex: str, age_y: float, stature_m: float, mass_kg: float, peak_fraction: float
) -> float:
    """Distance that healthy adults walk in six minutes, with a term for how hard the heart worked."""
    stature_cm = cm_from_m(length_m=stature_m)
    return 361 - 4 * age_y + 2 * stature_cm + 300 * peak_fraction - 1.5 * mass_kg - (30 if sex == "female" else 0)


@formula(
    title="Predicted shuttle walk distance (Probst 2012)",
    equation="1449.701 − 11.735 × age + 241.897 for men − 5.686 × body mass index",
    unit="m",
    ranges={"sex": SEX, "age_y": Range(18, 85, "years", "Age"), "bmi_kg_per_m2": BMI},
    source="Probst 2012",
    trust="source seen",
    error="Explains 71 per cent of the differences; an extended test, so it rates a walk capped at 1020 m as low.",
    population="242 healthy Brazilians of a wide age range (its ends are not in the reference)",
)
def shuttle_walk_m_probst_2012(*, sex: str, age_y: float, bmi_kg_per_m2: float) -> float:
    """Distance that healthy adults walk in the extended shuttle test."""
    return 1449.701 - 11.735 * age_y + (241.897 if sex == "male" else 0) - 5.686 * bmi_kg_per_m2


@formula(
    title="Predicted shuttle walk distance (Jürgensen 2011)",
    equation="374.004 − 6.782 × age − 2.328 × kg + 3.865 × cm + 115.937 for men",
    unit="m",
    ranges={"sex": SEX, "age_y": Range(40, 85, "years", "Age"), "stature_m": STATURE, "mass_kg": MASS},
    source="Jürgensen 2011",
    trust="from memory, unverified",
    error="Explains 50 per cent of the differences between people.",
    population="131 Brazilians, mean 59 years (the ends of the range are not in the reference)",
)
def shuttle_walk_m_jurgensen_2011(*, sex: str, age_y: float, stature_m: float, mass_kg: float) -> float:
    """Distance that adults in midlife and later walk in the shuttle test."""
    return (
        374.004
        - 6.782 * age_y
        - 2.328 * mass_kg
        + 3.865 * cm_from_m(length_m=stature_m)
        + (115.937 if sex == "male" else 0)
    )


@dataclass(frozen=True)
class ShuttleNorm:
    """Mean shuttle distance of healthy people of an age, and the lower limit of normal."""

    mean_m: float
    lower_limit_m: float
    source: str


def shuttle_walk_norm_harrison_2013(*, age_y: float) -> ShuttleNorm:
    """Norm of healthy United Kingdom adults from 40 years. Raises :class:`OutOfRange` under 40.

    Compare a person with heart disease to others with heart disease first: at entry men walked 395 m (standard
    deviation 165) and women 269 m (118) on average.
    """
    Range(40, 110, "years", "Age").check(age_y)
    row = [row for row in rows("shuttle_walk_norms") if age_y >= float(row["age_from"])][-1]
    return ShuttleNorm(float(row["mean_m"]), float(row["lower_limit_m"]), f"{row['source']} [{row['trust']}]")


@formula(
    title="Per cent of the predicted distance",
    equation="100 × walked ÷ predicted",
    unit="%",
    ranges={
        "distance_m": Range(0, 2000, "m", "Distance walked"),
        "predicted_m": Range(50, 2000, "m", "Predicted distance"),
    },
    source="Definition of per cent predicted",
    trust="definition",
)
def percent_predicted(*, distance_m: float, predicted_m: float) -> float:
    """Share of the predicted distance that was walked, in per cent. Print the equation's name beside it."""
    return 100 * distance_m / predicted_m

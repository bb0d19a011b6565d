"""What healthy people of the same age, sex and size walk in six minutes, by rival equations.

The equations disagree by more than the difference that matters: name the equation beside every per cent, never mix
two between visits (:func:`haleward.capacity.predicted.change_of_percent` refuses), and compare a person with heart
disease to others with heart disease first. Ages outside the sample of an equation are refused.
"""

from __future__ import annotations

from haleward.formula import Choice, Range, either, formula
from haleward.units import cm_from_m

SEX = Choice(("female", "male"), "Sex")
STATURE = Range(1.2, 2.2, "m", "Stature")
MASS = Range(30, 250, "kg", "Body mass")
BMI = Range(12, 70, "kg/m²", "Body mass index")
MIDLIFE = Range(40, 80, "years", "Age")
NO_ERROR = "No standard error for one person is known here."
ENRIGHT_1998 = "Enright and Sherrill 1998, Am J Respir Crit Care Med 158:1384"
ENRIGHT_SAMPLE = "healthy United States adults of 40 to 80 years, 117 men and 173 women"


@formula(
    title="Predicted six-minute walk distance (Enright 1998)",
    equation="men 7.57 × cm − 5.02 × age − 1.76 × kg − 309; women 2.11 × cm − 2.29 × kg − 5.78 × age + 667",
    unit="m",
    ranges={"sex": SEX, "age_y": MIDLIFE, "stature_m": STATURE, "mass_kg": MASS},
    source=ENRIGHT_1998,
    trust="source seen",
    error=f"Explains 42 per cent (men) and 38 per cent (women) of the differences between people. {NO_ERROR}",
    population=ENRIGHT_SAMPLE,
)
def six_minute_walk_m_enright_1998(*, sex: str, age_y: float, stature_m: float, mass_kg: float) -> float:
    """Distance that healthy adults of this sex, age and size walk in six minutes."""
    stature_cm = cm_from_m(length_m=stature_m)
    man = 7.57 * stature_cm - 5.02 * age_y - 1.76 * mass_kg - 309
    woman = 2.11 * stature_cm - 2.29 * mass_kg - 5.78 * age_y + 667
    return either(sex == "male", man, woman)


@formula(
    title="Lower limit of normal of the six-minute walk (Enright 1998)",
    equation="predicted distance − 153 (men) or 139 (women)",
    unit="m",
    ranges={"sex": SEX, "age_y": MIDLIFE, "stature_m": STATURE, "mass_kg": MASS},
    source=ENRIGHT_1998,
    trust="from memory, unverified",
    error=NO_ERROR,
    population=ENRIGHT_SAMPLE,
)
def six_minute_walk_lower_limit_m_enright_1998(*, sex: str, age_y: float, stature_m: float, mass_kg: float) -> float:
    """Distance under which only about one healthy adult in twenty walks."""
    predicted = six_minute_walk_m_enright_1998(sex=sex, age_y=age_y, stature_m=stature_m, mass_kg=mass_kg)
    return predicted - either(sex == "male", 153, 139)


@formula(
    title="Predicted six-minute walk distance of older adults (Enright 2003)",
    equation="510 (men) or 493 (women) + 2.2 × cm − 0.93 × kg − 5.3 × age",
    unit="m",
    ranges={"sex": SEX, "age_y": Range(68, 100, "years", "Age"), "stature_m": STATURE, "mass_kg": MASS},
    source="Enright 2003",
    trust="source seen",
    error=f"Explains 20 per cent of the differences between people. {NO_ERROR}",
    population="healthy subgroup of United States adults of 68 years and over",
)
def six_minute_walk_m_enright_2003(*, sex: str, age_y: float, stature_m: float, mass_kg: float) -> float:
    """Distance that healthy older adults walk in six minutes."""
    start = either(sex == "male", 510, 493)
    return start + 2.2 * cm_from_m(length_m=stature_m) - 0.93 * mass_kg - 5.3 * age_y


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
    stature_cm = cm_from_m(length_m=stature_m)
    return 218 + 5.14 * stature_cm - 5.32 * age_y - 1.80 * mass_kg + either(sex == "male", 51.31, 0)


@formula(
    title="Predicted six-minute walk distance (Casanova 2011)",
    equation="361 − 4 × age + 2 × cm + 3 × peak per cent of (220 − age) − 1.5 × kg − 30 for women",
    unit="m",
    ranges={
        "sex": SEX,
        "age_y": MIDLIFE,
        "stature_m": STATURE,
        "mass_kg": MASS,
        "peak_fraction": Range(0.3, 1.2, "1", "Peak heart rate as a fraction of 220 − age"),
    },
    source="Casanova 2011",
    trust="source seen",
    error=f"Explains 9 to 73 per cent by centre. {NO_ERROR} "
    "Not under a rate-slowing medicine or in atrial fibrillation.",
    population="444 healthy adults of 40 to 80 years in seven countries",
)
def six_minute_walk_m_casanova_2011(
    *, sex: str, age_y: float, stature_m: float, mass_kg: float, peak_fraction: float
) -> float:
    """Distance that healthy adults walk in six minutes, with a term for how hard the heart worked."""
    stature_cm = cm_from_m(length_m=stature_m)
    less = either(sex == "female", 30, 0)
    return 361 - 4 * age_y + 2 * stature_cm + 300 * peak_fraction - 1.5 * mass_kg - less


@formula(
    title="Predicted six-minute walk distance by body mass index (Enright 1998)",
    equation="men 1140 − 5.61 × body mass index − 6.94 × age; women 1017 − 6.24 × body mass index − 5.83 × age",
    unit="m",
    ranges={"sex": SEX, "age_y": MIDLIFE, "bmi_kg_per_m2": BMI},
    source=f"{ENRIGHT_1998}, alternate form",
    trust="from memory, unverified",
    error=NO_ERROR,
    population=ENRIGHT_SAMPLE,
)
def six_minute_walk_m_enright_bmi_1998(*, sex: str, age_y: float, bmi_kg_per_m2: float) -> float:
    """Distance that healthy adults walk, by body mass index; not the same as the form by stature and mass."""
    man = 1140 - 5.61 * bmi_kg_per_m2 - 6.94 * age_y
    return either(sex == "male", man, 1017 - 6.24 * bmi_kg_per_m2 - 5.83 * age_y)


@formula(
    title="Predicted six-minute walk distance (Britto 2013)",
    equation="890.46 − 6.11 × age + 0.0345 × age² + 48.87 for men − 4.87 × body mass index",
    unit="m",
    ranges={"sex": SEX, "age_y": Range(18, 80, "years", "Age"), "bmi_kg_per_m2": BMI},
    source="Britto 2013, Braz J Phys Ther",
    trust="source seen",
    error=f"Explains 46 per cent of the differences between people. {NO_ERROR}",
    population="617 healthy Brazilians (the ends of their ages are not in the reference; the curve turns up at 88)",
)
def six_minute_walk_m_britto_2013(*, sex: str, age_y: float, bmi_kg_per_m2: float) -> float:
    """Distance that healthy adults walk in six minutes, by a curve in age."""
    return 890.46 - 6.11 * age_y + 0.0345 * age_y**2 + either(sex == "male", 48.87, 0) - 4.87 * bmi_kg_per_m2


@formula(
    title="Predicted six-minute walk distance of men (Jenkins 2009)",
    equation="867 − 5.71 × age + 1.03 × cm",
    unit="m",
    ranges={"age_y": Range(45, 85, "years", "Age"), "stature_m": STATURE},
    source="Jenkins 2009",
    trust="source seen",
    error=NO_ERROR,
    population="healthy Australian men of 45 to 85 years",
)
def six_minute_walk_m_men_jenkins_2009(*, age_y: float, stature_m: float) -> float:
    """Distance that healthy men in midlife and later walk in six minutes."""
    return 867 - 5.71 * age_y + 1.03 * cm_from_m(length_m=stature_m)


@formula(
    title="Predicted six-minute walk distance of women (Jenkins 2009)",
    equation="525 − 2.86 × age + 2.71 × cm − 6.22 × body mass index",
    unit="m",
    ranges={"age_y": Range(45, 85, "years", "Age"), "stature_m": STATURE, "bmi_kg_per_m2": BMI},
    source="Jenkins 2009",
    trust="source seen",
    error=NO_ERROR,
    population="healthy Australian women of 45 to 85 years",
)
def six_minute_walk_m_women_jenkins_2009(*, age_y: float, stature_m: float, bmi_kg_per_m2: float) -> float:
    """Distance that healthy women in midlife and later walk in six minutes."""
    return 525 - 2.86 * age_y + 2.71 * cm_from_m(length_m=stature_m) - 6.22 * bmi_kg_per_m2


@formula(
    title="Predicted six-minute walk distance of younger adults (Chetta 2006)",
    equation="518.853 + 1.25 × cm − 2.816 × age − 39.07 for women",
    unit="m",
    ranges={"sex": SEX, "age_y": Range(20, 50, "years", "Age"), "stature_m": STATURE},
    source="Chetta 2006",
    trust="source seen",
    error=f"Explains 42 per cent of the differences between people. {NO_ERROR}",
    population="healthy Italians of 20 to 50 years",
)
def six_minute_walk_m_chetta_2006(*, sex: str, age_y: float, stature_m: float) -> float:
    """Distance that healthy adults up to 50 years walk in six minutes."""
    return 518.853 + 1.25 * cm_from_m(length_m=stature_m) - 2.816 * age_y - either(sex == "female", 39.07, 0)

"""What healthy people of the same age, sex and size walk in the shuttle test: rival equations, and a norm by age.

Name the equation beside every per cent and never mix two between visits. Ages outside a sample are refused.
"""

from __future__ import annotations

from dataclasses import dataclass

from haleward.capacity.reference_distance import BMI, MASS, NO_ERROR, SEX, STATURE
from haleward.formula import Range, either, formula
from haleward.physiology.finding import cited
from haleward.physiology.tables import rows
from haleward.units import cm_from_m


@formula(
    title="Predicted shuttle walk distance (Probst 2012)",
    equation="1449.701 − 11.735 × age + 241.897 for men − 5.686 × body mass index",
    unit="m",
    ranges={"sex": SEX, "age_y": Range(18, 85, "years", "Age"), "bmi_kg_per_m2": BMI},
    source="Probst 2012",
    trust="source seen",
    error=f"Explains 71 per cent of the differences. {NO_ERROR} Made from an extended test (210 to 1820 m), so it "
    "rates a walk capped at 1020 m as low.",
    population="242 healthy Brazilians of a wide age range (its ends are not in the reference)",
)
def shuttle_walk_m_probst_2012(*, sex: str, age_y: float, bmi_kg_per_m2: float) -> float:
    """Distance that healthy adults walk in the extended shuttle test."""
    return 1449.701 - 11.735 * age_y + either(sex == "male", 241.897, 0) - 5.686 * bmi_kg_per_m2


@formula(
    title="Predicted shuttle walk distance (Jürgensen 2011)",
    equation="374.004 − 6.782 × age − 2.328 × kg + 3.865 × cm + 115.937 for men",
    unit="m",
    ranges={"sex": SEX, "age_y": Range(40, 85, "years", "Age"), "stature_m": STATURE, "mass_kg": MASS},
    source="Jürgensen 2011",
    trust="from memory, unverified",
    error=f"Explains 50 per cent of the differences between people. {NO_ERROR}",
    population="131 Brazilians, mean 59 years (the ends of the range are not in the reference)",
)
def shuttle_walk_m_jurgensen_2011(*, sex: str, age_y: float, stature_m: float, mass_kg: float) -> float:
    """Distance that adults in midlife and later walk in the shuttle test."""
    return (
        374.004
        - 6.782 * age_y
        - 2.328 * mass_kg
        + 3.865 * cm_from_m(length_m=stature_m)
        + either(sex == "male", 115.937, 0)
    )


@formula(
    title="Predicted shuttle walk distance (Dourado 2013)",
    equation="347.7 − 7.2 × age − 3.0 × kg + 472.3 × m + 137.2 for men",
    unit="m",
    ranges={"sex": SEX, "age_y": Range(40, 90, "years", "Age"), "stature_m": STATURE, "mass_kg": MASS},
    source="Dourado 2013",
    trust="from memory, unverified",
    error=f"Models of this paper explain 40 to 65 per cent of the differences between people. {NO_ERROR}",
    population="103 healthy Brazilians of 40 years and over (the upper end is not in the reference)",
)
def shuttle_walk_m_dourado_2013(*, sex: str, age_y: float, stature_m: float, mass_kg: float) -> float:
    """Distance that healthy adults from 40 years walk in the shuttle test."""
    return 347.7 - 7.2 * age_y - 3.0 * mass_kg + 472.3 * stature_m + either(sex == "male", 137.2, 0)


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
    known = [row for row in rows("function_norms") if row["test"] == "shuttle_walk_m"]
    Range(float(known[0]["age_from"]), 110, "years", "Age").check(age_y)
    row = [row for row in known if age_y >= float(row["age_from"])][-1]
    return ShuttleNorm(float(row["value"]), float(row["limit"]), cited(row))

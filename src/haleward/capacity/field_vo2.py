"""Oxygen uptake from field tests and questionnaires: estimates whose error is part of the answer."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from haleward.formula import Range, find, formula
from haleward.physiology.tables import settings

SIX_MINUTE_DISTANCE = Range(0, 1000, "m", "Six-minute walk distance")
SHUTTLE_DISTANCE = Range(0, 1020, "m", "Shuttle walk distance")


def general_error() -> float:
    """Standard error in mL/kg/min of field tests in coronary patients, for a method that states none of its own."""
    return settings("field_test_settings")["field_test_standard_error"]


GENERAL = (
    f"None stated for one person. Likely range: the estimate plus and minus {general_error():g} mL/kg/min, the larger "
    "standard error of field tests in coronary patients (Collins 2026); about two measured values in three fall inside."
)


def _general(equation: str) -> Callable[..., tuple[float, float]]:
    """The likely range of an estimate by an equation that states no error of its own."""

    def spread(**given: float) -> tuple[float, float]:
        value = find(equation).call(**given)
        return value - general_error(), value + general_error()

    return spread


@formula(
    title="Peak oxygen uptake from the six-minute walk (Ross 2010)",
    equation="4.682 + 0.025 × distance",
    unit="mL/kg/min",
    ranges={"distance_m": SIX_MINUTE_DISTANCE},
    source="Ross 2010; bias in cardiac rehabilitation: Chirico 2020",
    trust="source seen",
    error="Standard error 3.82 mL/kg/min for one person, about 27 per cent of the mean.",
    population="heart and lung disease (from memory, unverified); biased with fitness in cardiac rehabilitation",
    standard_error=3.82,
)
def peak_vo2_six_minute_walk_ross_2010(*, distance_m: float) -> float:
    """Peak oxygen uptake of one person from the six-minute walk. Not for a group: that has its own equation."""
    return 4.682 + 0.025 * distance_m


@formula(
    title="Mean peak oxygen uptake of a group from the six-minute walk (Ross 2010)",
    equation="4.948 + 0.023 × mean distance",
    unit="mL/kg/min",
    ranges={"mean_distance_m": SIX_MINUTE_DISTANCE},
    source="Ross 2010; reproduces the figure printed in Deka 2020",
    trust="source seen",
    error="Standard error 1.1 mL/kg/min for the mean of a group.",
    population="heart and lung disease (from memory, unverified)",
    standard_error=1.1,
)
def mean_peak_vo2_six_minute_walk_ross_2010(*, mean_distance_m: float) -> float:
    """Mean peak oxygen uptake of a group from its mean distance. Never for one person."""
    return 4.948 + 0.023 * mean_distance_m


@formula(
    title="Peak oxygen uptake from the six-minute walk (Cahalin 1996)",
    equation="3.98 + 0.03 × distance",
    unit="mL/kg/min",
    ranges={"distance_m": SIX_MINUTE_DISTANCE},
    source="Cahalin 1996; reproduces the mean and spread printed in Deka 2020",
    trust="from memory, unverified",
    error=f"The authors do not offer it for one person's prescription. {GENERAL}",
    population="heart failure",
    spread=_general("peak_vo2_six_minute_walk_cahalin_1996"),
)
def peak_vo2_six_minute_walk_cahalin_1996(*, distance_m: float) -> float:
    """Peak oxygen uptake in heart failure from the six-minute walk."""
    return 3.98 + 0.03 * distance_m


@formula(
    title="Oxygen uptake at a shuttle walk pace (Buckley 2016)",
    equation="4.4 × e^(0.23 × speed)",
    unit="mL/kg/min",
    ranges={
        "speed_km_per_h": Range(0, 12, "km/h", "Pace of the last completed level", stated_low=1.8, stated_high=8.53)
    },
    source="Buckley 2016, Sports Med 46:1953",
    trust="source seen",
    error=GENERAL,
    population="32 people in cardiac rehabilitation",
    spread=_general("vo2_shuttle_walk_buckley_2016"),
)
def vo2_shuttle_walk_buckley_2016(*, speed_km_per_h: float) -> float:
    """Oxygen uptake at the pace of the last completed shuttle level (common practice: not the one failed)."""
    uptake: float = 4.4 * np.exp(0.23 * speed_km_per_h)
    return uptake


@formula(
    title="Peak oxygen uptake from the shuttle walk (Singh 1994)",
    equation="4.19 + 0.025 × distance",
    unit="mL/kg/min",
    ranges={"distance_m": SHUTTLE_DISTANCE},
    source="Singh 1994, Eur Respir J 7:2016",
    trust="from memory, unverified",
    error=f"Correlation 0.88. {GENERAL}",
    population="chronic obstructive pulmonary disease",
    spread=_general("peak_vo2_shuttle_walk_singh_1994"),
)
def peak_vo2_shuttle_walk_singh_1994(*, distance_m: float) -> float:
    """Peak oxygen uptake from the shuttle walk distance, made in lung disease, not in heart disease."""
    return 4.19 + 0.025 * distance_m


@formula(
    title="Peak oxygen uptake of women from the shuttle walk (Lima 2019)",
    equation="19.793 + 0.02 × distance − 0.236 × age",
    unit="mL/kg/min",
    ranges={"distance_m": SHUTTLE_DISTANCE, "age_y": Range(18, 110, "years", "Age")},
    source="Lima 2019, PLoS ONE 14:e0211327",
    trust="source seen",
    error=f"Explains 36 per cent of the differences between people. {GENERAL}",
    population="healthy women",
    spread=_general("peak_vo2_shuttle_walk_women_lima_2019"),
)
def peak_vo2_shuttle_walk_women_lima_2019(*, distance_m: float, age_y: float) -> float:
    """Peak oxygen uptake of healthy women from the shuttle walk."""
    return 19.793 + 0.02 * distance_m - 0.236 * age_y


@formula(
    title="Mean walking speed of the six-minute walk",
    equation="distance ÷ 6 min",
    unit="m/min",
    ranges={"distance_m": SIX_MINUTE_DISTANCE},
    source="Definition of mean speed",
    trust="definition",
)
def six_minute_walk_m_per_min(*, distance_m: float) -> float:
    """Mean speed over the six minutes, rests included."""
    return distance_m / 6


@formula(
    title="Peak oxygen uptake from the activity status index (Hlatky 1989)",
    equation="9.6 + 0.43 × score",
    unit="mL/kg/min",
    ranges={"score": Range(0, 58.2, "points", "Activity status score")},
    source="Hlatky 1989, Am J Cardiol 64:651",
    trust="source seen",
    error="Correlation 0.80 when made, 0.58 when validated; a change is known to about ±13 mL/kg/min "
    f"(Reed 2020). {GENERAL}",
    population="people with heart disease; overstates the very limited, since it cannot fall under 9.6",
    spread=_general("peak_vo2_activity_status_hlatky_1989"),
)
def peak_vo2_activity_status_hlatky_1989(*, score: float) -> float:
    """Peak oxygen uptake from the score of the twelve-item activity questionnaire. Scores only, no wording."""
    return 9.6 + 0.43 * score

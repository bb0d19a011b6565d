"""The endurance shuttle walk: one constant speed chosen from the incremental test, and the time it can be kept."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from haleward.capacity.field_vo2 import vo2_shuttle_walk_buckley_2016
from haleward.errors import OutOfRange
from haleward.formula import Range, formula
from haleward.physiology.tables import rows, settings, texts
from haleward.worksheet import Figure

SETTINGS = "field_test_settings"
PEAK_SPEED = Range(1.5, 12, "km/h", "Pace of the last completed level", stated_low=1.8, stated_high=8.53)
FRACTION = Range(0.5, 1, "1", "Fraction of the peak")


@dataclass(frozen=True)
class Track:
    """One of the sixteen recorded speeds, with the seconds from signal to signal as published."""

    track: int
    speed_km_per_h: float
    published_interval_s: float


@dataclass(frozen=True)
class EnduranceScore:
    """Seconds kept after the warm-up, with the metres of that time and what limits them."""

    score_s: Figure
    distance_m: Figure
    capped: bool
    cautions: tuple[str, ...]


@formula(
    title="Shuttle walk pace for an oxygen uptake (Buckley 2016)",
    equation="ln(VO2 ÷ 4.4) ÷ 0.23",
    unit="km/h",
    ranges={"vo2_ml_per_kg_min": Range(4.4, 70, "mL/kg/min", "Oxygen uptake", stated_low=6.66, stated_high=31.3)},
    source="Buckley 2016, Sports Med 46:1953, solved for the pace",
    trust="source seen",
    error="None stated for one person.",
    population="32 people in cardiac rehabilitation",
)
def shuttle_speed_km_per_h_buckley_2016(*, vo2_ml_per_kg_min: float) -> float:
    """Pace of a shuttle walk that uses this much oxygen."""
    speed: float = np.log(vo2_ml_per_kg_min / 4.4) / 0.23
    return speed


@formula(
    title="Endurance shuttle speed by oxygen uptake",
    equation="pace whose oxygen uptake is the fraction of that at the last completed level's pace (Buckley 2016)",
    unit="km/h",
    ranges={"peak_speed_km_per_h": PEAK_SPEED, "fraction": FRACTION},
    source="Revill 1999: 85 per cent of predicted peak oxygen uptake; oxygen uptake by Buckley 2016",
    trust="computed",
    error="The published chart was made in lung disease and was not seen; a fixed fraction of speed differs by this.",
)
def endurance_shuttle_speed_km_per_h_vo2(*, peak_speed_km_per_h: float, fraction: float) -> float:
    """Speed that uses a fraction of the predicted peak oxygen uptake, both by one equation; 0.85 is usual."""
    peak = vo2_shuttle_walk_buckley_2016(speed_km_per_h=peak_speed_km_per_h)
    speed: float = np.log(fraction * peak / 4.4) / 0.23
    return speed


@formula(
    title="Endurance shuttle speed by peak speed (Hill 2012)",
    equation="fraction × pace of the last completed level",
    unit="km/h",
    ranges={"peak_speed_km_per_h": PEAK_SPEED, "fraction": FRACTION},
    source="Hill 2012, Respir Med 106:1665",
    trust="source seen",
    error="Differs from the original method by 0.15 km/h on average, by up to 0.34 km/h more or less in one person.",
    population="22 people with chronic obstructive pulmonary disease",
)
def endurance_shuttle_speed_km_per_h_hill_2012(*, peak_speed_km_per_h: float, fraction: float) -> float:
    """Speed as a fraction of the peak speed of the incremental test; 0.85 is the published one."""
    return fraction * peak_speed_km_per_h


@formula(
    title="Seconds for each shuttle at a constant speed",
    equation="36 ÷ speed",
    unit="s",
    ranges={"speed_km_per_h": Range(0.5, 12, "km/h", "Speed")},
    source="Definition: 10 m at the speed",
    trust="definition",
)
def endurance_shuttle_interval_s(*, speed_km_per_h: float) -> float:
    """Time from signal to signal for 10 m."""
    return 36 / speed_km_per_h


@formula(
    title="Score of the endurance shuttle walk",
    equation="time on the clock − 90 s of warm-up",
    unit="s",
    ranges={"clock_s": Range(90, 1290, "s", "Time on the clock when the walk ended, warm-up included")},
    source="Revill 1999: seconds after the warm-up",
    trust="seen second-hand",
)
def endurance_shuttle_score_s(*, clock_s: float) -> float:
    """Seconds that the constant speed was kept."""
    return clock_s - settings(SETTINGS)["endurance_warm_up_s"]


def tracks() -> tuple[Track, ...]:
    """All recorded speeds, slowest first."""
    return tuple(
        Track(int(row["track"]), float(row["speed_km_per_h"]), float(row["published_interval_s"]))
        for row in rows("endurance_shuttle_speeds")
    )


def track_for(*, speed_km_per_h: float) -> Track:
    """The track nearest to a speed, the slower of two as near (common practice).

    Raises :class:`OutOfRange` for a speed more than half a step outside the recorded ones.
    """
    known = tracks()
    low = known[0].speed_km_per_h - (known[1].speed_km_per_h - known[0].speed_km_per_h) / 2
    high = known[-1].speed_km_per_h + (known[-1].speed_km_per_h - known[-2].speed_km_per_h) / 2
    if not low <= speed_km_per_h <= high:
        raise OutOfRange("Endurance shuttle speed", f"{speed_km_per_h:.2f}", round(low, 3), round(high, 3), "km/h")
    return min(known, key=lambda track: abs(track.speed_km_per_h - speed_km_per_h))


def endurance_score(*, clock_s: float, track: Track) -> EnduranceScore:
    """The seconds and metres kept at ``track`` after the warm-up. Raises :class:`OutOfRange`."""
    known, wording = settings(SETTINGS), texts("capacity_wording")
    score = endurance_shuttle_score_s(clock_s=clock_s)
    capped = score >= known["endurance_cap_s"]
    second, third = (f"{known[f'endurance_{which}_test_s']:g}" for which in ("second", "third"))
    cautions = [wording["endurance_learning"].format(second=second, third=third)]
    if capped:
        cautions.insert(0, wording["endurance_cap"].format(cap=f"{known['endurance_cap_s'] / 60:g}"))
    shuttles = int(score / endurance_shuttle_interval_s(speed_km_per_h=track.speed_km_per_h) + 1e-9)
    distance = shuttles * known["shuttle_m"]
    return EnduranceScore(Figure(score, "s"), Figure(distance, "m"), capped, tuple(cautions))

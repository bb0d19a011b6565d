"""The incremental shuttle walk: its levels, its timing, and what a distance means.

Twelve levels of one minute; level n has n + 2 shuttles of 10 m. Signals use 60 / (level + 2) seconds a shuttle: the
published speeds are rounded steps and would make a level up to 0.93 s short of its minute.
"""

from __future__ import annotations

import functools
from dataclasses import dataclass

from haleward.errors import HalewardError, OutOfRange
from haleward.formula import Range, formula
from haleward.physiology.tables import rows, settings

TABLE = "shuttle_walk_levels"


@dataclass(frozen=True)
class Level:
    """One level: its pace, and the shuttles and metres done when it is complete."""

    level: int
    shuttles: int
    shuttles_done: int
    distance_done_m: int
    interval_s: float
    ends_at_s: float
    published_speed_m_per_s: float
    published_speed_km_per_h: float


@dataclass(frozen=True)
class Reached:
    """Where a distance ends: the last completed level (0 for none) and the shuttles done in the next one."""

    completed_level: int
    further_shuttles: int


@functools.cache
def levels() -> tuple[Level, ...]:
    """All levels in order, from the table of the test."""
    known = settings("field_test_settings")
    made: list[Level] = []
    done = 0
    for row in rows(TABLE):
        level, shuttles = int(row["level"]), int(row["shuttles"])
        done += shuttles
        made.append(
            Level(
                level,
                shuttles,
                done,
                int(done * known["shuttle_m"]),
                known["shuttle_level_s"] / (level + known["shuttle_interval_offset"]),
                level * known["shuttle_level_s"],
                float(row["published_speed_m_per_s"]),
                float(row["published_speed_km_per_h"]),
            )
        )
    return tuple(made)


def level(number: int) -> Level:
    """The level of that number. Raises :class:`OutOfRange`."""
    if not 1 <= number <= len(levels()):
        raise OutOfRange("Shuttle walk level", number, 1, len(levels()), "")
    return levels()[number - 1]


def reached(*, distance_m: float) -> Reached:
    """The last completed level and the further shuttles; a partly done shuttle does not count."""
    longest = levels()[-1].distance_done_m
    if isinstance(distance_m, bool) or not 0 <= distance_m <= longest:
        raise OutOfRange("Shuttle walk distance", distance_m, 0, longest, "m")
    shuttles = int(distance_m // settings("field_test_settings")["shuttle_m"])
    complete = [one for one in levels() if one.shuttles_done <= shuttles]
    return Reached(len(complete), shuttles - (complete[-1].shuttles_done if complete else 0))


SHUTTLE_LEVEL = Range(1, 12, "level", "Level", whole=True)
SOURCE = "Singh 1992, Thorax 47:1019; 60 s a level and level + 2 shuttles"


@formula(
    title="Seconds for each shuttle",
    equation="60 ÷ (level + 2)",
    unit="s",
    ranges={"level": SHUTTLE_LEVEL},
    source=SOURCE,
    trust="computed",
)
def shuttle_interval_s(*, level: float) -> float:
    """Time from one signal to the next at a level."""
    return 60 / (level + 2)


@formula(
    title="Distance of a shuttle walk",
    equation="10 × (shuttles of the completed levels + further shuttles)",
    unit="m",
    ranges={
        "completed_level": Range(0, 12, "level", "Last completed level", whole=True),
        "further_shuttles": Range(0, 14, "shuttles", "Shuttles done in the next level", whole=True),
    },
    source=SOURCE,
    trust="computed",
    elementwise=True,
)
def shuttle_distance_m(*, completed_level: float, further_shuttles: float) -> float:
    """Metres walked, from the last completed level and the shuttles of the next."""
    done = levels()[int(completed_level) - 1].shuttles_done if completed_level else 0
    room = levels()[int(completed_level)].shuttles - 1 if completed_level < len(levels()) else 0
    if further_shuttles > room:
        raise HalewardError(
            f"{further_shuttles:g} further shuttles after level {completed_level:g} do not fit; at most {room}."
        )
    return settings("field_test_settings")["shuttle_m"] * (done + further_shuttles)


@formula(
    title="Time at a shuttle walk distance",
    equation="60 × completed levels + further shuttles × 60 ÷ (completed levels + 3)",
    unit="s",
    ranges={"distance_m": Range(0, 1020, "m", "Distance")},
    source=SOURCE,
    trust="computed",
    elementwise=True,
)
def shuttle_time_s(*, distance_m: float) -> float:
    """Seconds from the start to the last counted shuttle."""
    where = reached(distance_m=distance_m)
    if where.completed_level == len(levels()):
        return levels()[-1].ends_at_s
    next_level = levels()[where.completed_level]
    return (levels()[where.completed_level - 1].ends_at_s if where.completed_level else 0) + (
        where.further_shuttles * next_level.interval_s
    )

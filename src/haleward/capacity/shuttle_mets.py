"""METs of a shuttle walk level: the rival methods differ up to twofold, so the method is named beside every value."""

from __future__ import annotations

from typing import Literal, get_args

from haleward.capacity.shuttle import Level, level
from haleward.errors import HalewardError
from haleward.formula import find
from haleward.physiology.metabolic import WALKING_SPEED
from haleward.physiology.tables import rows
from haleward.units import m_per_min_from_m_per_s
from haleward.worksheet import Figure, NotComputed

LevelMethod = Literal["walking_acsm", "buckley_2016", "singh_1994", "almodhy_2014", "older_table"]
METHODS: tuple[LevelMethod, ...] = get_args(LevelMethod)
SOURCES: dict[LevelMethod, str] = {
    "walking_acsm": "ACSM walking equation at the pace of the level [source seen]",
    "buckley_2016": "Buckley 2016, 32 people in cardiac rehabilitation [source seen]",
    "singh_1994": "Singh 1994, lung disease, at the end of the level [from memory, unverified]",
    "almodhy_2014": "Almodhy 2014, measured in 8 people in cardiac rehabilitation [source seen]",
    "older_table": "older published table, far above what is measured [seen second-hand]",
}

# Of whom the range is, where it is no error of an estimate.
SPREADS: dict[LevelMethod, str] = {"almodhy_2014": "among those eight"}


def level_met(*, completed_level: int, method: LevelMethod) -> Figure | NotComputed:
    """METs at the end of a completed level by the named method; a measured table gives its range too.

    A level that the method's table does not reach is not computed. Raises :class:`HalewardError` for an unknown method
    and :class:`OutOfRange` for a level outside 1 to 12.
    """
    if method not in METHODS:
        raise HalewardError(f"There is no method {method!r} for the METs of a level; there is {', '.join(METHODS)}.")
    done = level(completed_level)
    if method == "almodhy_2014" or method == "older_table":
        return _tabled(done, method)
    if method == "walking_acsm":
        return _walked(done)
    if method == "buckley_2016":
        return _in_met(find("vo2_shuttle_walk_buckley_2016").figure(speed_km_per_h=done.published_speed_km_per_h))
    return _in_met(find("peak_vo2_shuttle_walk_singh_1994").figure(distance_m=done.distance_done_m))


def _walked(done: Level) -> Figure | NotComputed:
    speed = m_per_min_from_m_per_s(speed_m_per_s=done.published_speed_m_per_s)
    if speed > WALKING_SPEED.high:
        pace, most = f"{speed:.0f} m/min", f"{WALKING_SPEED.high:g} m/min"
        return _none(done, f"Its pace of {pace} is above the {most} at which walking ends")
    return _in_met(find("vo2_walking_acsm").figure(speed_m_per_min=speed, grade_fraction=0.0))


def _in_met(vo2: Figure) -> Figure:
    return find("met_from_oxygen_uptake").figure(vo2_ml_per_kg_min=vo2)


def _none(done: Level, why: str) -> NotComputed:
    return NotComputed(f"METs of level {done.level}", f"{why}.")


def _tabled(done: Level, method: LevelMethod) -> Figure | NotComputed:
    row = next(row for row in rows("shuttle_level_mets") if int(row["level"]) == done.level)
    if not row[method]:
        return _none(done, f"{SOURCES[method]} does not reach level {done.level}")
    low, high = (row.get(f"{method}_{end}") for end in ("low", "high"))
    return Figure(float(row[method]), "METs", float(low) if low else None, float(high) if high else None)

"""What is wrong with one log entry, in one sentence per fault. The format is docs/session_log_format.md."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from uuid import UUID

from haleward.physiology.tables import rows

KINDS = ("check", "set", "effort", "feel", "skip", "rest_more", "unwell", "done", "note", "pause", "report", "sore")
_ABOUT_A_SET = ("set", "effort", "feel", "skip", "rest_more", "pause")
_FEELS = ("too_hard", "too_easy")
_OUTCOMES = ("go_ahead", "check_first", "not_today")
OUTCOMES_TOLD = ("as_planned", "part", "not_done")
SORE_PLACES = ("legs", "arms", "shoulders", "back", "joint", "one_side")
_LOAD_CHANGES = ("", "lighter", "heavier")
_WHOLE_NUMBER, _NUMBER, _YES_NO, _TEXT = "a whole number", "a number", "true or false", "text"


@dataclass(frozen=True)
class _Field:
    """One field of an entry's data: what it must be, and whether it may be null or missing."""

    name: str
    what: str
    optional: bool = False
    lowest: float | None = None
    highest: float | None = None
    among: tuple[str, ...] = ()


def heart_rate_limits() -> tuple[int, int]:
    """The lowest and the highest heart rate that can be one, in beats a minute (data/tables/plausible.csv)."""
    row = next(row for row in rows("plausible") if row["name"] == "rate_bpm")
    return int(row["low"]), int(row["high"])


_HEART_RATE = _Field("heart_rate_bpm", _WHOLE_NUMBER, True, *heart_rate_limits())
_SESSION = (
    _Field("session_id", _TEXT),
    _Field("plan_version", _WHOLE_NUMBER, lowest=0),
    _Field("part_key", _TEXT),
    _Field("helping", _YES_NO, optional=True),
)
_SET = (
    _Field("exercise_index", _WHOLE_NUMBER, lowest=0),
    _Field("movement_id", _TEXT),
    _Field("set_number", _WHOLE_NUMBER, lowest=0),
)
_OWN: Mapping[str, tuple[_Field, ...]] = {
    "check": (_Field("outcome", _TEXT, among=_OUTCOMES),),
    "set": (
        _Field("repetitions", _WHOLE_NUMBER, optional=True, lowest=0, highest=999),
        _Field("minutes", _NUMBER, optional=True, lowest=0, highest=999),
        _Field("hard_at", _WHOLE_NUMBER, optional=True, lowest=1, highest=999),
    ),
    "effort": (_Field("effort", _NUMBER, optional=True, lowest=0, highest=20),),
    "feel": (_Field("feel", _TEXT, among=_FEELS),),
    "unwell": (_Field("topic", _TEXT), _Field("withdrawn", _YES_NO, optional=True)),
    "done": (
        _Field("whole_effort", _NUMBER, optional=True, lowest=0, highest=20),
        _Field("worried", _YES_NO, optional=True),
        _Field("sore_days", _NUMBER, optional=True, lowest=0, highest=366),
        _HEART_RATE,
    ),
    "note": (_Field("text", _TEXT),),
    "report": (
        _Field("on", _TEXT),
        _Field("outcome", _TEXT, among=OUTCOMES_TOLD),
        _Field("entered_at", _TEXT),
        _Field("whole_effort", _NUMBER, optional=True, lowest=0, highest=20),
        _Field("reason", _TEXT, optional=True),
        _Field("back_dated", _YES_NO, optional=True),
        _HEART_RATE,
    ),
    "sore": (_Field("sore_days", _NUMBER, lowest=0, highest=366),),
}
_TOLD_SET = (
    *_SET,
    *_OWN["set"],
    _Field("effort", _NUMBER, optional=True, lowest=0, highest=20),
    _Field("load_change", _TEXT, optional=True, among=_LOAD_CHANGES),
    _Field("skipped", _YES_NO, optional=True),
)


def faults_of(entry: object) -> tuple[str, ...]:
    """What is wrong with one entry, one sentence per fault; empty if it may be stored."""
    if not isinstance(entry, Mapping):
        return ("An entry is not an object with entry_id, kind, at and data.",)
    kind, data = entry.get("kind"), entry.get("data")
    faults = [*_identity_faults(entry)]
    if kind not in KINDS:
        faults.append(f"The kind is {kind!r}; it must be one of {', '.join(KINDS)}.")
    if not isinstance(data, Mapping):
        return (*faults, "The data of the entry are not an object.")
    fields = (*_SESSION, *(_SET if kind in _ABOUT_A_SET else ()), *_OWN.get(str(kind), ()))
    faults += [fault for field in fields if (fault := _field_fault(data, field))]
    if kind == "report":
        faults += _report_faults(data)
    if kind == "sore":
        faults += _place_faults(data)
    return tuple(faults)


def _report_faults(data: Mapping[str, Any]) -> list[str]:
    """What is wrong with a session told afterwards: its day, when it was told, and its sets."""
    faults = []
    if not _is_day(data.get("on")):
        faults.append(f"on is {data.get('on')!r}; it must be a day such as 2026-03-02.")
    if not _is_instant(data.get("entered_at")):
        faults.append(f"entered_at is {data.get('entered_at')!r}; it must be ISO 8601 with its offset from UTC.")
    sets = data.get("sets", [])
    if not isinstance(sets, list) or not all(isinstance(one, Mapping) for one in sets):
        return [*faults, "The sets are not a list of sets."]
    faults += [fault for one in sets for field in _TOLD_SET if (fault := _field_fault(one, field))]
    return faults or [fault for one in sets if (fault := _hard_fault(one))]


def _hard_fault(one: Mapping[str, Any]) -> str:
    """A set cannot get hard after its last repetition."""
    hard_at, done = one.get("hard_at"), one.get("repetitions")
    if hard_at is None or done is None or hard_at <= done:
        return ""
    return f"hard_at is {hard_at}, but the set had {done} repetitions; it must be one of these, or blank."


def _place_faults(data: Mapping[str, Any]) -> list[str]:
    places = data.get("places", [])
    if isinstance(places, list) and all(place in SORE_PLACES for place in places):
        return []
    return [f"places is {places!r}; it must be a list of {', '.join(SORE_PLACES)}."]


def _is_day(value: object) -> bool:
    if not isinstance(value, str):
        return False
    try:
        return date.fromisoformat(value).isoformat() == value
    except ValueError:
        return False


def _identity_faults(entry: Mapping[str, Any]) -> list[str]:
    faults = []
    if not _is_uuid(entry.get("entry_id")):
        faults.append(f"The entry_id is {entry.get('entry_id')!r}; it must be a UUID made on the page.")
    if not _is_instant(entry.get("at")):
        faults.append(f"The time is {entry.get('at')!r}; it must be ISO 8601 with its offset from UTC.")
    return faults


def _is_uuid(value: object) -> bool:
    if not isinstance(value, str):
        return False
    try:
        return str(UUID(value)) == value.lower()
    except ValueError:
        return False


def _is_instant(value: object) -> bool:
    if not isinstance(value, str):
        return False
    try:
        return datetime.fromisoformat(value).tzinfo is not None
    except ValueError:
        return False


def _field_fault(data: Mapping[str, Any], field: _Field) -> str:
    value = data.get(field.name)
    if value is None:
        return "" if field.optional else f"The entry has no {field.name}."
    if not _fits(value, field):
        return f"{field.name} is {value!r}; it must be {_wanted(field)}."
    return ""


def _fits(value: object, field: _Field) -> bool:
    if field.what == _TEXT:
        return isinstance(value, str) and (not field.among or value in field.among)
    if field.what == _YES_NO:
        return isinstance(value, bool)
    if isinstance(value, bool) or not isinstance(value, int if field.what == _WHOLE_NUMBER else int | float):
        return False
    low_enough = field.highest is None or value <= field.highest
    return low_enough and (field.lowest is None or value >= field.lowest)


def _wanted(field: _Field) -> str:
    if field.among:
        return f"one of {', '.join(field.among)}"
    if field.lowest is None:
        return field.what
    return f"{field.what}, {field.lowest:g} or more" + ("" if field.highest is None else f", at most {field.highest:g}")

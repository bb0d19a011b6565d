"""From the entries that a session page sends to a session log. The format is docs/session_log_format.md.

Entries are only ever added. A later entry about the same thing corrects an earlier one; entries may arrive twice and in
any order. What is blank stays blank.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any, TypeVar

from haleward.dose.log import Feel, SessionLog, SetLog
from haleward.errors import Inconsistent
from haleward.session.entry_faults import KINDS, faults_of

__all__ = ["FORMAT", "KINDS", "UNNAMED_SYMPTOM", "faults_of", "logs_of"]

_T = TypeVar("_T")
FORMAT = "haleward-log/1"
UNNAMED_SYMPTOM = "after you stopped"  # the safety topic of someone who pressed "I feel unwell" and chose nothing


def logs_of(entries: Sequence[Mapping[str, Any]]) -> SessionLog:
    """The log of the one session that the entries belong to.

    Raises :class:`Inconsistent` with one sentence per fault, or if the entries belong to several sessions or to none.
    """
    faults = [f"Entry {place}: {fault}" for place, entry in enumerate(entries, 1) for fault in faults_of(entry)]
    if faults:
        raise Inconsistent("\n".join(faults))
    unique = {entry["entry_id"]: entry for entry in entries}
    ordered = sorted(unique.values(), key=lambda entry: (_at(entry), entry["entry_id"]))
    sessions = {entry["data"]["session_id"] for entry in ordered}
    if len(sessions) != 1:
        raise Inconsistent(f"The entries belong to {len(sessions)} sessions; a log is made of the entries of one.")
    first = ordered[0]["data"]
    done = [entry for entry in ordered if entry["kind"] == "done"]
    checks = [entry for entry in ordered if entry["kind"] == "check"]
    last = done[-1]["data"] if done else {}
    told = _told(ordered)
    sore: Mapping[str, Any] = next((entry["data"] for entry in reversed(ordered) if entry["kind"] == "sore"), {})
    return SessionLog(
        session_id=first["session_id"],
        plan_version=first["plan_version"],
        part_key=first["part_key"],
        started_at=_at(ordered[0]),
        ended_at=_at(done[-1]) if done else None,
        sets=_sets(ordered, told),
        symptoms=_symptoms(ordered),
        stopped_by_check=bool(checks) and checks[-1]["data"]["outcome"] != "go_ahead",
        whole_effort=_first(told.get("whole_effort"), last.get("whole_effort")),
        sore_days=_first(sore.get("sore_days"), last.get("sore_days")),
        sore_places=tuple(sore.get("places", ())),
        outcome=told.get("outcome", ""),
        reason=told.get("reason") or "",
        back_dated=bool(told.get("back_dated")),
        heart_rate_bpm=_first(told.get("heart_rate_bpm"), last.get("heart_rate_bpm")),
    )


def _first(value: _T | None, other: _T | None) -> _T | None:
    return other if value is None else value


def _told(entries: Sequence[Mapping[str, Any]]) -> Mapping[str, Any]:
    """What was told of the session afterwards: the last word on it counts."""
    reports = [entry for entry in entries if entry["kind"] == "report"]
    newest = max(reports, key=lambda entry: (_instant(entry["data"]["entered_at"]), entry["entry_id"]), default=None)
    return newest["data"] if newest else {}


def _sets(entries: Sequence[Mapping[str, Any]], told: Mapping[str, Any]) -> tuple[SetLog, ...]:
    """Every set that something was said about, in the order of the programme; what was told afterwards comes last."""
    sets: dict[tuple[int, int], SetLog] = {}
    for entry in entries:
        change = _CHANGES.get(entry["kind"])
        if change is None:
            continue
        data = entry["data"]
        # Before a movement's first set (set 0) a word about it belongs to that first set.
        key = (data["exercise_index"], max(1, data["set_number"]))
        sets[key] = change(sets.get(key) or SetLog(data["movement_id"], *key), data)
    for one in told.get("sets", ()):
        key = (one["exercise_index"], max(1, one["set_number"]))
        sets[key] = _retold(sets.get(key) or SetLog(one["movement_id"], *key), one)
    return tuple(sets[key] for key in sorted(sets))


def _retold(log: SetLog, one: Mapping[str, Any]) -> SetLog:
    """A set as told afterwards; what is left blank stays as it was."""
    given = {name: one[name] for name in ("repetitions", "effort", "minutes", "hard_at") if one.get(name) is not None}
    feel: Feel = "skipped" if one.get("skipped") else log.feel
    return replace(log, load_change=one.get("load_change") or "", feel=feel, **given)


def _felt(log: SetLog, feel: Feel) -> SetLog:
    return replace(log, feel=feel)


_CHANGES: Mapping[str, Callable[[SetLog, Mapping[str, Any]], SetLog]] = {
    "set": lambda log, data: replace(
        log, repetitions=data.get("repetitions"), minutes=data.get("minutes"), hard_at=data.get("hard_at")
    ),
    "effort": lambda log, data: replace(log, effort=data.get("effort")),
    "feel": lambda log, data: _felt(log, data["feel"]),
    "skip": lambda log, _: _felt(log, "skipped"),
}


def _symptoms(entries: Sequence[Mapping[str, Any]]) -> tuple[str, ...]:
    """The safety topics reported. Pressing "I feel unwell" counts even with nothing chosen, unless by mistake."""
    topics: dict[str, None] = {}
    opened = False
    worried = False
    for entry in entries:
        data = entry["data"]
        if entry["kind"] == "unwell":
            opened = not data["topic"] and not data.get("withdrawn")
            if data["topic"]:
                topics[data["topic"]] = None
        elif entry["kind"] == "done":
            worried = bool(data.get("worried"))
    if (opened or worried) and not topics:
        topics[UNNAMED_SYMPTOM] = None
    return tuple(topics)


def _at(entry: Mapping[str, Any]) -> datetime:
    return _instant(entry["at"])


def _instant(text: str) -> datetime:
    return datetime.fromisoformat(text)

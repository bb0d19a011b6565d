"""From stored entries to the domain's session logs."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import replace
from datetime import date, datetime
from typing import Any
from uuid import UUID, uuid5

from django.utils import timezone

from haleward.dose.log import Origin, SessionLog
from haleward.session.entries import logs_of
from haleward.web.delivery.models import LogEntry
from haleward.web.people.models import Person

TOLD_KINDS = frozenset({"report", "sore"})
LEAST_SEEN: tuple[Origin, ...] = ("paper", "carer", "person", "recording", "staff")  # who was the furthest away, first


def session_id_of(person: Person, day: date, part_key: str) -> UUID:
    """The id of the session that is told of a day: the same in every window and for everybody who tells it."""
    return uuid5(person.pk, f"{day.isoformat()}/{part_key}")


def plain_entry(row: LogEntry, session_id: UUID | None = None) -> dict[str, Any]:
    """An entry in the log format (docs/session_log_format.md), at the time put right, in the service's own time zone.

    The domain takes the day from it, so a session early in the morning belongs to the day on the person's own clock.
    """
    data = row.data if session_id is None else row.data | {"session_id": str(session_id)}
    if "entered_at" in data:  # told by the same clock as the rest: a clock that is ahead outranks no later word
        told_at = datetime.fromisoformat(data["entered_at"]) + (row.true_at - row.happened_at)
        data = data | {"entered_at": told_at.isoformat()}
    return {
        "entry_id": str(row.entry_id),
        "kind": row.kind,
        "at": timezone.localtime(row.true_at).isoformat(),
        "data": data,
    }


def log_of(rows: Iterable[LogEntry], session_id: UUID | None = None) -> SessionLog:
    """The log of one session; it is seen by staff only if staff sent every entry of it."""
    rows = list(rows)
    origins = {row.origin for row in rows}
    origin = next(one for one in LEAST_SEEN if one in origins)
    log = logs_of([plain_entry(row, session_id) for row in rows])
    return replace(log, origin=origin, outside=not any(map(_plays, rows)) and any(map(_outside, rows)))


def session_log(person: Person, session_id: UUID) -> SessionLog:
    """One session of this person."""
    return log_of(person.log_entries.filter(session_id=session_id))


def all_logs(person: Person) -> tuple[SessionLog, ...]:
    """Every session of this person, oldest first, those told as not done among them.

    What was told of a day belongs to the session that was played on it, if there is one of the same part. A symptom
    outside any session stays by itself: the walk of that day was not stopped by it.
    """
    sessions: dict[UUID, list[LogEntry]] = defaultdict(list)
    for row in person.log_entries.all():
        sessions[row.session_id].append(row)
    played = {_place(rows): session_id for session_id, rows in sessions.items() if any(map(_plays, rows))}
    merged: dict[UUID, list[LogEntry]] = defaultdict(list)
    for session_id, rows in sessions.items():
        target = played.get(_place(rows), session_id) if _only_told(rows) else session_id
        merged[target] += rows
    logs = (log_of(rows, session_id) for session_id, rows in merged.items())
    return tuple(sorted(logs, key=lambda log: log.started_at))


def session_logs(person: Person) -> tuple[SessionLog, ...]:
    """The sessions that say something about exercise: those only told as not done are left out."""
    return tuple(log for log in all_logs(person) if not log.missed)


def _only_told(rows: list[LogEntry]) -> bool:
    return all(row.kind in TOLD_KINDS for row in rows)


def _outside(row: LogEntry) -> bool:
    return bool(row.data.get("outside"))


def _plays(row: LogEntry) -> bool:
    """Whether the entry is about a session that was played, or about a symptom in one."""
    return row.kind not in TOLD_KINDS and not _outside(row)


def _place(rows: list[LogEntry]) -> tuple[date, str]:
    return timezone.localdate(min(row.true_at for row in rows)), rows[0].part_key

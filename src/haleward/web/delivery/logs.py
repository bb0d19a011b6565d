"""From stored entries to the domain's session logs."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import replace
from typing import Any, cast
from uuid import UUID

from haleward.dose.log import Origin, SessionLog
from haleward.session.entries import logs_of
from haleward.web.delivery.models import LogEntry
from haleward.web.people.models import Person


def plain_entry(row: LogEntry) -> dict[str, Any]:
    """An entry in the log format (docs/session_log_format.md)."""
    return {
        "entry_id": str(row.entry_id),
        "kind": row.kind,
        "at": row.happened_at.isoformat(),
        "data": row.data,
    }


def log_of(rows: Iterable[LogEntry]) -> SessionLog:
    """The log of one session; it is seen by staff only if staff sent every entry of it."""
    rows = list(rows)
    origin = next((row.origin for row in rows if row.origin != "staff"), "staff")
    return replace(logs_of([plain_entry(row) for row in rows]), origin=cast(Origin, origin))


def session_log(person: Person, session_id: UUID) -> SessionLog:
    """One session of this person."""
    return log_of(person.log_entries.filter(session_id=session_id))


def session_logs(person: Person) -> tuple[SessionLog, ...]:
    """Every session of this person, oldest first."""
    sessions: dict[UUID, list[LogEntry]] = defaultdict(list)
    for row in person.log_entries.all():
        sessions[row.session_id].append(row)
    return tuple(sorted((log_of(rows) for rows in sessions.values()), key=lambda log: log.started_at))

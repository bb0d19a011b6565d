"""From stored entries to the domain's session logs."""

from __future__ import annotations

from collections import defaultdict

from haleward.dose.log import SessionLog
from haleward.session.entries import logs_of
from haleward.web.delivery.models import LogEntry
from haleward.web.people.models import Person


def plain_entry(row: LogEntry) -> dict[str, object]:
    """An entry in the log format (docs/session_log_format.md)."""
    return {
        "entry_id": str(row.entry_id),
        "session_id": str(row.session_id),
        "plan_version": row.programme.version,
        "part_key": row.part_key,
        "kind": row.kind,
        "at": row.happened_at.isoformat(),
        "origin": row.origin,
        "data": row.data,
    }


def session_logs(person: Person) -> tuple[SessionLog, ...]:
    """Every session of this person, oldest first."""
    sessions: dict[str, list[dict[str, object]]] = defaultdict(list)
    for row in person.log_entries.select_related("programme").order_by("happened_at", "stored_at"):
        sessions[str(row.session_id)].append(plain_entry(row))
    return tuple(sorted((logs_of(entries) for entries in sessions.values()), key=lambda log: log.started_at))

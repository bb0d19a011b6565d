"""Storing what a session page sends: each entry once, concerns raised, the next step proposed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import transaction

from haleward.errors import HalewardError
from haleward.session.entries import faults_of
from haleward.web.concerns.actions import concerns_of_session
from haleward.web.delivery.links import Holder
from haleward.web.delivery.models import LogEntry
from haleward.web.people.models import Person
from haleward.web.prescription.models import ProgrammeVersion
from haleward.web.prescription.proposals import renew_proposals

MOST_ENTRIES = 2000
CLOSING_KINDS = frozenset({"done", "unwell", "check"})  # after these the next step may be different
Entry = Mapping[str, Any]


@transaction.atomic
def store_entries(entries: Sequence[Entry], *, holder: Holder, now: datetime) -> list[str]:
    """Store every entry that is not there yet, all or none; returns the ids that are now stored."""
    _refuse_faulty(entries)
    ids = [str(entry["entry_id"]) for entry in entries]
    known = _known_here(ids, holder.person)
    new = {entry["entry_id"]: entry for entry in entries if entry["entry_id"] not in known}
    versions = {row.version: row for row in holder.person.programmes.filter(signed_at__isnull=False)}
    rows = [_row(entry, holder, versions) for entry in new.values()]
    LogEntry.objects.bulk_create(rows)
    for session_id in {row.session_id for row in rows}:
        concerns_of_session(holder.person, session_id, now=now)
    if any(row.kind in CLOSING_KINDS for row in rows):
        renew_proposals(holder.person, now)
    return ids


def _refuse_faulty(entries: Sequence[Entry]) -> None:
    if len(entries) > MOST_ENTRIES:
        raise HalewardError(f"{len(entries)} entries at once are too many; send at most {MOST_ENTRIES}.")
    faults = [f"Entry {place}: {fault}" for place, entry in enumerate(entries, 1) for fault in faults_of(entry)]
    if faults:
        raise HalewardError("\n".join(faults))


def _known_here(ids: list[str], person: Person) -> set[str]:
    """Ids stored before. An id stored for somebody else is a forgery or a clash: nothing is stored."""
    rows = LogEntry.objects.filter(entry_id__in=ids).values_list("entry_id", "person_id")
    if any(owner != person.pk for _, owner in rows):
        raise HalewardError("An entry with this id belongs to another log. Nothing was stored.")
    return {str(entry_id) for entry_id, _ in rows}


def _row(entry: Entry, holder: Holder, versions: dict[int, ProgrammeVersion]) -> LogEntry:
    data = entry["data"]
    programme = versions.get(data["plan_version"])
    if programme is None:
        raise HalewardError(f"Plan {data['plan_version']} is not a signed plan of this person.")
    return LogEntry(
        entry_id=UUID(entry["entry_id"]),
        person=holder.person,
        programme=programme,
        session_id=UUID(data["session_id"]),
        part_key=data["part_key"],
        kind=entry["kind"],
        happened_at=datetime.fromisoformat(entry["at"]),
        origin=holder.origin,
        data=dict(data),
    )

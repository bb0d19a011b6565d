"""Storing what a session page sends: each entry once, concerns raised, the next step proposed."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import transaction

from haleward.errors import HalewardError
from haleward.session.entries import Entry, read_entry
from haleward.web.concerns.actions import raise_concern
from haleward.web.delivery.links import Holder
from haleward.web.delivery.models import LogEntry
from haleward.web.people.models import Person
from haleward.web.prescription.actions import renew_proposals
from haleward.web.prescription.models import ProgrammeVersion

MOST_ENTRIES = 500
CLOSING_KINDS = frozenset({"done", "unwell", "check"})  # after these the next step may be different


@transaction.atomic
def store_entries(entries: Sequence[dict[str, Any]], *, holder: Holder, now: datetime) -> list[str]:
    """Store every entry that is not there yet, all or none; returns the ids that are now stored."""
    if len(entries) > MOST_ENTRIES:
        raise HalewardError(f"{len(entries)} entries at once are too many; send at most {MOST_ENTRIES}.")
    read = [read_entry(entry) for entry in entries]
    known = _known_here([entry.entry_id for entry in read], holder.person)
    versions = {row.version: row for row in holder.person.programmes.filter(signed_at__isnull=False)}
    new = [entry for entry in {entry.entry_id: entry for entry in read}.values() if entry.entry_id not in known]
    for entry in new:
        row = _store(entry, holder, versions)
        raise_concern(row, now=now)
    if any(entry.kind in CLOSING_KINDS for entry in new):
        renew_proposals(holder.person, now=now)
    return [entry.entry_id for entry in read]


def _known_here(ids: list[str], person: Person) -> set[str]:
    """Ids stored before. An id stored for somebody else is a forgery or a clash: nothing is stored."""
    rows = LogEntry.objects.filter(entry_id__in=ids).values_list("entry_id", "person_id")
    if any(owner != person.pk for _, owner in rows):
        raise HalewardError("An entry with this id belongs to another log. Nothing was stored.")
    return {str(entry_id) for entry_id, _ in rows}


def _store(entry: Entry, holder: Holder, versions: dict[int, ProgrammeVersion]) -> LogEntry:
    programme = versions.get(entry.plan_version)
    if programme is None:
        raise HalewardError(f"Plan {entry.plan_version} is not a signed plan of this person.")
    return LogEntry.objects.create(
        entry_id=UUID(entry.entry_id),
        person=holder.person,
        programme=programme,
        session_id=UUID(entry.session_id),
        part_key=entry.part_key,
        kind=entry.kind,
        happened_at=entry.at,
        origin=holder.origin,
        data=entry.data,
    )

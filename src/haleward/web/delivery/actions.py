"""Storing what a session page sends: each entry once, concerns raised, the next step proposed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import UUID

from django.db import IntegrityError, transaction

from haleward.errors import HalewardError
from haleward.session.compile import WALK
from haleward.session.entries import faults_of
from haleward.web.concerns.actions import concerns_of_session
from haleward.web.delivery.links import Holder
from haleward.web.delivery.models import LogEntry
from haleward.web.people.models import Person
from haleward.web.prescription.models import ProgrammeVersion
from haleward.web.prescription.proposals import renew_proposals
from haleward.web.team.protocol import protocol_of

MOST_ENTRIES = 2000
CLOSING_KINDS = frozenset({"done", "unwell", "check", "report", "sore"})  # after these the next step may be different
Entry = Mapping[str, Any]


def store_entries(
    entries: Sequence[Entry], *, holder: Holder, now: datetime, sent_at: datetime | None = None, on_paper: bool = False
) -> list[str]:
    """Store every entry that is not there yet, all or none; returns the ids that are now stored.

    ``sent_at`` is what the clock of the device said when it sent them; ``on_paper``: staff type in what the person
    wrote.
    """
    _refuse_faulty(entries)
    off_s = clock_off_s(sent_at, now=now, most=_clock_off_most(holder.person))
    origin = "paper" if on_paper else holder.origin
    try:
        return _store(entries, holder=holder, origin=origin, now=now, off_s=off_s)
    except IntegrityError:  # another window stored the same entries at this moment: now they are known
        return _store(entries, holder=holder, origin=origin, now=now, off_s=off_s)


def clock_off_s(sent_at: datetime | None, *, now: datetime, most: timedelta | None) -> int | None:
    """By how many seconds a device's clock is behind (before it: negative); ``None`` if not told or near enough."""
    if sent_at is None or most is None or abs(now - sent_at) <= most:
        return None
    return round((now - sent_at).total_seconds())


def _clock_off_most(person: Person) -> timedelta | None:
    minutes = protocol_of(person.service).policies.progression.clock_off_minutes
    return None if minutes is None else timedelta(minutes=minutes)


@transaction.atomic
def _store(entries: Sequence[Entry], *, holder: Holder, origin: str, now: datetime, off_s: int | None) -> list[str]:
    by_id = {UUID(entry["entry_id"]): entry for entry in entries}
    known = _known_here(by_id, holder.person)
    versions = {row.version: row for row in holder.person.programmes.filter(signed_at__isnull=False)}
    rows = [
        _row(entry, holder.person, origin, versions, off_s)
        for entry_id, entry in by_id.items()
        if entry_id not in known
    ]
    sessions = {row.session_id for row in rows}
    _refuse_foreign_sessions(sessions, holder.person)
    LogEntry.objects.bulk_create(rows)
    for session_id in sessions:
        concerns_of_session(holder.person, session_id, now=now)
    # A set that arrives after the end of its session changes what the log says as much as the end itself.
    if holder.person.log_entries.filter(session_id__in=sessions, kind__in=CLOSING_KINDS).exists():
        renew_proposals(holder.person, now)
    return [str(entry["entry_id"]) for entry in entries]


def _refuse_faulty(entries: Sequence[Entry]) -> None:
    if len(entries) > MOST_ENTRIES:
        raise HalewardError(f"{len(entries)} entries at once are too many; send at most {MOST_ENTRIES}.")
    faults = [
        f"Entry {place}: {fault}"
        for place, entry in enumerate(entries, 1)
        for fault in faults_of(entry) or _faults_of_keys(entry)
    ]
    if faults:
        raise HalewardError("\n".join(faults))


def _faults_of_keys(entry: Entry) -> list[str]:
    """What the store needs beyond the form of an entry: a session it can name and an instant it can sort."""
    faults = []
    try:
        UUID(entry["data"]["session_id"])
    except ValueError:
        faults.append(f"session_id is {entry['data']['session_id']!r}; it must be a UUID made on the page.")
    try:
        datetime.fromisoformat(entry["at"]).astimezone(UTC)
    except OverflowError:
        faults.append(f"The time is {entry['at']!r}; no clock in use shows that.")
    return faults


def _known_here(ids: Iterable[UUID], person: Person) -> set[UUID]:
    """Ids stored before. An id stored for somebody else is a forgery or a clash: nothing is stored."""
    rows = LogEntry.objects.filter(entry_id__in=ids).values_list("entry_id", "person_id")
    if any(owner != person.pk for _, owner in rows):
        raise HalewardError("An entry with this id belongs to another log. Nothing was stored.")
    return {entry_id for entry_id, _ in rows}


def _refuse_foreign_sessions(sessions: Iterable[UUID], person: Person) -> None:
    if LogEntry.objects.filter(session_id__in=sessions).exclude(person=person).exists():
        raise HalewardError("A session with this id belongs to another log. Nothing was stored.")


def _row(
    entry: Entry, person: Person, origin: str, versions: dict[int, ProgrammeVersion], off_s: int | None
) -> LogEntry:
    data = entry["data"]
    programme = versions.get(data["plan_version"])
    if programme is None:
        raise HalewardError(f"Plan {data['plan_version']} is not a signed plan of this person.")
    if data["part_key"] not in {WALK, *(part["key"] for part in programme.programme["parts"])}:
        raise HalewardError(f"Plan {data['plan_version']} has no part {data['part_key']!r}.")
    return LogEntry(
        entry_id=UUID(entry["entry_id"]),
        person=person,
        programme=programme,
        session_id=UUID(data["session_id"]),
        part_key=data["part_key"],
        kind=entry["kind"],
        happened_at=datetime.fromisoformat(entry["at"]),
        origin="carer" if origin == "person" and data.get("helping") else origin,
        clock_off_s=off_s,
        data=dict(data),
    )

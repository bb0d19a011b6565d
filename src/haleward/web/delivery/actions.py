"""Storing what a session page sends: each entry once, concerns raised, the next step proposed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from django.db import IntegrityError, transaction

from haleward.errors import HalewardError
from haleward.web.concerns.actions import concerns_of_session
from haleward.web.delivery.entry_check import Entry, Versions, faults_by_place, versions_of
from haleward.web.delivery.links import Holder
from haleward.web.delivery.models import LogEntry
from haleward.web.people.models import Person
from haleward.web.prescription.proposals import renew_proposals
from haleward.web.team.protocol import protocol_of

MOST_ENTRIES = 2000
CLOSING_KINDS = frozenset({"done", "unwell", "check", "report", "sore"})  # after these the next step may be different


@dataclass(frozen=True)
class Refused:
    """A faulty entry: its place among those sent (from 1), its id if it has one, and what is wrong with it."""

    place: int
    entry_id: str | None
    faults: tuple[str, ...]

    @property
    def told(self) -> str:
        """One line a fault."""
        return "\n".join(f"Entry {self.place}: {fault}" for fault in self.faults)


@dataclass(frozen=True)
class Stored:
    """What became of the entries that were sent: the ids that are now stored, and each entry that was refused."""

    ids: tuple[str, ...]
    refused: tuple[Refused, ...] = ()

    @property
    def fault(self) -> str:
        """What is wrong with the refused ones, one line a fault; "" where all are stored."""
        return "\n".join(one.told for one in self.refused)


def store_entries(
    entries: Sequence[object], *, holder: Holder, now: datetime, sent_at: datetime | None = None, on_paper: bool = False
) -> Stored:
    """Store every good entry that is not there yet; a faulty one is named and never holds back another.

    ``sent_at`` is what the clock of the device said when it sent them; ``on_paper``: staff type in what the person
    wrote.
    """
    if len(entries) > MOST_ENTRIES:
        raise HalewardError(f"{len(entries)} entries at once are too many; send at most {MOST_ENTRIES}.")
    versions = versions_of(holder.person)
    faults = faults_by_place(entries, holder.person, versions)
    good = [entry for place, entry in enumerate(entries) if place not in faults and isinstance(entry, Mapping)]
    off_s = clock_off_s(sent_at, now=now, most=_clock_off_most(holder.person))
    making = _Making(holder.person, "paper" if on_paper else holder.origin, versions, off_s)
    try:
        _store(good, making, now=now)
    except IntegrityError:  # another window stored the same entries at this moment: now they are known
        _store(good, making, now=now)
    refused = (Refused(place + 1, _id_of(entries[place]), tuple(found)) for place, found in faults.items())
    return Stored(tuple(str(entry["entry_id"]) for entry in good), tuple(refused))


@transaction.atomic
def store_all(entries: Sequence[Entry], *, holder: Holder, now: datetime, on_paper: bool = False) -> None:
    """Store the entries of one form, all or none: a fault in one is the fault of the form."""
    stored = store_entries(entries, holder=holder, now=now, on_paper=on_paper)
    if stored.refused:
        raise HalewardError(stored.fault)


def _id_of(entry: object) -> str | None:
    found = entry.get("entry_id") if isinstance(entry, Mapping) else None
    return found if isinstance(found, str) else None


def clock_off_s(sent_at: datetime | None, *, now: datetime, most: timedelta | None) -> int | None:
    """By how many seconds a device's clock is behind (before it: negative); ``None`` if not told or near enough."""
    if sent_at is None or most is None or abs(now - sent_at) <= most:
        return None
    return round((now - sent_at).total_seconds())


def _clock_off_most(person: Person) -> timedelta | None:
    minutes = protocol_of(person.service).policies.progression.clock_off_minutes
    return None if minutes is None else timedelta(minutes=minutes)


@dataclass(frozen=True)
class _Making:
    """What every row of one delivery is made with."""

    person: Person
    origin: str
    versions: Versions
    off_s: int | None

    def row(self, entry: Entry) -> LogEntry:
        data = entry["data"]
        return LogEntry(
            entry_id=UUID(entry["entry_id"]),
            person=self.person,
            programme=self.versions[data["plan_version"]],
            session_id=UUID(data["session_id"]),
            part_key=data["part_key"],
            kind=entry["kind"],
            happened_at=datetime.fromisoformat(entry["at"]),
            origin="carer" if self.origin == "person" and data.get("helping") else self.origin,
            clock_off_s=self.off_s,
            data=dict(data),
        )


@transaction.atomic
def _store(entries: Sequence[Entry], making: _Making, *, now: datetime) -> None:
    person, by_id = making.person, {UUID(entry["entry_id"]): entry for entry in entries}
    known = set(person.log_entries.filter(entry_id__in=by_id).values_list("entry_id", flat=True))
    rows = [making.row(entry) for entry_id, entry in by_id.items() if entry_id not in known]
    sessions = {row.session_id for row in rows}
    LogEntry.objects.bulk_create(rows)
    for session_id in sessions:
        concerns_of_session(person, session_id, now=now)
    # A set that arrives after the end of its session changes what the log says as much as the end itself.
    if person.log_entries.filter(session_id__in=sessions, kind__in=CLOSING_KINDS).exists():
        renew_proposals(person, now)

"""What keeps an entry out of the store: its form, what it belongs to. Each entry is judged by itself."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from datetime import UTC, datetime
from typing import Any
from uuid import UUID

from haleward.session.compile import WALK
from haleward.session.entries import faults_of
from haleward.web.delivery.models import LogEntry
from haleward.web.people.models import Person
from haleward.web.prescription.models import ProgrammeVersion

Entry = Mapping[str, Any]
Versions = Mapping[int, ProgrammeVersion]


def versions_of(person: Person) -> dict[int, ProgrammeVersion]:
    """The signed plans of a person by number: an entry belongs to one of them."""
    return {row.version: row for row in person.programmes.filter(signed_at__isnull=False)}


def faults_by_place(entries: Sequence[object], person: Person, versions: Versions) -> dict[int, list[str]]:
    """What is wrong with each faulty entry, by its place among them (from 0); the others may be stored."""
    faults = {place: _faults_of_form(entry) for place, entry in enumerate(entries)}
    sound: dict[int, Entry] = {
        place: entry for place, entry in enumerate(entries) if isinstance(entry, Mapping) and not faults[place]
    }
    foreign_ids = _foreign({UUID(entry["entry_id"]) for entry in sound.values()}, person, "entry_id")
    foreign_sessions = _foreign({UUID(entry["data"]["session_id"]) for entry in sound.values()}, person, "session_id")
    for place, entry in sound.items():
        if UUID(entry["entry_id"]) in foreign_ids:
            faults[place] = ["An entry with this id belongs to another log."]
        elif UUID(entry["data"]["session_id"]) in foreign_sessions:
            faults[place] = ["A session with this id belongs to another log."]
        else:
            faults[place] = _faults_of_plan(entry, versions)
    return {place: found for place, found in faults.items() if found}


def _faults_of_form(entry: object) -> list[str]:
    try:
        json.dumps(entry, allow_nan=False, ensure_ascii=False).encode()
    except (ValueError, RecursionError):
        return ["The entry holds a number or a letter that no log can keep."]
    found = [*faults_of(entry)]
    return found if found or not isinstance(entry, Mapping) else _faults_of_keys(entry)


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


def _faults_of_plan(entry: Entry, versions: Versions) -> list[str]:
    data = entry["data"]
    programme = versions.get(data["plan_version"])
    if programme is None:
        return [f"Plan {data['plan_version']} is not a signed plan of this person."]
    if data["part_key"] not in {WALK, *(part["key"] for part in programme.programme["parts"])}:
        return [f"Plan {data['plan_version']} has no part {data['part_key']!r}."]
    return []


def _foreign(ids: Iterable[UUID], person: Person, field: str) -> set[UUID]:
    """Those of the ids that are stored for somebody else: a forgery or a clash."""
    rows = LogEntry.objects.filter(**{f"{field}__in": ids}).exclude(person=person)
    return set(rows.values_list(field, flat=True))

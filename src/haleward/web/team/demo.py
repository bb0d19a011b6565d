"""The demo service: invented staff and people, loaded only into an empty store."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any
from uuid import uuid4

from django.db import transaction
from django.utils import timezone

from haleward.exchange.person_file import read_person_file
from haleward.plain import from_plain, to_plain
from haleward.record import Record
from haleward.web.accounts.actions import name_clinical_lead
from haleward.web.accounts.models import Role, User
from haleward.web.assessment import mapping
from haleward.web.assessment.models import Assessment
from haleward.web.people.actions import import_referral, type_referral
from haleward.web.people.models import Person, Referral
from haleward.web.prescription.actions import Decision, sign, start_draft
from haleward.web.team.models import Service

DEMO_FOLDER = Path(__file__).parents[2] / "data" / "demo"
WRITTEN_ON = date(2026, 11, 25)  # no date in the demo files is later
DEMO_PASSWORD = "demo heart team"  # noqa: S105  (shown on the sign-in page of a demo store)
STAFF = (
    (Role.LEAD, "lead", "Ines", "Fell"),
    (Role.NURSE, "nurse", "Tomas", "Beck"),
    (Role.ASSISTANT, "assistant", "Priya", "Moss"),
    (Role.MANAGER, "manager", "Callum", "Rigg"),
)
CLINICAL_LEAD = "consultant nurse in cardiology"  # the nurse's profession; the demo works by the unsigned default
NUMBERS = {
    "emergency_number": "999",
    "nurse_line": "the heart nurses on 01632 960123",
    "team_phone": "01632 960120",
    "hours": "office hours",
    "open_times": "monday to friday 09:00-17:00",
    "next_open": "nine on the next working day",
    "urgent_line": "the urgent advice line on 111",
    "out_of_hours_line": "the urgent advice line on 111",
    "device_clinic": "the device clinic on 01632 960155",
    "diabetes_team": "the diabetes team on 01632 960166",
    "relay_route": "the text relay on 18000",
    "nitrate_name": "spray",
    "nitrate_steps": "One spray under the tongue. Wait 5 minutes. Use a second spray.",
    "erection_gap": "two days",
    "fast_sugar": "a small glass of fruit juice",
}


@transaction.atomic
def load_demo_if_empty() -> bool:
    """Load the demo into a store without any service; True when the store is a demo."""
    if Service.objects.exists():
        return Service.objects.filter(is_demo=True).exists()
    service = Service.objects.create(name="Tarn Valley heart recovery team", values=NUMBERS, is_demo=True)
    staff = {role: _member(service, role, *names) for role, *names in STAFF}
    name_clinical_lead(staff[Role.NURSE], CLINICAL_LEAD, today=timezone.localdate())
    _load_people(staff[Role.LEAD], staff[Role.NURSE], now=timezone.now())
    return True


def _member(service: Service, role: Role, username: str, first_name: str, last_name: str) -> User:
    user = User(username=username, role=role, first_name=first_name, last_name=last_name, service=service)
    user.set_password(DEMO_PASSWORD)
    user.save()
    return user


def _load_people(lead: User, nurse: User, *, now: datetime) -> None:
    """One person at each step of the way, so that every page has something to show."""
    rowan = assessed_person("rowan", reason="Exercise after a stent", lead=lead, nurse=nurse, now=now)
    sign(start_draft(rowan, user=lead, now=now), decision=Decision(), user=lead, now=now)
    hamish = assessed_person("hamish", reason="Exercise after a heart attack", lead=lead, nurse=nurse, now=now)
    start_draft(hamish, user=lead, now=now)
    assessed_person("leila", reason="Exercise after a defibrillator was fitted", lead=lead, nurse=nurse, now=now)
    type_referral(
        {
            "first_name": "Edmund", "last_name": "Quayle", "born_on": date(1957, 10, 2), "sex": "male",
            "local_number": "", "phone": "01632 960188", "language": "English",
            "event": "Heart valve operation", "event_on": None, "medicines": "",
            "reason": "Exercise after a valve operation", "referrer": "Invented referring clinic",
        },
        form_id=uuid4(),
        user=nurse,
    )  # fmt: skip
    import_referral((DEMO_FOLDER / "referral.json").read_bytes(), user=nurse)


def assessed_person(name: str, *, reason: str, lead: User, nurse: User, now: datetime) -> Person:
    """A demo person with a confirmed referral and a finished assessment, its dates moved up to today."""
    record = up_to_date(
        read_person_file(DEMO_FOLDER / f"{name}.toml", today=WRITTEN_ON).record, timezone.localdate(now)
    )
    person = Person.objects.create(
        service=lead.service,
        first_name=record.first_name,
        last_name=record.last_name,
        born_on=record.born_on,
        sex=record.sex or "",
    )
    Referral.objects.create(
        service=lead.service, person=person, state=Referral.State.CONFIRMED, reason=reason,
        referrer="Invented referring clinic", decided_by=nurse, decided_at=now,
    )  # fmt: skip
    record = replace(record, person_id=str(person.pk))
    Assessment.objects.create(
        person=person, author=lead, assessed_on=record.assessed_on, record=mapping.stored(record), finished_at=now
    )
    return person


def up_to_date(record: Record, today: date) -> Record:
    """The record with every date but the birth moved so that it was assessed yesterday."""
    shift = today - timedelta(days=1) - record.assessed_on
    plain = _moved(to_plain(record), shift)
    return replace(from_plain(Record, plain), born_on=record.born_on)


def _moved(value: Any, shift: timedelta) -> Any:
    if isinstance(value, dict):
        return {key: _moved(item, shift) for key, item in value.items()}
    if isinstance(value, list):
        return [_moved(item, shift) for item in value]
    if isinstance(value, str) and len(value) == 10 and value[4] == value[7] == "-":
        return (date.fromisoformat(value) + shift).isoformat()
    return value

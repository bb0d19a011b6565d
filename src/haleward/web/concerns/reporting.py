"""A symptom or worry that staff are told of: what to do first, then the record."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID, uuid5

from django.db import transaction
from django.utils import timezone

from haleward.safety.concerns import triage
from haleward.safety.facts import facts_of
from haleward.safety.model import Concern as Triaged
from haleward.web.accounts.models import User
from haleward.web.assessment.mapping import record_of
from haleward.web.assessment.models import finished_of
from haleward.web.concerns.forms import OTHER
from haleward.web.concerns.models import Concern, Contact
from haleward.web.concerns.told import HOLDING, advice_lines, hours_lines, told_at
from haleward.web.people.models import Person
from haleward.web.team import protocol as in_force


@dataclass(frozen=True)
class Advice:
    """How soon, and what the person is told, most urgent first; then who reads the record and when."""

    level: str
    how_soon: str
    label: str
    lines: tuple[tuple[str, str], ...]
    hours: tuple[tuple[str, str], ...]
    rule_ids: tuple[str, ...]


def advice_for(person: Person, data: dict[str, Any], *, now: datetime) -> Advice:
    """What to do about a report, before anything is kept."""
    found = _triaged(person, data)
    return Advice(
        level=found.level,
        how_soon=found.how_soon,
        label=_label(person, data),
        lines=advice_lines(person, found.topic),
        hours=hours_lines(person, now=now),
        rule_ids=found.rule_ids,
    )


@transaction.atomic
def report_concern(person: Person, data: dict[str, Any], *, form_id: UUID, user: User, now: datetime) -> Concern:
    """Keep the report, once for each form, for those who must look at it; what must be seen today holds the plan."""
    found = _triaged(person, data)
    sure = "" if data["sure"] else " Not sure."
    note = f" {data['note']}" if data["note"] else ""
    kept = {
        "urgency": found.level,
        "topic": found.topic,
        "text": f"Told to {user.get_full_name()} ({user.get_role_display()}): {_label(person, data)}.{sure}{note}",
        "rule_ids": list(found.rule_ids),
        "raised_at": now,
        "holds_plan": found.level in HOLDING,
        "told": told_at(person, found.topic, at=now),
    }
    row, _new = Concern.objects.get_or_create(form_id=form_id, person=person, defaults=kept)
    return row


def write_down(person: Person, data: dict[str, Any], *, user: User, now: datetime) -> Contact:
    """Keep a talk, once for each form and what it says: other words on the same form are another talk."""
    said = {name: value for name, value in data.items() if name != "form_id"}
    key = uuid5(data["form_id"], repr([str(person.pk), sorted(said.items())]))
    row, _new = Contact.objects.get_or_create(form_id=key, defaults={"person": person, "at": now, "by": user} | said)
    return row


def _triaged(person: Person, data: dict[str, Any]) -> Triaged:
    """A symptom of the protocol's list, or anything else; unsure goes one level up."""
    row = finished_of(person)
    facts = facts_of(record_of(row), today=timezone.localdate()) if row else {}
    reported = data["symptom"] if data["symptom"] != OTHER else data["note"]
    concern = triage({reported: True if data["sure"] else None}, in_force.protocol_of(person.service), facts=facts)
    assert concern is not None  # something was reported
    return concern


def _label(person: Person, data: dict[str, Any]) -> str:
    symptoms = in_force.protocol_of(person.service).concerns.symptoms
    return next((one.label for one in symptoms if one.key == data["symptom"]), "Something else")

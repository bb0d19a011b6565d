"""A symptom or worry that staff are told of: what to do first, then the record."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction
from django.utils import timezone

from haleward.safety.concerns import triage
from haleward.safety.facts import facts_of
from haleward.safety.hours import next_opening, parse_openings, someone_reads
from haleward.safety.model import Concern as Triaged
from haleward.web.accounts.models import User
from haleward.web.assessment.mapping import record_of
from haleward.web.assessment.models import finished_of
from haleward.web.concerns.forms import OTHER
from haleward.web.concerns.models import Concern
from haleward.web.delivery.landing import words_for
from haleward.web.people.models import Person
from haleward.web.team import protocol as in_force

CLOSED, OPEN = "no one is reading this now", "message sent, in hours"
HOLDING = ("emergency", "same_day")


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
    values = words_for(person).values
    lines = in_force.wording().safety(found.topic, values=values)
    return Advice(
        level=found.level,
        how_soon=found.how_soon,
        label=_label(person, data),
        lines=tuple((line.level, line.text) for line in lines),
        hours=hours_lines(person, now=now),
        rule_ids=found.rule_ids,
    )


def hours_lines(person: Person, *, now: datetime) -> tuple[tuple[str, str], ...]:
    """Who reads a message at this time and what to do instead; without opening times, that no one does."""
    values, local = words_for(person).values, timezone.localtime(now)
    openings = parse_openings(values.get("open_times", ""))
    topic = OPEN if someone_reads(openings, local) else CLOSED
    again = next_opening(openings, local)
    lines = in_force.wording().safety(topic, values=values | ({"next_open": again} if again else {}))
    return tuple((line.level, line.text) for line in lines if line.level.replace(" ", "_") in HOLDING)


@transaction.atomic
def report_concern(person: Person, data: dict[str, Any], *, user: User, now: datetime) -> Concern:
    """Keep the report for those who must look at it; what must be seen today holds the plan."""
    found = _triaged(person, data)
    sure = "" if data["sure"] else " Not sure."
    note = f" {data['note']}" if data["note"] else ""
    return Concern.objects.create(
        person=person,
        urgency=found.level,
        topic=found.topic,
        text=f"Told to {user.get_full_name()} ({user.get_role_display()}): {_label(person, data)}.{sure}{note}",
        rule_ids=list(found.rule_ids),
        raised_at=now,
        holds_plan=found.level in HOLDING,
    )


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

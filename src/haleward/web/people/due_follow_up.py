"""Who to follow up: silent for some time, a heart-rate range that ran out, a course that comes to its end."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.db.models import Exists, F, OuterRef, Q, Subquery
from django.urls import reverse
from django.utils import timezone

from haleward.dose.heart_rate import why_not_usable
from haleward.dose.words import shown, words
from haleward.physiology.tables import rows
from haleward.safety.facts import facts_of
from haleward.web.accounts.models import User
from haleward.web.assessment.mapping import record_of
from haleward.web.assessment.models import Assessment
from haleward.web.concerns.models import Contact
from haleward.web.delivery.models import LogEntry, SpecialDays
from haleward.web.people.models import Person
from haleward.web.prescription.models import ProgrammeVersion
from haleward.web.team.protocol import protocol_of

CALL, CONTACT = ("To call", "Call"), ("To contact", "Get in touch")
EXPIRED = ("hr_rest_old", "hr_medicine_changed")


@dataclass(frozen=True)
class FollowUp:
    """One person to follow up, and the one thing to do next."""

    order: int
    when: str
    person: Person
    detail: str
    url: str
    action: str


def following_up(user: User, *, now: datetime) -> list[FollowUp]:
    """Everybody of the team with a signed plan whom somebody should contact, measure or assess again."""
    settings = {row["key"]: int(row["value"]) for row in rows("follow_up_settings")}
    today = timezone.localdate(now)
    people = _with_a_plan(user)
    return [
        *_silent(people, today, settings["silent_days"]),
        *_finishing(people, now, settings["finishing_weeks"]),
        *_expired(people, user, today),
    ]


def _with_a_plan(user: User) -> Any:
    """People with a signed plan, each with ``first_signed``."""
    signed = ProgrammeVersion.objects.filter(person=OuterRef("pk"), signed_at__isnull=False).order_by("signed_at")
    people = Person.objects.for_team(user).going_on().annotate(first_signed=Subquery(signed.values("signed_at")[:1]))
    return people.filter(first_signed__isnull=False)


def _silent(people: Any, today: date, days: int) -> list[FollowUp]:
    """Nothing told for some days, nobody in touch in that time, and not known to be away or ill."""
    since = today - timedelta(days=days)
    away = SpecialDays.objects.filter(
        person=OuterRef("pk"), withdrawn_at=None, kind__in=("away", "ill"), first_on__lte=today, last_on__gte=since
    )
    called = Contact.objects.filter(person=OuterRef("pk"), at__date__gt=since)
    told = LogEntry.objects.filter(person=OuterRef("pk")).order_by("-happened_at")
    there = people.annotate(last_told=Subquery(told.values("happened_at")[:1])).filter(~Exists(away), ~Exists(called))
    quiet = there.filter(Q(last_told__date__lte=since) | Q(last_told=None, first_signed__date__lte=since))
    return [
        FollowUp(7, when, person, _told(person), reverse("phone_brief", args=[person.pk]), action)
        for person in quiet
        for when, action in [CALL if person.reach.voice else CONTACT]
    ]


def _told(person: Any) -> str:
    if person.last_told:
        return f"Nothing told since {shown(timezone.localdate(person.last_told))}"
    return f"Nothing told yet; the plan was signed on {shown(timezone.localdate(person.first_signed))}"


def _finishing(people: Any, now: datetime, weeks: int) -> list[FollowUp]:
    """So many weeks after the first plan: assess again; then end the programme, or sign the next plan."""
    newest = Assessment.objects.filter(person=OuterRef("pk"), finished_at__isnull=False).order_by("-finished_at")
    signed = ProgrammeVersion.objects.filter(person=OuterRef("pk"), signed_at__isnull=False).order_by("-signed_at")
    there = people.annotate(
        last_assessed=Subquery(newest.values("finished_at")[:1]), last_signed=Subquery(signed.values("signed_at")[:1])
    )
    end = timedelta(weeks=weeks)
    lines = (_finishing_line(person, end) for person in there.filter(first_signed__lte=now - end))
    return [line for line in lines if line is not None]


def _finishing_line(person: Any, end: timedelta) -> FollowUp | None:
    if person.last_assessed is None or person.last_assessed < person.first_signed + end:
        detail = f"First plan signed on {shown(timezone.localdate(person.first_signed))}; same tests, same conditions"
        return FollowUp(9, "Finishing", person, detail, reverse("assessment", args=[person.pk]), "Assess again")
    if person.last_signed > person.last_assessed:
        return None  # the next plan has begun
    detail = f"Assessed again on {shown(timezone.localdate(person.last_assessed))}, and no plan was signed since"
    return FollowUp(9, "Finished", person, detail, reverse("person_end", args=[person.pk]), "End it, or sign a plan")


def _expired(people: Any, user: User, today: date) -> list[FollowUp]:
    """The heart-rate range ran out: the reading is too old, or a medicine changed since."""
    newer = Assessment.objects.filter(person=OuterRef("person"), finished_at__gt=OuterRef("finished_at"))
    newest = Assessment.objects.filter(~Exists(newer), person__in=people, finished_at__isnull=False)
    policy, reasons = protocol_of(user.service).policies.intensity, {words(key) for key in EXPIRED}
    found = []
    for row in newest.select_related("person").order_by(F("assessed_on")):
        record = record_of(row)
        reason = why_not_usable(record, facts_of(record, today=today), policy=policy, today=today)
        if reason in reasons:
            detail = f"The heart-rate range is out of use: {reason}"
            url = reverse("assessment", args=[row.person_id])
            found.append(FollowUp(6, "To measure", row.person, detail, url, "Count the resting heart rate"))
    return found

"""Today: what needs doing, for one member of staff, soonest first."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import OuterRef, Subquery
from django.urls import reverse
from django.utils import timezone

from haleward.dose.words import shown
from haleward.movement.band_fit import measure_again_on
from haleward.web.accounts.models import User
from haleward.web.assessment.mapping import record_of
from haleward.web.assessment.models import Assessment
from haleward.web.concerns.models import Concern
from haleward.web.people.models import Person, Referral
from haleward.web.prescription.models import ProgrammeVersion, ProposalDecision
from haleward.web.protocol.due import protocol_due

URGENCY_ORDER = {"emergency": 0, "same_day": 1, "next_working_day": 3, "self_care": 8}


@dataclass(frozen=True)
class DueLine:
    """One line of Today. ``order`` sorts; ``soon`` marks what is due today at the latest."""

    order: int
    when: str
    soon: bool
    title: str
    detail: str
    url: str


def due_lines(user: User) -> list[DueLine]:
    """Every line this role acts on, soonest first."""
    lines: list[DueLine] = []
    if user.role in ("lead", "nurse"):
        lines += _concerns(user) + _referrals(user) + _assessments(user) + _restrictions(user) + _bands(user)
    if user.role == "lead":
        lines += _proposals(user) + _programmes(user)
    if user.role in ("lead", "manager") or user.is_clinical_lead:
        lines += _protocol(user)
    return sorted(lines, key=lambda line: (line.order, line.title))


def _concerns(user: User) -> list[DueLine]:
    open_ones = Concern.objects.filter(person__service_id=user.service_id, closed_at__isnull=True)
    return [
        DueLine(
            URGENCY_ORDER[concern.urgency],
            {"emergency": "Now", "same_day": "Today", "next_working_day": "Next working day"}.get(
                concern.urgency, "For information"
            ),
            concern.urgency in ("emergency", "same_day"),
            str(concern.person),
            f"{concern.topic.capitalize()}: {concern.text}",
            reverse("concern", args=[concern.pk]),
        )
        for concern in open_ones.select_related("person")
    ]


def _referrals(user: User) -> list[DueLine]:
    waiting = Referral.objects.for_team(user).filter(state=Referral.State.PROPOSED)
    return [
        DueLine(2, "To confirm", False, "Referral", row.reason or "Imported file", reverse("referral", args=[row.pk]))
        for row in waiting
    ]


def _assessments(user: User) -> list[DueLine]:
    people = Person.objects.for_team(user).exclude(assessments__finished_at__isnull=False)
    return [
        DueLine(4, "To assess", False, str(person), "No finished assessment yet", reverse("person", args=[person.pk]))
        for person in people
    ]


def _restrictions(user: User) -> list[DueLine]:
    """Restrictions whose review is due. They stay in force until someone releases them."""
    today = timezone.localdate()
    newest = Assessment.objects.filter(person=OuterRef("person"), finished_at__isnull=False).order_by("-finished_at")
    rows = (
        Assessment.objects.filter(person__in=Person.objects.for_team(user), pk=Subquery(newest.values("pk")[:1]))
        .exclude(record__restrictions=[])
        .select_related("person")
    )
    return [
        DueLine(
            1 if one.review_on < today else 2,
            "Overdue" if one.review_on < today else "Today",
            True,
            str(row.person),
            f'Review the restriction "{one.shown}" by {one.author}; it stays in force until someone releases it',
            reverse("person", args=[row.person_id]),
        )
        for row in rows
        for one in record_of(row).restrictions
        if one.released_on is None and one.review_on <= today
    ]


def _bands(user: User) -> list[DueLine]:
    """Bands whose pull has to be measured again: it falls with use."""
    today = timezone.localdate()
    newest = Assessment.objects.filter(person=OuterRef("person"), finished_at__isnull=False).order_by("-finished_at")
    rows = Assessment.objects.filter(
        person__in=Person.objects.for_team(user),
        pk=Subquery(newest.values("pk")[:1]),
        record__kit__bands__0__isnull=False,
    ).select_related("person")
    return [
        DueLine(
            6,
            "To measure",
            False,
            str(row.person),
            f"Measure the band {band.name} again; it was last measured on {shown(band.measured_on)}",
            reverse("person", args=[row.person_id]),
        )
        for row in rows
        for band in record_of(row).kit.bands or ()
        if band.measured_on is not None and measure_again_on(band.measured_on) <= today
    ]


def _proposals(user: User) -> list[DueLine]:
    rows = ProposalDecision.objects.filter(
        person__service_id=user.service_id, answer=ProposalDecision.Answer.WAITING
    ).select_related("person")
    return [
        DueLine(5, "To decide", False, str(row.person), row.proposal["reason"], reverse("person", args=[row.person_id]))
        for row in rows
    ]


def _programmes(user: User) -> list[DueLine]:
    rows = ProgrammeVersion.objects.filter(person__service_id=user.service_id, signed_at__isnull=True).select_related(
        "person"
    )
    return [
        DueLine(
            6,
            "To sign",
            False,
            str(row.person),
            f"Plan {row.version} is a draft",
            reverse("person", args=[row.person_id]),
        )
        for row in rows
    ]


def _protocol(user: User) -> list[DueLine]:
    return [
        DueLine(1 if due.soon else 5, due.when, due.soon, due.title, due.detail, due.url) for due in protocol_due(user)
    ]

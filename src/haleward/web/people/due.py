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
from haleward.web.concerns.queue import queue_of
from haleward.web.people.due_follow_up import FollowUp, following_up
from haleward.web.people.models import Person, Referral
from haleward.web.prescription.models import ProgrammeVersion, ProposalDecision
from haleward.web.prescription.proposals import proposal_of
from haleward.web.protocol.due import protocol_due

NAMES_SHOWN = 3
WHEN = {
    "emergency": "Now",
    "same_day": "Today",
    "next_working_day": "Next working day",
    "self_care": "For information",
}
URGENCY_ORDER = {"emergency": 0, "same_day": 1, "next_working_day": 3, "self_care": 8}


@dataclass(frozen=True)
class DueLine:
    """One line of Today. ``order`` sorts; ``soon`` marks what is due today at the latest; ``action`` is what to do."""

    order: int
    when: str
    soon: bool
    title: str
    detail: str
    url: str
    action: str = ""


def due_lines(user: User) -> list[DueLine]:
    """Every line this role acts on, soonest first."""
    lines: list[DueLine] = []
    if user.role in ("lead", "nurse"):
        lines += _concerns(user) + _referrals(user) + _assessments(user) + _restrictions(user) + _bands(user)
        lines += [_followed(one) for one in following_up(user, now=timezone.now())]
    if user.role == "lead":
        lines += _proposals(user) + _programmes(user)
    if user.role in ("lead", "manager") or user.is_clinical_lead:
        lines += _protocol(user)
    return sorted(lines, key=lambda line: (line.order, line.title))


def _concerns(user: User) -> list[DueLine]:
    """Overdue ones first, in the order of the queue."""
    found = []
    for one in queue_of(user, now=timezone.now()):
        row = one.row
        when = f"Overdue by {one.late}" if one.late else WHEN[row.urgency]
        detail = f"{row.topic.capitalize()}: {row.text}" + (f" ({one.who})" if row.taken_by else "")
        action = "Go on with it" if row.taken_by_id == user.pk else "Look at it" if row.taken_by else "Take it"
        order = -1 if one.late and row.urgency == "emergency" else 0 if one.late else URGENCY_ORDER[row.urgency]
        found.append(
            DueLine(order, when, one.urgent, str(row.person), detail, reverse("concern", args=[row.pk]), action)
        )
    return found


def _followed(one: FollowUp) -> DueLine:
    return DueLine(one.order, one.when, False, str(one.person), one.detail, one.url, one.action)


def _referrals(user: User) -> list[DueLine]:
    waiting = Referral.objects.for_team(user).filter(state=Referral.State.PROPOSED)
    return [
        DueLine(
            2,
            "To confirm",
            False,
            "Referral",
            row.reason or "Imported file",
            reverse("referral", args=[row.pk]),
            "Confirm it",
        )
        for row in waiting
    ]


def _assessments(user: User) -> list[DueLine]:
    people = Person.objects.for_team(user).going_on().exclude(assessments__finished_at__isnull=False)
    return [
        DueLine(
            4,
            "To assess",
            False,
            str(person),
            "No finished assessment yet",
            reverse("person", args=[person.pk]),
            "Assess",
        )
        for person in people
    ]


def _restrictions(user: User) -> list[DueLine]:
    """Restrictions whose review is due. They stay in force until someone releases them."""
    today = timezone.localdate()
    newest = Assessment.objects.filter(person=OuterRef("person"), finished_at__isnull=False).order_by("-finished_at")
    rows = (
        Assessment.objects.filter(
            person__in=Person.objects.for_team(user).going_on(), pk=Subquery(newest.values("pk")[:1])
        )
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
            "Review it",
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
        person__in=Person.objects.for_team(user).going_on(),
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
            "Measure it",
        )
        for row in rows
        for band in record_of(row).kit.bands or ()
        if band.measured_on is not None and measure_again_on(band.measured_on) <= today
    ]


def _proposals(user: User) -> list[DueLine]:
    """What changes a dose is one line and one list to accept from; what only asks to look is a line each."""
    rows = ProposalDecision.objects.filter(
        person__in=Person.objects.for_team(user).going_on(), answer=ProposalDecision.Answer.WAITING
    ).select_related("person")
    changing = [row for row in rows if proposal_of(row).changes]
    lines = [
        DueLine(
            5,
            "To look at",
            False,
            str(row.person),
            row.proposal["reason"],
            reverse("proposal", args=[row.person_id, row.pk]),
            "Look at it",
        )
        for row in rows
        if row not in changing
    ]
    if changing:
        names = list(dict.fromkeys(str(row.person) for row in changing))
        more = f" and {len(names) - NAMES_SHOWN} more" if len(names) > NAMES_SHOWN else ""
        count = "1 proposal" if len(changing) == 1 else f"{len(changing)} proposals"
        reason = f" {changing[0].proposal['reason']}" if len(changing) == 1 else ""
        detail = f"For {', '.join(names[:NAMES_SHOWN])}{more}.{reason}"
        lines.append(DueLine(5, "To decide", False, count, detail, reverse("proposals"), "Accept, change or hold"))
    return lines


def _programmes(user: User) -> list[DueLine]:
    rows = ProgrammeVersion.objects.filter(
        person__in=Person.objects.for_team(user).going_on(), signed_at__isnull=True
    ).select_related("person")
    return [
        DueLine(
            6,
            "To sign",
            False,
            str(row.person),
            f"Plan {row.version} is a draft",
            reverse("programme", args=[row.person_id]),
            "Sign it",
        )
        for row in rows
    ]


def _protocol(user: User) -> list[DueLine]:
    return [
        DueLine(1 if due.soon else 5, due.when, due.soon, due.title, due.detail, due.url, "Look at it")
        for due in protocol_due(user)
    ]

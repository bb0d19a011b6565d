"""Numbers, programme and proposals on a person's page."""

from __future__ import annotations

from typing import Any

from haleward.capacity.model import Capacity
from haleward.dose.intensity import shown_range
from haleward.web.accounts.models import User
from haleward.web.delivery.holding import check_on
from haleward.web.people.models import Person
from haleward.web.prescription import shown
from haleward.web.prescription.actions import ground_today
from haleward.web.prescription.models import ProposalDecision, draft_of, signed_of
from haleward.web.prescription.proposal_shown import proposal_line
from haleward.web.prescription.signing import programme_of

ROLES = frozenset({"lead", "nurse", "assistant"})
TEMPLATE = "prescription/_section.html"


def context(person: Person, user: User) -> dict[str, Any]:
    """What the part shows; an assistant sees the programme without the numbers."""
    signed, draft = signed_of(person), draft_of(person)
    context: dict[str, Any] = {"person": person, "user": user, "signed": signed, "draft": draft}
    if signed is not None:
        context["parts"] = shown.parts_shown(programme_of(signed))
    if user.role in ("lead", "nurse"):
        waiting = (
            person.proposals.filter(answer=ProposalDecision.Answer.WAITING).select_related("programme").order_by("pk")
        )
        context["proposals"] = [proposal_line(row) for row in waiting]
        context["decided"] = person.proposals.filter(decided_by__isnull=False).select_related("decided_by")[:5]
        context |= _numbers(person)
    return context


def _numbers(person: Person) -> dict[str, Any]:
    ground = ground_today(person)
    if ground is None:
        return {}
    prescription = ground.prescription
    capacity = prescription.capacity
    return {
        "prescription": prescription,
        "capacity": capacity if isinstance(capacity, Capacity) else None,
        "range": shown_range(prescription.intensity),
        "checked": check_on(person, ground.today),
    }

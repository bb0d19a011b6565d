"""Numbers, programme and proposals on a person's page."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from haleward.capacity.model import Capacity
from haleward.dose.intensity import shown_range
from haleward.dose.loads import load_text
from haleward.dose.log import Proposal
from haleward.web.accounts.models import User
from haleward.web.assessment.titles import movement_title
from haleward.web.delivery.holding import check_on
from haleward.web.people.models import Person
from haleward.web.prescription import shown
from haleward.web.prescription.actions import ground_today
from haleward.web.prescription.edits import exercise_of
from haleward.web.prescription.models import ProposalDecision, draft_of, signed_of
from haleward.web.prescription.proposals import proposal_of
from haleward.web.prescription.signing import programme_of

ROLES = frozenset({"lead", "nurse", "assistant"})
TEMPLATE = "prescription/_section.html"

KINDS = {
    "raise_repetitions": "More repetitions",
    "raise_hold": "Longer hold",
    "raise_load": "Next load",
    "raise_set": "One set more",
    "raise_minutes": "More minutes",
    "raise_posture": "Next posture",
    "hold": "Hold",
    "ease": "Ease off",
    "step_back": "Step back",
    "swap": "Swap",
    "review": "Review",
    "stagnant": "No raise for weeks",
}


@dataclass(frozen=True)
class ProposalLine:
    """A proposal in words: what, of which exercise, from which dose to which."""

    row: ProposalDecision
    proposal: Proposal
    kind: str
    title: str
    before: str
    after: str


def context(person: Person, user: User) -> dict[str, Any]:
    """What the part shows; an assistant sees the programme without the numbers."""
    signed, draft = signed_of(person), draft_of(person)
    context: dict[str, Any] = {"person": person, "user": user, "signed": signed, "draft": draft}
    if signed is not None:
        context["parts"] = shown.parts_shown(programme_of(signed))
    if user.role in ("lead", "nurse"):
        waiting = person.proposals.filter(answer=ProposalDecision.Answer.WAITING).select_related("programme")
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


def proposal_line(row: ProposalDecision) -> ProposalLine:
    """A stored proposal in words."""
    proposal = proposal_of(row)
    after = proposal.replacement.dose if proposal.replacement else proposal.after
    new_title = ""
    if proposal.replacement and proposal.replacement.movement_id != proposal.movement_id:
        new_title = movement_title(proposal.replacement.movement_id, proposal.replacement.posture) + ": "
    return ProposalLine(
        row=row,
        proposal=proposal,
        kind=KINDS[proposal.kind],
        title=_title(row, proposal),
        before=f"{shown.dose_words(proposal.before)}, {load_text(proposal.before.load)}" if proposal.before else "",
        after=f"{new_title}{shown.dose_words(after)}, {load_text(after.load)}" if after else "",
    )


def _title(row: ProposalDecision, proposal: Proposal) -> str:
    """The exercise by the title it has in the plan."""
    if not proposal.movement_id:
        return "The whole programme"
    exercise = exercise_of(programme_of(row.programme), proposal.part_key, proposal.exercise_index)
    return movement_title(proposal.movement_id, exercise.posture)

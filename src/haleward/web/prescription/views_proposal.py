"""One proposal: accept it, change it, or hold."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from haleward.dose.model import Exercise
from haleward.web.accounts.access import StaffRequest, roles
from haleward.web.people.models import Person
from haleward.web.prescription import actions, edits
from haleward.web.prescription.forms import DecisionForm, DoseForm, ReasonForm
from haleward.web.prescription.gate_shown import gate_shown
from haleward.web.prescription.ground import Ground, needed_ground
from haleward.web.prescription.models import ProposalDecision, signed_of
from haleward.web.prescription.proposal_shown import proposal_line
from haleward.web.prescription.proposals import accept_proposal, hold_proposal, proposal_of
from haleward.web.prescription.views import person_of
from haleward.web.protocol.sections import anchors_of


class _Decide:
    """The forms of one proposal, bound to what was sent with its button."""

    def __init__(self, request: StaffRequest, row: ProposalDecision, ground: Ground) -> None:
        posted = request.POST if request.method == "POST" else None
        self.row, self.user, self.posted = row, request.user, posted
        self.proposal = proposal_of(row)
        needed = ground.prescription.gate.outcome == "check_first"
        self.sign = DecisionForm(posted if _pressed(posted, "accept", "change") else None, needed=needed)
        self.reason = ReasonForm(posted if _pressed(posted, "hold") else None)
        self.change_reason = ReasonForm(posted if _pressed(posted, "change") else None, prefix="change")
        self.dose = self._dose(ground)

    @property
    def changes_dose(self) -> bool:
        """Whether accepting it makes another version."""
        return self.proposal.changes

    def answer(self) -> bool:
        """Do what the pressed button says; False when a form has a fault."""
        if _pressed(self.posted, "hold") and self.reason.is_valid():
            reason = self.reason.cleaned_data["reason"]
            hold_proposal(self.row, reason=reason, user=self.user, now=timezone.now())
            return True
        if _pressed(self.posted, "accept") and self.sign.is_valid():
            return self._accept(None, "")
        valid = [form.is_valid() for form in (self.sign, self.change_reason, self.dose) if form is not None]
        if _pressed(self.posted, "change") and self.dose is not None and all(valid):
            return self._accept(self.dose.changed(), self.change_reason.cleaned_data["reason"])
        return False

    def _accept(self, exercise: Exercise | None, reason: str) -> bool:
        data = self.sign.cleaned_data
        decision = actions.Decision(data.get("decided_by", ""), data.get("decision_reason", ""))
        accept_proposal(
            self.row, exercise=exercise, reason=reason, decision=decision, user=self.user, now=timezone.now()
        )
        return True

    def _dose(self, ground: Ground) -> DoseForm | None:
        signed = signed_of(self.row.person)
        if self.proposal.exercise_index < 0 or signed is None or self.row.answer != ProposalDecision.Answer.WAITING:
            return None
        plan = actions.programme_of(signed)
        now = edits.exercise_of(plan, self.proposal.part_key, self.proposal.exercise_index)
        option = ground.options.find(now.movement_id)
        data = self.posted if _pressed(self.posted, "change") else None
        return DoseForm(data, exercise=now, option=option, ground=ground, by=str(self.user)) if option else None


def _pressed(posted: Any, *names: str) -> bool:
    return posted is not None and any(name in posted for name in names)


@roles("lead")
def proposal(request: StaffRequest, person_id: UUID, proposal_id: int) -> HttpResponse:
    """What the protocol proposes, why, and the lead's answer. Accepting signs the next version."""
    person: Person = person_of(request, person_id)
    row = get_object_or_404(person.proposals.select_related("programme"), pk=proposal_id)
    ground = needed_ground(person, timezone.localdate())
    decide = _Decide(request, row, ground)
    if request.method == "POST" and decide.answer():
        messages.success(request, f"Proposal {row.get_answer_display()}.")
        return redirect("person", person_id=person.pk)
    context = {"person": person, "row": row, "line": proposal_line(row), "decide": decide}
    context |= {"gate": gate_shown(ground.prescription.gate, ground.protocol)}
    context |= {"anchors": anchors_of(ground.protocol)}
    return render(request, "prescription/proposal.html", context, status=422 if decide.posted is not None else 200)

"""All proposals of the team in one list: accept several together, take them back, look at everybody again."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from itertools import groupby
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from haleward.errors import HalewardError
from haleward.web.accounts.access import StaffRequest, roles
from haleward.web.prescription import batch, daily
from haleward.web.prescription.models import ProposalDecision
from haleward.web.prescription.proposal_shown import ProposalLine, proposal_line
from haleward.web.protocol.sections import anchors_of
from haleward.web.team.protocol import protocol_of


@roles("lead")
def proposals(request: StaffRequest) -> HttpResponse:
    """Every proposal that changes a dose, with its rule, its data and what would have changed it; tick and accept."""
    now, rows = timezone.now(), batch.waiting_for(request.user)
    nothing = False
    if request.method == "POST":
        wanted = set(request.POST.getlist("proposal"))
        chosen = [row for row in rows if str(row.pk) in wanted]
        if chosen:
            _tell(request, batch.accept_together(chosen, user=request.user, now=now))
            return redirect("proposals")
        nothing = True
    context = {
        "people": _by(lambda line: line.row.person, rows),
        "nothing": nothing,
        "undoable": _by(lambda line: line.row.result, batch.undoable(request.user, now=now)),
        "undo_minutes": batch.undo_time().seconds // 60,
        "look": daily.last_look(request.user.service),
        "anchors": anchors_of(protocol_of(request.user.service)),
    }
    return render(request, "prescription/proposals.html", context, status=422 if nothing else 200)


def _by(what: Callable[[ProposalLine], Any], rows: Iterable[ProposalDecision]) -> list[tuple[Any, list[ProposalLine]]]:
    """The proposals in words, those of one person or one plan together."""
    return [(one, list(lines)) for one, lines in groupby(map(proposal_line, rows), key=what)]


def _tell(request: StaffRequest, accepted: batch.Accepted) -> None:
    if accepted.done:
        signed = len({row.result_id for row in accepted.done})
        plans = "1 plan is" if signed == 1 else f"{signed} plans are"
        messages.success(request, f"Accepted: {len(accepted.done)}. {plans} signed.")
    for text in dict.fromkeys(f"{row.person}: {why}" for row, why in accepted.refused):
        messages.warning(request, text)


@require_POST
def _undo(request: StaffRequest) -> HttpResponse:
    now = timezone.now()
    wanted = set(request.POST.getlist("proposal"))
    chosen = [row for row in batch.undoable(request.user, now=now) if str(row.pk) in wanted]
    if not chosen:
        messages.warning(request, "Nothing was taken back: it is too late, or something followed.")
    for row in {row.result_id: row for row in chosen}.values():  # a plan is taken back as a whole
        try:
            plan = batch.undo(row, user=request.user, now=now)
        except HalewardError as fault:
            messages.warning(request, f"{row.person}: {fault}")
        else:
            messages.success(request, f"{row.person}: taken back. Plan {plan.version} is as it was before.")
    return redirect("proposals")


@require_POST
def _again(request: StaffRequest) -> HttpResponse:
    look = daily.look_again(request.user.service, now=timezone.now())
    messages.success(request, f"Looked at everybody again. Proposals that wait: {look.waiting}.")
    for fault in look.faults:
        messages.warning(request, f"Could not be looked at: {fault}")
    return redirect("proposals")


proposals_undo = roles("lead")(_undo)
proposals_again = roles("lead")(_again)

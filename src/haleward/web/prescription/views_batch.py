"""All proposals of the team in one list: accept several together, take them back, look at everybody again."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from haleward.errors import HalewardError
from haleward.web.accounts.access import StaffRequest, roles
from haleward.web.prescription import batch, daily
from haleward.web.prescription.proposal_shown import proposal_line
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
        "lines": [proposal_line(row) for row in rows],
        "nothing": nothing,
        "undoable": [proposal_line(row) for row in batch.undoable(request.user, now=now)],
        "undo_minutes": batch.undo_time().seconds // 60,
        "look": daily.last_look(request.user.service),
        "anchors": anchors_of(protocol_of(request.user.service)),
    }
    return render(request, "prescription/proposals.html", context, status=422 if nothing else 200)


def _tell(request: StaffRequest, accepted: batch.Accepted) -> None:
    if accepted.done:
        plans = "1 plan is" if len(accepted.done) == 1 else f"{len(accepted.done)} plans are"
        messages.success(request, f"Accepted: {plans} signed.")
    for row, why in accepted.refused:
        messages.warning(request, f"{row.person}: {why}")


@require_POST
def _undo(request: StaffRequest) -> HttpResponse:
    now = timezone.now()
    wanted = set(request.POST.getlist("proposal"))
    chosen = [row for row in batch.undoable(request.user, now=now) if str(row.pk) in wanted]
    if not chosen:
        messages.warning(request, "Nothing was taken back: it is too late, or something followed.")
    for row in chosen:
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

"""Concerns: record one, take one, act, close it with what was done."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from haleward.web.accounts.access import StaffRequest, roles
from haleward.web.concerns.forms import ClosingForm, ReportForm
from haleward.web.concerns.models import Concern
from haleward.web.concerns.reporting import advice_for, hours_lines, report_concern
from haleward.web.delivery.landing import words_for
from haleward.web.people.due import URGENCY_ORDER
from haleward.web.people.models import Person
from haleward.web.team.protocol import protocol_of


@roles("lead", "nurse")
def concerns(request: StaffRequest) -> HttpResponse:
    """Open concerns, soonest first, then the closed ones."""
    rows = Concern.objects.filter(person__service=request.user.service).select_related("person", "taken_by")
    still_open = sorted((row for row in rows if not row.closed_at), key=lambda row: URGENCY_ORDER[row.urgency])
    closed = [row for row in rows if row.closed_at]
    return render(request, "concerns/concerns.html", {"open": still_open, "closed": closed})


@roles("lead", "nurse")
def concern(request: StaffRequest, concern_id: int) -> HttpResponse:
    """One concern: ``take`` puts a name on it, the closing form ends it."""
    row = get_object_or_404(Concern, pk=concern_id, person__service=request.user.service)
    closing = request.method == "POST" and "take" not in request.POST
    form = ClosingForm(request.POST if closing else None)
    if request.method == "POST" and not row.closed_at:
        if "take" in request.POST:
            row.taken_by, row.taken_at = request.user, timezone.now()
            row.save()
            return redirect("concern", concern_id=row.pk)
        if form.is_valid():
            row.closed_by, row.closed_at = request.user, timezone.now()
            row.what_was_done = form.cleaned_data["what_was_done"]
            row.save()
            messages.success(request, "Closed. It stays in the history.")
            return redirect("concerns")
    return render(request, "concerns/concern.html", {"concern": row, "form": form}, status=422 if form.errors else 200)


@roles("lead", "nurse", "assistant")
def report(request: StaffRequest, person_id: UUID) -> HttpResponse:
    """What to do comes first; the record is kept when staff have read it."""
    person = get_object_or_404(Person.objects.for_team(request.user).select_related("service"), pk=person_id)
    form = ReportForm(request.POST or None, protocol=protocol_of(person.service))
    now, context = timezone.now(), {"person": person, "form": form, "emergency": words_for(person)("banner_lead")}
    if request.method != "POST" or not form.is_valid():
        context["hours"] = hours_lines(person, now=now)
        return render(request, "concerns/report.html", context, status=422 if form.is_bound else 200)
    if "record" not in request.POST:
        context["advice"] = advice_for(person, form.cleaned_data, now=now)
        return render(request, "concerns/advice.html", context)
    row = report_concern(person, form.cleaned_data, user=request.user, now=now)
    messages.success(request, f"Recorded: {row.topic}, {row.get_urgency_display()}.")
    return redirect("person", person_id=person.pk)

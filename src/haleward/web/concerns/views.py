"""Concerns: record one, take one, act, close it with what was done."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from haleward.errors import HalewardError
from haleward.web.accounts.access import StaffRequest, roles
from haleward.web.concerns import handling
from haleward.web.concerns.forms import CallForm, ClosingForm, HandOverForm, RecordForm, ReportForm, StepForm
from haleward.web.concerns.models import Concern
from haleward.web.concerns.queue import queue_of, waiting
from haleward.web.concerns.reporting import advice_for, report_concern
from haleward.web.concerns.told import hours_lines, openings_of
from haleward.web.delivery.landing import words_for
from haleward.web.people.models import Person
from haleward.web.people.reach import Way
from haleward.web.team.protocol import protocol_of

CLOSED_SHOWN = 30


@roles("lead", "nurse")
def concerns(request: StaffRequest) -> HttpResponse:
    """Open concerns, what is overdue first, then by how soon; then the ones closed last."""
    rows = Concern.objects.filter(person__service_id=request.user.service_id, closed_at__isnull=False)
    closed = rows.select_related("person", "closed_by").order_by("-closed_at")[:CLOSED_SHOWN]
    open_ones = queue_of(request.user, now=timezone.now())
    return render(request, "concerns/concerns.html", {"open": open_ones, "closed": closed})


TYPED = ("call-text", "note-text", "hand-text", "what_was_done")  # what a colleague may have written meanwhile


class _Handle:
    """The forms of one concern, bound to what was sent with its button."""

    def __init__(self, request: StaffRequest, row: Concern) -> None:
        self.row, self.user = row, request.user
        self.typed = " ".join(text for name in TYPED if (text := request.POST.get(name, "").strip()))
        posted = request.POST if request.method == "POST" and not row.closed_at else None
        self.button = next((name for name in ("take", "call", "note", "hand_over") if name in (posted or {})), "close")
        bound = {name: posted if self.button == name else None for name in ("call", "note", "hand_over", "close")}
        self.call = CallForm(bound["call"], prefix="call", reach=row.person.reach)
        self.note = StepForm(bound["note"], prefix="note")
        self.hand_over = HandOverForm(bound["hand_over"], prefix="hand", targets=handling.targets(request.user))
        self.close = ClosingForm(bound["close"])

    @property
    def contact(self) -> str:
        """What to write down after being in touch: a call only where that is how the person can be reached."""
        reach = self.row.person.reach
        if reach.ways == (Way.VOICE,):
            return "Write down a call"
        return f"Reached {reach.by}" if reach.asked else "Write down a contact"

    def act(self) -> str:
        """Do what the pressed button says, and return what to tell; "" when a form has a fault."""
        done, now = "", timezone.now()
        if self.button == "take":
            handling.take(self.row, user=self.user, now=now)
            done = "You have taken it."
        elif self.button == "close" and self.close.is_valid():
            handling.close(self.row, self.close.cleaned_data["what_was_done"], user=self.user, now=now)
            done = "Closed. It stays in the history."
        elif self.button == "call" and self.call.is_valid():
            handling.add_call(self.row, **self.call.cleaned_data, user=self.user, now=now)
            done = "The contact is written down. The concern stays open until it has an outcome."
        elif self.button == "note" and self.note.is_valid():
            handling.add_note(self.row, self.note.cleaned_data["text"], user=self.user, now=now)
            done = "The note is written down."
        elif self.button == "hand_over" and self.hand_over.is_valid():
            data = self.hand_over.cleaned_data
            handling.hand_over(self.row, data["to"], data["text"], user=self.user, now=now)
            done = "Handed over."
        return done


@roles("lead", "nurse")
def concern(request: StaffRequest, concern_id: int) -> HttpResponse:
    """One concern: take it, contact the person, note, hand it over, or close it with its outcome."""
    rows = Concern.objects.select_related("person", "taken_by", "closed_by")
    row = get_object_or_404(rows, pk=concern_id, person__service_id=request.user.service_id)
    handle = _Handle(request, row)
    if request.method == "POST":
        try:
            done = handle.act()
        except HalewardError as refusal:
            messages.warning(request, str(refusal))
            if not handle.typed:
                return redirect("concern", concern_id=row.pk)
            row.refresh_from_db()
        if done:
            messages.success(request, done)
            return redirect("concerns") if handle.button == "close" else redirect("concern", concern_id=row.pk)
    due = waiting(row, openings_of(row.person), now=timezone.now())
    unkept = handle.typed if row.closed_at else ""
    steps = row.steps.select_related("by", "to_user")
    context = {"concern": row, "due": due, "handle": handle, "unkept": unkept, "steps": steps}
    return render(request, "concerns/concern.html", context, status=422 if request.method == "POST" else 200)


@roles("lead", "nurse", "assistant")
def report(request: StaffRequest, person_id: UUID) -> HttpResponse:
    """What to do comes first; the record is kept when staff have read it."""
    person = get_object_or_404(Person.objects.for_team(request.user).select_related("service"), pk=person_id)
    form = ReportForm(request.POST or None, protocol=protocol_of(person.service))
    now, context = timezone.now(), {"person": person, "form": form, "emergency": words_for(person)("banner_lead")}
    if request.method != "POST" or not form.is_valid():
        context["hours"] = hours_lines(person, now=now)
        return render(request, "concerns/report.html", context, status=422 if form.is_bound else 200)
    button = RecordForm(request.POST if "record" in request.POST else None)
    if not button.is_valid():
        context |= {"advice": advice_for(person, form.cleaned_data, now=now), "button": RecordForm()}
        return render(request, "concerns/advice.html", context)
    form_id = button.cleaned_data["form_id"]
    row = report_concern(person, form.cleaned_data, form_id=form_id, user=request.user, now=now)
    messages.success(request, f"Recorded: {row.topic}, {row.get_urgency_display()}.")
    return redirect("person", person_id=person.pk)

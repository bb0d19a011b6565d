"""A week of a paper log on one screen, by keyboard alone."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from haleward.dose.week_plan import DAYS_A_WEEK, monday_of
from haleward.errors import HalewardError
from haleward.web.accounts.access import StaffRequest, roles
from haleward.web.delivery.actions import store_all
from haleward.web.delivery.landing_words import words_for
from haleward.web.delivery.links import Holder
from haleward.web.delivery.paper import PaperForm, entries_of, week_lines
from haleward.web.delivery.sheets import signed_programme
from haleward.web.delivery.views_staff import person_of
from haleward.web.people.models import Person


@roles("lead", "nurse", "assistant")
def paper_week(request: StaffRequest, person_id: UUID, monday: str) -> HttpResponse:
    """Type in what the person wrote. It is kept as self-reported on paper and marked as added later."""
    person = person_of(request, person_id)
    first, now = _monday(monday), timezone.now()
    lines = week_lines(signed_programme(person), first, words_for(person), today=timezone.localdate(now))
    sent = request.POST if request.method == "POST" else None
    form = PaperForm(sent, lines=lines, person=person)
    if form.is_valid():
        entries = entries_of(form, person, now=now)
        if entries:
            store_all(entries, holder=Holder(person, "staff"), now=now, on_paper=True)
        _say(request, entries)
        return redirect("paper_week", person_id=person.pk, monday=first.isoformat())
    return render(request, "delivery/paper.html", _shown(person, form, first), status=422 if form.is_bound else 200)


def _monday(text: str) -> date:
    if text == "this":
        return monday_of(timezone.localdate())
    try:
        return monday_of(date.fromisoformat(text))
    except ValueError as error:
        raise HalewardError(f"{text!r} is not a day; write it like 2026-03-02.") from error


def _say(request: StaffRequest, entries: list[dict[str, Any]]) -> None:
    if not entries:
        messages.info(request, "Nothing was typed; nothing was saved.")
        return
    count = sum(entry["kind"] == "report" for entry in entries)
    messages.success(request, f"Saved {count} session{'' if count == 1 else 's'}, as reported on paper.")
    if any(entry["kind"] == "unwell" for entry in entries):
        messages.error(request, "A symptom was written down. A concern is open and the plan is on hold: see it now.")


def _shown(person: Person, form: PaperForm, first: date) -> dict[str, Any]:
    week = timedelta(days=DAYS_A_WEEK)
    this = monday_of(timezone.localdate())
    return {
        "person": person,
        "form": form,
        "first": first,
        "last": first + week - timedelta(days=1),
        "before": (first - week).isoformat(),
        "after": (first + week).isoformat() if first < this else "",
    }

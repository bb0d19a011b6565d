"""Telling without a script: the sessions of the last days, and a plain form for each."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from haleward.web.delivery.actions import store_all
from haleward.web.delivery.diary import asks_heart_rate
from haleward.web.delivery.forms_tell import TellForm
from haleward.web.delivery.landing_words import Words, words_for
from haleward.web.delivery.links import Holder
from haleward.web.delivery.paper import Line, entries_of, week_lines
from haleward.web.delivery.sheets import signed_programme
from haleward.web.delivery.views_person import covering
from haleward.web.people.models import Person
from haleward.web.team import protocol as in_force

DAYS_LISTED = 7
TEXTS = ("tell_heading", "tell_choose", "tell_helping", "diary_change", "diary_save", "unwell_button",
         "caution_line", "diary_blank_help")  # fmt: skip


@covering("log")
def sessions(request: HttpRequest, holder: Holder, *, token: str) -> HttpResponse:
    """The sessions of the last seven days, the newest first, each with what is told of it."""
    today = timezone.localdate()
    lines = [line for line in _lines(holder.person, today) if line.planned or line.known]
    told = [(line, _state(line, words_for(holder.person))) for line in reversed(lines)]
    context = {"told": told, "token": token} | _around(holder)
    return render(request, "delivery/tell_sessions.html", context)


@covering("log")
def session(request: HttpRequest, holder: Holder, *, token: str, on: str, part_key: str) -> HttpResponse:
    """Tell one session. A symptom leads to the safety page at once."""
    person, now = holder.person, timezone.now()
    line = next((one for one in _lines(person, timezone.localdate(now)) if one.key == f"{on}-{part_key}"), None)
    if line is None:
        raise Http404
    sent = request.POST if request.method == "POST" else None
    form = TellForm(sent, line=line, person=person, say=words_for(person))
    if form.is_valid():
        helping = {"helping": True} if "helping" in request.POST else {}
        entries = [one | {"data": one["data"] | helping} for one in entries_of(form, person, now=now)]
        store_all(entries, holder=holder, now=now)
        messages.success(request, words_for(person)(f"diary_saved_{form.cleaned_data['done']}"))
        return redirect("me_safety" if form.given(line, "symptom") else "me_tell", token=token)
    context = {"form": form, "line": line, "token": token, "person": person} | _around(holder)
    return render(request, "delivery/tell.html", context, status=422 if form.is_bound else 200)


def _lines(person: Person, today: date) -> list[Line]:
    """The lines of the last days, oldest first; a walk may be told of every day."""
    row, say = signed_programme(person), words_for(person)
    first = today - timedelta(days=DAYS_LISTED - 1)
    weeks = (first, today) if first.isocalendar()[1] != today.isocalendar()[1] else (today,)
    rate = asks_heart_rate(person, today=today)
    found = [line for day in weeks for line in week_lines(row, day, say, today=today) if line.on >= first]
    return [Line(one.on, one.part_key, one.day, one.name, one.planned, one.known, (), rate) for one in found]


def _state(line: Line, say: Words) -> str:
    return say(f"diary_state_{line.known.outcome}") if line.known else ""


def _around(holder: Holder) -> dict[str, Any]:
    say = words_for(holder.person)
    return {
        "own": holder.origin == "person",
        "back": say("back_button"),
        "emergency": say("banner_lead"),
        "safety_line": say("safety_page_link"),
        "service": in_force.numbers_of(holder.person.service).name,
        "words": {key: say(key) for key in TEXTS},
    }

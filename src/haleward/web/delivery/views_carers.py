"""Consent for a helper: given, seen and stopped by the person, or recorded by staff when the person says so."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from haleward.web.accounts.access import StaffRequest, roles
from haleward.web.delivery.forms_person import CarerForm
from haleward.web.delivery.landing_words import words_for
from haleward.web.delivery.links import Holder, carer_token, consents_of, give_consent
from haleward.web.delivery.views_person import covering, not_covered
from haleward.web.delivery.views_staff import person_of
from haleward.web.people.models import Person
from haleward.web.team import protocol as in_force

TEXTS = ("carer_heading", "carer_intro", "carer_give", "carer_stop", "carer_none", "caution_line")


@covering("")
def carers(request: HttpRequest, holder: Holder, *, token: str) -> HttpResponse:
    """The person's own page: who helps, what they may see, and the button that stops it."""
    if holder.origin != "person":  # neither a helper nor staff who run a session gives consent in the person's name
        return not_covered(request, holder, token)
    form = _form(holder.person, request)
    done = _answer(request, form, holder.person, None)
    if done:
        messages.success(request, words_for(holder.person)(done))
        return redirect("me_carers", token=token)
    context = _shown(holder.person, form, request) | {"token": token}
    return render(request, "delivery/carers.html", context, status=422 if form.errors else 200)


@roles("lead", "nurse")
def staff_carers(request: StaffRequest, person_id: UUID) -> HttpResponse:
    """Record a consent that the person gave in the room or on the phone."""
    person = person_of(request, person_id)
    form = _form(person, request)
    done = _answer(request, form, person, request.user)
    if done:
        messages.success(request, words_for(person)(done))
        return redirect("person_carers", person_id=person.pk)
    return render(
        request, "delivery/carers_staff.html", _shown(person, form, request), status=422 if form.errors else 200
    )


def _form(person: Person, request: HttpRequest) -> CarerForm:
    sent = request.POST if request.method == "POST" and "stop" not in request.POST else None
    return CarerForm(sent, say=words_for(person))


def _answer(request: HttpRequest, form: CarerForm, person: Person, user: Any) -> str:
    if request.method != "POST":
        return ""
    now = timezone.now()
    if "stop" in request.POST:
        try:
            stopped = person.carers.filter(pk=request.POST["stop"], withdrawn_at__isnull=True).update(withdrawn_at=now)
        except ValidationError:  # not an id at all
            return ""
        return "carer_stopped" if stopped else ""
    if not form.is_valid():
        return ""
    data = form.cleaned_data
    give_consent(person, carer_name=data["carer_name"], covers=data["covers"], recorded_by=user, now=now)
    return "carer_given"


def _shown(person: Person, form: CarerForm, request: HttpRequest) -> dict[str, Any]:
    say = words_for(person)
    standing = []
    for row in consents_of(person, timezone.now()):
        since, until = (f"{timezone.localdate(moment):%-d %B %Y}" for moment in (row.given_at, row.expires_at))
        standing.append(
            {
                "row": row,
                "label": say("carer_address", carer_name=row.carer_name),
                "address": request.build_absolute_uri(reverse("me", args=[carer_token(row)])),
                "since": say("carer_since", date=since, end_date=until),
                "covers": [say(f"carer_{key}") for key in row.covers],
            }
        )
    return {
        "person": person,
        "form": form,
        "standing": standing,
        "emergency": say("banner_lead"),
        "safety_line": say("safety_page_link"),
        "back": say("back_button"),
        "service": in_force.numbers_of(person.service).name,
        "words": {key: say(key) for key in TEXTS},
    }

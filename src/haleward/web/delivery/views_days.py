"""Days that are not like others: on the person's own page, and on the page staff use when the person rings."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from haleward.web.accounts.access import StaffRequest, roles
from haleward.web.delivery import special
from haleward.web.delivery.forms_person import DaysForm, earliest_day
from haleward.web.delivery.holding import why_held
from haleward.web.delivery.landing_words import words_for
from haleward.web.delivery.links import Holder
from haleward.web.delivery.models import SpecialDays
from haleward.web.delivery.sheets import signed_programme
from haleward.web.delivery.views_person import covering
from haleward.web.delivery.views_staff import person_of
from haleward.web.delivery.week_shown import Shown, week_days
from haleward.web.delivery.weeks import begun_on, told_by_place, weeks_for
from haleward.web.languages.shown import wording_now
from haleward.web.people.models import Person
from haleward.web.prescription.signing import programme_of
from haleward.web.team import protocol as in_force

TEXTS = (
    "days_heading", "days_intro", "days_save", "days_told", "days_none", "days_remove", "days_ill_first",
    "week_heading", "week_next_heading", "week_rest", "week_done", "caution_line",
)  # fmt: skip


@covering("plan")
def days(request: HttpRequest, holder: Holder, *, token: str) -> HttpResponse:
    """Tell of such days, see what they do to the week, take them back. Illness shows its advice before it is kept."""
    form = _form(holder.person, request)
    done = _answer(request, form, holder, None)
    if done:
        messages.success(request, words_for(holder.person)(done))
        return redirect("me_days", token=token)
    context = _shown(holder.person, form, request) | {"token": token}
    return render(request, "delivery/days.html", context, status=422 if form.errors else 200)


@roles("lead", "nurse", "assistant")
def staff_days(request: StaffRequest, person_id: UUID) -> HttpResponse:
    """The same for staff, told on the phone."""
    person = person_of(request, person_id)
    form = _form(person, request)
    done = _answer(request, form, Holder(person, "staff"), request.user)
    if done:
        messages.success(request, words_for(person)(done))
        return redirect("person_days", person_id=person.pk)
    context = _shown(person, form, request)
    return render(request, "delivery/days_staff.html", context, status=422 if form.errors else 200)


def _form(person: Person, request: HttpRequest) -> DaysForm:
    most = in_force.protocol_of(person.service).policies.progression.back_date_days_most
    earliest = earliest_day(timezone.localdate(), most)
    sent = request.POST if request.method == "POST" and "take_back" not in request.POST else None
    return DaysForm(sent, say=words_for(person), earliest=earliest)


def _answer(request: HttpRequest, form: DaysForm, holder: Holder, user: Any) -> str:
    """Keep or take back; the key of what to say then, "" when there is nothing to say yet."""
    if request.method != "POST":
        return ""
    now = timezone.now()
    if "take_back" in request.POST:
        if not special.take_back(holder.person, _uuid(request.POST["take_back"]), now=now):
            return ""
        return "days_removed_held" if why_held(holder.person, timezone.localdate(now)) else "days_removed"
    if not form.is_valid() or (_must_read_first(form) and "read" not in request.POST):
        return ""
    special.tell_days(form.cleaned_data["id"], form.days(), holder=holder, user=user, now=now)
    return "days_saved"


def _must_read_first(form: DaysForm) -> bool:
    return form.is_bound and form.is_valid() and form.cleaned_data["kind"] == SpecialDays.Kind.ILL


def _uuid(text: str) -> UUID:
    try:
        return UUID(text)
    except ValueError:
        return UUID(int=0)


def _shown(person: Person, form: DaysForm, request: HttpRequest) -> dict[str, Any]:
    say, today = words_for(person), timezone.localdate()
    row = signed_programme(person)
    shown = Shown(programme_of(row), say, told_by_place(person), begun_on(person))
    weeks = weeks_for(row, week_days(today, 2))
    topic = special.illness_topic(person)
    advice = wording_now(person.service).safety(topic, values=say.values) if topic else ()
    return {
        "person": person,
        "form": form,
        "advice": advice if request.method == "POST" and _must_read_first(form) else (),
        "told": [(one, say(f"days_kind_{one.kind}")) for one in person.special_days.filter(withdrawn_at__isnull=True)],
        "week": shown.rows(weeks[0], today),
        "next_week": shown.rows(weeks[1], today),
        "off_line": shown.off_line(weeks[0]),
        "emergency": say("banner_lead"),
        "safety_line": say("safety_page_link"),
        "back": say("back_button"),
        "service": in_force.numbers_of(person.service).name,
        "words": {key: say(key) for key in TEXTS},
        "here": reverse("person_days", args=[person.pk]),
    }

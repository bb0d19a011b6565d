"""A person's calendar: chosen on one page, saved as a file, or followed at an address of its own."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache

from haleward.web.accounts.access import StaffRequest, link_holder, roles
from haleward.web.delivery.calendar import calendar_file, feed_token, last_change, last_day, read_feed
from haleward.web.delivery.forms import CalendarForm
from haleward.web.delivery.holding import why_held
from haleward.web.delivery.landing import words_for
from haleward.web.delivery.links import Holder, LinkClosed, token_of
from haleward.web.delivery.sheets import signed_programme
from haleward.web.delivery.views_person import closed_page, holding
from haleward.web.languages.shown import told_in_language_of
from haleward.web.people.models import Person
from haleward.web.team import protocol as in_force

TEXTS = (
    "heading", "what", "until", "next", "zone", "private", "file", "file_help", "follow", "follow_heading",
    "follow_help", "follow_slow", "open", "address", "on_hold",
)  # fmt: skip


@holding
def page(request: HttpRequest, holder: Holder, *, token: str) -> HttpResponse:
    """Choose hours and reminder; asked for, the address that a calendar can follow."""
    feed = feed_token(token)
    form = CalendarForm(request.GET or None, say=words_for(holder.person), own_link=bool(feed))
    context = _shown(holder.person, form) | {"token": token, "may_follow": bool(feed)}
    if feed and form.is_bound and form.is_valid():
        address = request.build_absolute_uri(reverse("calendar_feed", args=[feed])) + form.query()
        context |= {"address": address, "webcal": "webcal" + address.removeprefix(request.scheme or "")}
    return render(request, "delivery/calendar.html", context, status=422 if form.errors else 200)


@holding
def file(request: HttpRequest, holder: Holder, *, token: str) -> HttpResponse:
    """The calendar to save. What was just chosen is the newest change."""
    feed = feed_token(token)
    form = CalendarForm(request.GET, say=words_for(holder.person), own_link=bool(feed))
    if not form.is_valid():
        context = _shown(holder.person, form) | {"token": token, "may_follow": bool(feed)}
        return render(request, "delivery/calendar.html", context, status=422)
    now, address = timezone.now(), request.build_absolute_uri(reverse("me", args=[token]))
    return _calendar(calendar_file(holder.person, form.wishes(address), now=now, changed_at=now))


@link_holder
@never_cache
def feed(request: HttpRequest, token: str) -> HttpResponse:
    """What a calendar program fetches by itself: the calendar only, and nothing once the link is closed."""
    try:
        link = read_feed(token)
    except LinkClosed:
        return closed_page(request)
    form = CalendarForm(request.GET, say=words_for(link.person), own_link=True)
    if not form.is_valid():
        fault = words_for(link.person)("calendar_damaged")
        return HttpResponse(fault, status=422, content_type="text/plain; charset=utf-8")
    wishes = form.wishes(request.build_absolute_uri(reverse("me", args=[token_of(link)])))
    now, person = timezone.now(), link.person
    changed_at = last_change(person)
    return _calendar(told_in_language_of(person, lambda: calendar_file(person, wishes, now=now, changed_at=changed_at)))


@roles("lead", "nurse", "assistant")
def staff_page(request: StaffRequest, person_id: UUID) -> HttpResponse:
    """The same choices for staff who hand the file over; nothing of a link goes in."""
    person = _person(request, person_id)
    form = CalendarForm(say=words_for(person), own_link=False)
    return render(request, "delivery/calendar_staff.html", _shown(person, form))


@roles("lead", "nurse", "assistant")
@never_cache
def staff_file(request: StaffRequest, person_id: UUID) -> HttpResponse:
    """The calendar to hand over."""
    person = _person(request, person_id)
    form = CalendarForm(request.GET, say=words_for(person), own_link=False)
    if not form.is_valid():
        return render(request, "delivery/calendar_staff.html", _shown(person, form), status=422)
    now = timezone.now()
    return _calendar(told_in_language_of(person, lambda: calendar_file(person, form.wishes(), now=now, changed_at=now)))


def _person(request: StaffRequest, person_id: UUID) -> Person:
    return get_object_or_404(Person.objects.for_team(request.user).select_related("service"), pk=person_id)


def _shown(person: Person, form: CalendarForm) -> dict[str, Any]:
    row, say = signed_programme(person), words_for(person)
    return {
        "person": person,
        "row": row,
        "form": form,
        "last_day": last_day(row),
        "zone": timezone.get_default_timezone_name(),
        "held": bool(why_held(person, timezone.localdate())),
        "emergency": say("banner_lead"),
        "safety_line": say("safety_page_link"),
        "back": say("back_button"),
        "service": in_force.numbers_of(person.service).name,
        "words": {key: say(f"calendar_{key}") for key in TEXTS} | {"caution_line": say("caution_line")},
    }


def _calendar(content: bytes) -> HttpResponse:
    headers = {"Content-Disposition": 'attachment; filename="exercise-plan.ics"', "X-Content-Type-Options": "nosniff"}
    return HttpResponse(content, content_type="text/calendar; charset=utf-8; method=PUBLISH", headers=headers)

"""What staff do with sessions: make the link, print, run one in the hall, read the log."""

from __future__ import annotations

from typing import Any
from uuid import UUID

import segno
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone

from haleward.web.accounts.access import StaffRequest, roles
from haleward.web.delivery import sheets
from haleward.web.delivery.holding import why_held
from haleward.web.delivery.links import make_link, staff_token, token_of
from haleward.web.delivery.logs import all_logs
from haleward.web.delivery.prints import printed
from haleward.web.delivery.reading import clocks_of, readable_session, titles_of
from haleward.web.people.models import Person


def person_of(request: StaffRequest, person_id: UUID) -> Person:
    """A person of the team of whoever asks; 404 for any other."""
    return get_object_or_404(Person.objects.for_team(request.user).select_related("service"), pk=person_id)


@roles("lead", "nurse")
def link(request: StaffRequest, person_id: UUID) -> HttpResponse:
    """The person's link as text and QR code; a new one withdraws the old, ``withdraw`` closes it."""
    person = person_of(request, person_id)
    if request.method == "POST":
        if "withdraw" in request.POST:
            person.links.filter(withdrawn_at__isnull=True).update(withdrawn_at=timezone.now())
            messages.success(request, "The link is withdrawn. It opens nothing from now on.")
        else:
            make_link(person, user=request.user, now=timezone.now())
        return redirect("person_link", person_id=person.pk)
    current = person.links.filter(withdrawn_at__isnull=True, expires_at__gt=timezone.now()).first()
    context: dict[str, Any] = {"person": person, "link": current}
    if current:
        address = request.build_absolute_uri(reverse("me", args=[token_of(current)]))
        code = segno.make(address, error="m").svg_data_uri(scale=5, dark="#1d262b", light="#ffffff")
        context |= {"address": address, "code": code}
    return render(request, "delivery/link.html", context)


@roles("lead", "nurse", "assistant")
def booklet(request: StaffRequest, person_id: UUID, part_key: str) -> HttpResponse:
    """Print one part of the signed plan."""
    row = sheets.signed_programme(person_of(request, person_id))
    return printed(request, row, part_key)


@roles("lead", "nurse", "assistant")
def hall_session(request: StaffRequest, person_id: UUID, part_key: str) -> HttpResponse:
    """Run the session beside the person; what is logged counts as seen by staff."""
    person = person_of(request, person_id)
    if held := why_held(person, timezone.localdate()):
        messages.error(request, held)
        return redirect("person", person_id=person.pk)
    return redirect("me_session", token=staff_token(person, request.user), part_key=part_key)


@roles("lead", "nurse", "assistant")
def sessions(request: StaffRequest, person_id: UUID) -> HttpResponse:
    """What was really done and felt, newest first."""
    person = person_of(request, person_id)
    titles, clocks = titles_of(person), clocks_of(person)
    logs = [readable_session(log, titles, clocks.get(log.session_id)) for log in reversed(all_logs(person))]
    return render(request, "delivery/sessions.html", {"person": person, "logs": logs})

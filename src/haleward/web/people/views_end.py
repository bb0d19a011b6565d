"""The end of a person's programme: what is still open first, then why and when; and the way back."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from haleward.web.accounts.access import StaffRequest, roles
from haleward.web.people.ending import end_programme, go_on
from haleward.web.people.forms_end import EndForm
from haleward.web.people.models import Person, end_of


@roles("lead", "nurse")
def person_end(request: StaffRequest, person_id: UUID) -> HttpResponse:
    """End the programme, or take its end back."""
    person, now = get_object_or_404(Person.objects.for_team(request.user), pk=person_id), timezone.now()
    if request.method == "POST" and "go_on" in request.POST:
        go_on(person, user=request.user, now=now)
        messages.success(request, "The programme goes on. The link and the calendar work again.")
        return redirect("person", person_id=person.pk)
    form = EndForm(request.POST or None, today=timezone.localdate(now), initial={"ended_on": timezone.localdate(now)})
    if request.method == "POST" and form.is_valid():
        end_programme(person, **form.cleaned_data, user=request.user, now=now)
        messages.success(request, "The programme has ended. The link is closed and the calendar is emptied.")
        return redirect("person", person_id=person.pk)
    context = {
        "person": person,
        "form": form,
        "end": end_of(person),
        "open_concerns": person.concerns.filter(closed_at__isnull=True),
    }
    return render(request, "people/end.html", context, status=422 if form.is_bound else 200)

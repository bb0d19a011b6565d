"""The brief for a call, or for a review in another way, to read and to print, and what came of it."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from haleward.web.accounts.access import StaffRequest, roles
from haleward.web.concerns.brief import brief_of
from haleward.web.concerns.forms import ContactForm
from haleward.web.concerns.reporting import write_down
from haleward.web.people.models import Person


@roles("lead", "nurse")
def phone_brief(request: StaffRequest, person_id: UUID) -> HttpResponse:
    """Everything to know before being in touch; what was said is written down under it."""
    person = get_object_or_404(Person.objects.for_team(request.user).select_related("service"), pk=person_id)
    form = ContactForm(request.POST or None, reach=person.reach)
    if request.method == "POST" and form.is_valid():
        write_down(person, form.cleaned_data, user=request.user, now=timezone.now())
        messages.success(request, "It is written down.")
        return redirect("phone_brief", person_id=person.pk)
    context = {"person": person, "brief": brief_of(person, today=timezone.localdate()), "form": form}
    return render(request, "concerns/brief.html", context, status=422 if form.is_bound else 200)

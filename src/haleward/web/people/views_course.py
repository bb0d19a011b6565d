"""How the course goes, in charts with their tables."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone

from haleward.web.accounts.access import StaffRequest, roles
from haleward.web.people.course import charts_of
from haleward.web.people.models import Person


@roles("lead", "nurse")
def course(request: StaffRequest, person_id: UUID) -> HttpResponse:
    """Minutes, heart rate, walk tests, then load and effort of every movement."""
    person = get_object_or_404(Person.objects.for_team(request.user).select_related("service"), pk=person_id)
    charts = charts_of(person, today=timezone.localdate())
    return render(request, "people/course.html", {"person": person, "charts": charts})

"""The assessment form, and the release of a restriction."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from haleward.web.accounts.access import StaffRequest, roles
from haleward.web.assessment import actions
from haleward.web.assessment.forms import ReleaseForm
from haleward.web.assessment.models import draft_of, finished_of
from haleward.web.people.models import Person


@roles("lead", "nurse")
def assessment(request: StaffRequest, person_id: UUID) -> HttpResponse:
    """One page in the order of care. It is saved as a draft at any time, and once as finished."""
    person = get_object_or_404(Person.objects.for_team(request.user), pk=person_id)
    draft = draft_of(person)
    posted = request.POST if request.method == "POST" else None
    form = actions.form_of(person, posted)
    if posted is not None and form.is_valid():
        if fault := actions.conflict(draft, posted.get("seen", ""), request.user):
            form.faults.append(fault)
        else:
            finish = "finish" in posted
            actions.save(form, user=request.user, finish=finish, now=timezone.now())
            messages.success(request, "The assessment is finished." if finish else "Saved. You can go on later.")
            return redirect("person", person_id=person.pk)
    context = {"person": person, "form": form, "draft": draft, "seen": actions.mark_of(draft)}
    context |= {"last": finished_of(person), "referrals": person.referrals.all()}
    return render(request, "assessment/assessment.html", context, status=422 if posted is not None else 200)


@require_POST
def _release(request: StaffRequest, person_id: UUID, index: int) -> HttpResponse:
    person = get_object_or_404(Person.objects.for_team(request.user), pk=person_id)
    form = ReleaseForm(request.POST)
    if not form.is_valid():
        return render(request, "assessment/release.html", {"person": person, "form": form}, status=422)
    reason = form.cleaned_data["reason"]
    actions.release_restriction(person, index, reason=reason, user=request.user, now=timezone.now())
    messages.success(request, "The restriction is released. The earlier assessment keeps it as it was.")
    return redirect("person", person_id=person.pk)


restriction_release = roles("lead", "nurse")(_release)

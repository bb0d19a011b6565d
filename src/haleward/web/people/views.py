"""Today, people, one person and referrals."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from haleward.web.accounts.access import StaffRequest, roles
from haleward.web.people import actions
from haleward.web.people.due import due_lines
from haleward.web.people.findings import findings
from haleward.web.people.forms import DetailsForm, PersonForm, ReferralFileForm, ReferralForm
from haleward.web.people.models import Person, Referral, end_of
from haleward.web.people.sections import sections_of
from haleward.web.prescription.daily import last_look


@roles()
def today(request: StaffRequest) -> HttpResponse:
    """Who needs what, soonest first."""
    context: dict[str, Any] = {"due_lines": due_lines(request.user)}
    if request.user.role == "lead":
        context["look"] = last_look(request.user.service)
    return render(request, "people/today.html", context)


@roles("lead", "nurse", "assistant")
def people(request: StaffRequest) -> HttpResponse:
    """Everyone of the service, by name; ``q`` searches names and local numbers."""
    query = request.GET.get("q", "").strip()
    rows = actions.find_people(request.user, query)
    return render(
        request, "people/people.html", {"people": rows, "ended": actions.ended_ids(request.user), "query": query}
    )


@roles("lead", "nurse", "assistant")
def person(request: StaffRequest, person_id: UUID) -> HttpResponse:
    """One person, read from top to bottom in the order of care."""
    row = get_object_or_404(Person.objects.for_team(request.user), pk=person_id)
    return render(request, "people/person.html", {"person": row, "end": end_of(row)} | sections_of(row, request.user))


@roles("lead", "nurse")
def person_details(request: StaffRequest, person_id: UUID) -> HttpResponse:
    """Correct who the person is; the history keeps what was there."""
    row = get_object_or_404(Person.objects.for_team(request.user), pk=person_id)
    form = DetailsForm(request.POST or None, instance=row)
    if request.method == "POST" and form.is_valid():
        form.save()
        messages.success(request, "Saved. The earlier details stay in the history.")
        return redirect("person", person_id=row.pk)
    return render(
        request, "people/person_details.html", {"person": row, "form": form}, status=422 if form.is_bound else 200
    )


@roles("lead", "nurse")
def referrals(request: StaffRequest) -> HttpResponse:
    """Referrals waiting and decided; import a file here."""
    form = ReferralFileForm(request.POST or None, request.FILES or None)
    if request.method == "POST" and form.is_valid():
        referral = actions.import_referral(form.cleaned_data["file"], user=request.user)
        return redirect("referral", referral_id=referral.pk)
    rows = Referral.objects.for_team(request.user).select_related("person")
    return render(
        request, "people/referrals.html", {"referrals": rows, "form": form}, status=422 if form.is_bound else 200
    )


@roles("lead", "nurse")
def new_referral(request: StaffRequest) -> HttpResponse:
    """A referral typed in makes the person at once; what is missing is listed on their page."""
    form = ReferralForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        row, new = actions.type_referral(form.cleaned_data, form_id=form.cleaned_data["form_id"], user=request.user)
        before = f"The referral of {row} was stored before. If you changed anything since, change it here too."
        messages.success(request, f"Referral of {row} is stored." if new else before)
        return redirect("person", person_id=row.pk)
    return render(request, "people/new_referral.html", {"form": form}, status=422 if form.is_bound else 200)


@roles("lead", "nurse")
def referral(request: StaffRequest, referral_id: int) -> HttpResponse:
    """What a file proposes. Nothing is stored about a person until someone confirms it here."""
    row = get_object_or_404(Referral.objects.for_team(request.user), pk=referral_id)
    proposal = actions.proposal_of(row)
    form = PersonForm(request.POST or None, initial=actions.proposed_identity(proposal))
    if request.method == "POST" and row.state == Referral.State.PROPOSED and form.is_valid():
        made = actions.confirm_referral(row, form.cleaned_data, user=request.user)
        messages.success(request, f"{made} is now one of your people.")
        return redirect("person", person_id=made.pk)
    context = {
        "referral": row,
        "proposal": proposal,
        "findings": findings(proposal) if proposal else (),
        "form": form,
        "twins": actions.possible_twins(proposal, request.user),
    }
    return render(request, "people/referral.html", context, status=422 if form.is_bound else 200)


@require_POST
def _decline(request: StaffRequest, referral_id: int) -> HttpResponse:
    row = get_object_or_404(Referral.objects.for_team(request.user), pk=referral_id, state=Referral.State.PROPOSED)
    actions.decline_referral(row, user=request.user)
    messages.success(request, "The referral is declined. The file is kept.")
    return redirect("referrals")


referral_refusal = roles("lead", "nurse")(_decline)

"""The service page and the protocol in force."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render

from haleward.web.accounts.access import StaffRequest, refuse, roles
from haleward.web.team.forms import NUMBERS, ServiceForm
from haleward.web.team.protocol import protocol_of, protocol_sections


@roles("lead", "manager")
def service(request: StaffRequest) -> HttpResponse:
    """The service's own numbers; only the manager changes them."""
    row, may_change = request.user.service, request.user.role == "manager"
    if request.method == "POST" and not may_change:
        return refuse(request, request.user, frozenset({"manager"}))
    form = ServiceForm(request.POST or None, initial={"name": row.name} | row.values)
    if request.method == "POST" and form.is_valid():
        row.name = form.cleaned_data["name"]
        row.values = {key: form.cleaned_data[key] for key in NUMBERS if form.cleaned_data[key]}
        row.save()
        messages.success(request, "Saved. New pages and prints use these numbers.")
        return redirect("service")
    context = {"form": form, "may_change": may_change, "numbers": NUMBERS, "service": row}
    return render(request, "team/service.html", context, status=422 if form.is_bound else 200)


@roles()
def protocol(request: StaffRequest) -> HttpResponse:
    """The rules in force, as sentences with their sources."""
    in_force = protocol_of(request.user.service)
    return render(request, "team/protocol.html", {"protocol": in_force, "sections": protocol_sections(in_force)})

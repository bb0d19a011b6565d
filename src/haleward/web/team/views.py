"""The service page."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render

from haleward.web.accounts.access import StaffRequest, refuse, roles
from haleward.web.protocol.checks import numbers_missing
from haleward.web.team.forms import ServiceForm, labels_of
from haleward.web.team.protocol import protocol_of


@roles("lead", "manager")
def service(request: StaffRequest) -> HttpResponse:
    """The service's own numbers; only the manager changes them."""
    row, may_change = request.user.service, request.user.role == "manager"
    if request.method == "POST" and not may_change:
        return refuse(request, request.user, frozenset({"manager"}))
    protocol = protocol_of(row)
    form = ServiceForm(request.POST or None, initial={"name": row.name} | row.values, protocol=protocol)
    if request.method == "POST" and form.is_valid():
        row.name = form.cleaned_data["name"]
        row.values = {key: form.cleaned_data[key] for key in labels_of(protocol) if form.cleaned_data[key]}
        row.save()
        messages.success(request, "Saved. New pages and prints use these numbers.")
        return redirect("service")
    missing = numbers_missing(protocol, row)
    context = {"form": form, "may_change": may_change, "missing": missing, "service": row}
    return render(request, "team/service.html", context, status=422 if form.is_bound else 200)

"""The Reckoner: its list of tests, one test, the list of formulas, one formula. Nothing is stored."""

from __future__ import annotations

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from haleward.capacity.field_tests import field_tests
from haleward.formula import REGISTRY
from haleward.web.accounts.access import StaffRequest, roles
from haleward.web.reckoner.clocks import clocks_of
from haleward.web.reckoner.forms import ActivityForm, FormulaForm, TestForm
from haleward.web.reckoner.shown import configured, found_formulas, grouped_tests, shown_parts
from haleward.web.team.protocol import protocol_of


@roles()
def reckoner(request: StaffRequest) -> HttpResponse:
    """Every test, by what it is about."""
    return render(request, "reckoner/reckoner.html", {"groups": grouped_tests(), "count": len(REGISTRY)})


@roles()
def field_test(request: StaffRequest, key: str) -> HttpResponse:
    """One test: what to do, the clock, what was measured, and what it says."""
    test = field_tests().get(key)
    if test is None:
        raise Http404
    posted = request.POST if request.method == "POST" else None
    form = TestForm(test, posted)
    protocol = protocol_of(request.user.service)
    methods = (protocol.policies.intensity.capacity_method, protocol.policies.intensity.shuttle_method)
    parts = form.parts(on=timezone.localdate(), walk_methods=methods) if posted is not None else ()
    context = {"test": test, "form": form, "parts": shown_parts(parts), "clocks": configured(clocks_of(test))}
    context |= {"protocol": protocol}
    refused = posted is not None and not form.is_valid()
    return render(request, "reckoner/test.html", context, status=422 if refused else 200)


@roles()
def activities(request: StaffRequest) -> HttpResponse:
    """METs of everyday activities by words and year, and what a bout of each comes to."""
    form = ActivityForm(request.GET or None)
    context = {"form": form, "bouts": form.bouts(), "refused": form.is_bound and not form.is_valid()}
    return render(request, "reckoner/activities.html", context, status=422 if context["refused"] else 200)


@roles()
def formulas(request: StaffRequest) -> HttpResponse:
    """Every formula, searched by words."""
    sought = request.GET.get("q", "").strip()[:80]
    return render(request, "reckoner/formulas.html", {"sought": sought, "groups": found_formulas(sought)})


@roles()
def formula(request: StaffRequest, name: str) -> HttpResponse:
    """One formula: its arguments, and its result with the working."""
    known = REGISTRY.get(name)
    if known is None:
        raise Http404
    posted = request.POST if request.method == "POST" else None
    form = FormulaForm(known, posted)
    sheet = form.worksheet() if posted is not None else None
    context = {"formula": known, "form": form, "sheet": sheet}
    refused = posted is not None and not form.is_valid()
    return render(request, "reckoner/formula.html", context, status=422 if refused else 200)

"""A rule more, a rule less, a line in the team's own words."""

from __future__ import annotations

from typing import get_args

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from haleward.errors import HalewardError
from haleward.safety.edits import Edit, Retirement
from haleward.safety.parts import Stage
from haleward.web.accounts.access import StaffRequest, roles
from haleward.web.protocol import actions
from haleward.web.protocol.forms import WordingForm
from haleward.web.protocol.rule_form import RetirementForm, RuleForm
from haleward.web.protocol.views_draft import DRAFTERS, group_of, needed_draft
from haleward.wording import default_wording, placeholders

LINES_MOST = 25


def _stage(key: str) -> str:
    stage = key.removeprefix("rules.")
    if stage not in get_args(Stage):
        raise Http404
    return stage


@roles(*DRAFTERS)
def new_rule(request: StaffRequest, key: str) -> HttpResponse:
    """A rule from parts; it is stored when the whole draft still reads without a fault."""
    row = needed_draft(request)
    form = RuleForm(request.POST or None, stage=_stage(key))
    faults: tuple[str, ...] = ()
    if request.method == "POST" and form.is_valid():
        try:
            actions.change(row, [form.new_rule()], user=request.user, now=timezone.now())
        except HalewardError as fault:
            faults = tuple(str(fault).splitlines())
        else:
            messages.success(request, "The rule is in the draft.")
            return redirect("protocol_section", key=key)
    context = {"form": form, "group": group_of(row, key), "faults": faults}
    return render(request, "protocol/new_rule.html", context, status=422 if form.is_bound else 200)


@roles(*DRAFTERS)
def retirement(request: StaffRequest, key: str) -> HttpResponse:
    """Retire a rule with a reason; its lines stay in the file as a comment."""
    row = needed_draft(request)
    group = group_of(row, f"rules.{_stage(key)}")
    rules = [(entry.id, f"{entry.id}: {entry.sentence}"[:120]) for entry in group.entries]
    form = RetirementForm(request.POST or None, rules=rules, initial={"rule_id": request.GET.get("rule", "")})
    faults: tuple[str, ...] = ()
    if request.method == "POST" and form.is_valid():
        gone = Retirement(form.cleaned_data["rule_id"], form.cleaned_data["reason"])
        try:
            actions.change(row, [gone], user=request.user, now=timezone.now())
        except HalewardError as fault:
            faults = tuple(str(fault).splitlines())
        else:
            messages.success(request, f"Rule {gone.rule_id} is retired in the draft.")
            return redirect("protocol_section", key=key)
    context = {"form": form, "group": group, "faults": faults}
    return render(request, "protocol/retirement.html", context, status=422 if form.is_bound else 200)


@roles(*DRAFTERS)
def wording(request: StaffRequest) -> HttpResponse:
    """Find a line of the wording tables, then word it anew for this protocol."""
    row, key = needed_draft(request), request.GET.get("key", "")
    if not default_wording().has_key(key):
        return render(request, "protocol/wording.html", _lines(request.GET.get("q", "").strip()))
    usual = default_wording().template(key)
    form = WordingForm(request.POST or None, initial={"text": usual})
    faults: tuple[str, ...] = ()
    if request.method == "POST" and form.is_valid():
        changes = [Edit(f"wording/{key}/{name}", form.cleaned_data[name]) for name in ("text", "source")]
        try:
            actions.change(row, changes, user=request.user, now=timezone.now())
        except HalewardError as fault:
            faults = tuple(str(fault).splitlines())
        else:
            messages.success(request, "The line is in the draft in your words.")
            return redirect("protocol_section", key="wording")
    context = {"form": form, "usual": usual, "placeholders": placeholders(usual), "faults": faults}
    return render(request, "protocol/wording.html", context, status=422 if form.is_bound else 200)


def _lines(query: str) -> dict[str, object]:
    """The lines that hold every word of the query."""
    words = query.casefold().split()
    known = ((key, default_wording().template(key)) for key in default_wording().keys)
    found = [(key, text) for key, text in known if words and all(word in text.casefold() for word in words)]
    return {"query": query, "found": found[:LINES_MOST], "more": max(len(found) - LINES_MOST, 0)}

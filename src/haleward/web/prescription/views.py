"""The numbers of one person, the programme, its signature, and the check of the day."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from haleward.plain import from_plain
from haleward.safety.facts import facts_of
from haleward.safety.model import Gate
from haleward.web.accounts.access import StaffRequest, roles
from haleward.web.assessment.titles import movement_title
from haleward.web.people.models import Person
from haleward.web.prescription import actions, edits, shown
from haleward.web.prescription.blocked import blocked_in
from haleward.web.prescription.forms import READINGS, DayCheckForm, DaysForm, MovementForm, SignForm
from haleward.web.prescription.gate_shown import gate_shown, readings_line, standing_lines
from haleward.web.prescription.ground import Ground, needed_ground
from haleward.web.prescription.models import ProgrammeVersion, draft_of, signed_of
from haleward.web.protocol.sections import anchors_of


def person_of(request: StaffRequest, person_id: UUID) -> Person:
    """A person of the user's own team; 404 for anyone else's."""
    return get_object_or_404(Person.objects.for_team(request.user).select_related("service"), pk=person_id)


@roles("lead", "nurse")
def numbers(request: StaffRequest, person_id: UUID) -> HttpResponse:
    """Gate, risk level, capacity, intensity and placement, each with its working."""
    person = person_of(request, person_id)
    ground = actions.ground_today(person)
    if ground is None:
        return render(request, "prescription/no_numbers.html", {"person": person})
    context = shown.numbers_shown(ground.prescription, ground.protocol)
    context |= {"person": person, "ground": ground, "checks": checks_today(person, ground)}
    return render(request, "prescription/numbers.html", context)


def checks_today(person: Person, ground: Ground) -> list[dict[str, Any]]:
    """The checks made today, newest first, each with its gate ready to show."""
    rows = person.day_checks.filter(asked_at__date=ground.today).select_related("asked_by")
    return [
        {"row": row, "readings": readings_line(row.answers)} | gate_shown(from_plain(Gate, row.gate), ground.protocol)
        for row in rows
    ]


@roles("lead", "nurse")
def day_checks(request: StaffRequest, person_id: UUID) -> HttpResponse:
    """Ask and measure before exercise today; after rest the readings are taken again, and both are kept."""
    person = person_of(request, person_id)
    ground = needed_ground(person, timezone.localdate())
    facts = facts_of(ground.record, today=ground.today)
    checks = checks_today(person, ground)
    earlier = checks[0]["row"].answers if checks else {}
    initial = {name: value for name, value in earlier.items() if name not in READINGS}
    form = DayCheckForm(request.POST or None, facts=facts, protocol=ground.protocol, initial=initial)
    if request.method == "POST" and form.is_valid():
        actions.check_day(person, form.answers(), user=request.user, now=timezone.now())
        return redirect("day_checks", person_id=person.pk)
    context = {"person": person, "form": form, "checks": checks, "anchors": anchors_of(ground.protocol)}
    context["standing"] = standing_lines(actions.standing_on(person, ground), ground.protocol)
    return render(request, "prescription/day_checks.html", context, status=422 if form.is_bound else 200)


@roles("lead", "nurse", "assistant")
def programme(request: StaffRequest, person_id: UUID) -> HttpResponse:
    """The draft if there is one, else the signed plan."""
    person = person_of(request, person_id)
    row = draft_of(person) or signed_of(person)
    ground = actions.ground_today(person)
    if row is None:
        return render(request, "prescription/no_programme.html", {"person": person, "ground": ground})
    return render(request, "prescription/programme.html", programme_context(person, row, ground, request))


def programme_context(
    person: Person, row: ProgrammeVersion, ground: Ground | None, request: StaffRequest, **forms: Any
) -> dict[str, Any]:
    """What the programme page shows; a lead's draft comes with its forms and with what stands against signing."""
    plan = actions.programme_of(row)
    context: dict[str, Any] = {
        "person": person,
        "row": row,
        "programme": plan,
        "parts": shown.parts_shown(plan),
        "look": shown.look_of(person),
        "left_out": shown.left_out_shown(plan),
        "walking_days": shown.day_list(plan.walking.days),
        "versions": person.programmes.select_related("signed_by"),
        "blocked": blocked_in(row, ground),
        "may_release": request.user.role in ("lead", "nurse"),
    }
    if row.signed_at is None and request.user.role == "lead" and ground is not None:
        gate = ground.prescription.gate
        context |= {
            "editable": True,
            "faults": ground.faults(plan),
            "gate": gate_shown(gate, ground.protocol),
            "days_form": DaysForm(programme=plan),
            "add_form": add_form(plan, ground),
            "sign_form": SignForm(needed=gate.outcome == "check_first", digest=actions.digest_of(row)),
            "anchors": anchors_of(ground.protocol),
        }
    return context | forms


def add_form(plan: Any, ground: Ground, data: Any = None) -> MovementForm:
    """A movement that no part has yet."""
    used = {exercise.movement_id for part in plan.parts for exercise in part.exercises}
    free = tuple(option for option in ground.options.eligible if option.movement_id not in used)
    titles = {option.movement_id: movement_title(option.movement_id, option.start.posture) for option in free}
    return MovementForm(data, options=free, titles=titles)


@require_POST
def _draft(request: StaffRequest, person_id: UUID) -> HttpResponse:
    person = person_of(request, person_id)
    if "discard" in request.POST:
        row = get_object_or_404(person.programmes, signed_at__isnull=True)
        actions.discard(row)
        messages.success(request, "The draft is discarded.")
    elif "anew" in request.POST:
        messages.success(request, shown.anew_told(*actions.choose_anew(person, now=timezone.now())))
    else:
        actions.start_draft(person, user=request.user, now=timezone.now())
    return redirect("programme", person_id=person.pk)


@require_POST
def _days(request: StaffRequest, person_id: UUID) -> HttpResponse:
    person, row, ground = editable(request, person_id)
    plan = actions.programme_of(row)
    form = DaysForm(request.POST, programme=plan)
    if not form.is_valid():
        context = programme_context(person, row, ground, request, days_form=form)
        return render(request, "prescription/programme.html", context, status=422)
    actions.keep(row, edits.with_days(plan, form.days(), form.walking()), ground)
    return redirect("programme", person_id=person.pk)


@require_POST
def _signature(request: StaffRequest, person_id: UUID) -> HttpResponse:
    person, row, ground = editable(request, person_id)
    needed = ground.prescription.gate.outcome == "check_first"
    form = SignForm(request.POST, needed=needed, digest=actions.digest_of(row))
    if not form.is_valid():
        context = programme_context(person, row, ground, request, sign_form=form)
        return render(request, "prescription/programme.html", context, status=422)
    data = form.cleaned_data
    decision = actions.Decision(data.get("decided_by", ""), data.get("decision_reason", ""))
    actions.sign(row, decision=decision, user=request.user, now=timezone.now())
    messages.success(request, f"Plan {row.version} is signed.")
    return redirect("programme", person_id=person.pk)


def editable(request: StaffRequest, person_id: UUID) -> tuple[Person, ProgrammeVersion, Ground]:
    """The person, their draft and where they stand today; 404 without a draft."""
    person = person_of(request, person_id)
    row = get_object_or_404(person.programmes, signed_at__isnull=True)
    return person, row, needed_ground(person, timezone.localdate())


programme_draft = roles("lead")(_draft)
programme_days = roles("lead")(_days)
programme_signature = roles("lead")(_signature)

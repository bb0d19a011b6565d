"""Changing the exercises of a draft: dose, swap, move, remove, add. Only a lead does."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from haleward.dose.model import Exercise, Programme
from haleward.errors import HalewardError
from haleward.web.accounts.access import StaffRequest, roles
from haleward.web.prescription import actions, edits, shown
from haleward.web.prescription.forms import DoseForm
from haleward.web.prescription.ground import Ground
from haleward.web.prescription.views import add_form, editable, programme_context


def _dose_form(now: Exercise, ground: Ground, request: StaffRequest, data: Any = None) -> DoseForm | None:
    """The dose form; ``None`` when the person can no longer use the movement."""
    option = ground.options.find(now.movement_id)
    return DoseForm(data, exercise=now, option=option, ground=ground, by=str(request.user)) if option else None


def _beside(plan: Programme, now: Exercise, ground: Ground) -> dict[str, Any]:
    return {"swaps": shown.swaps_shown(plan, now, ground), "same": shown.same_shown(now, ground)}


@roles("lead")
def exercise(request: StaffRequest, person_id: UUID, part_key: str, index: int) -> HttpResponse:
    """One exercise of the draft, and its dose to change."""
    person, row, ground = editable(request, person_id)
    plan = actions.programme_of(row)
    now = edits.exercise_of(plan, part_key, index)
    posted = request.POST if request.method == "POST" else None
    form = _dose_form(now, ground, request, posted)
    if form is not None and posted is not None and form.is_valid():
        actions.keep(row, edits.with_exercise(plan, part_key, index, form.changed()), ground)
        return redirect("programme", person_id=person.pk)
    context: dict[str, Any] = {
        "person": person,
        "look": shown.look_of(person),
        "row": row,
        "part_key": part_key,
        "line": shown.line_of(index, now),
        "form": form,
    }
    context |= {"swap_form": add_form(plan, ground), "why_not": ground.options.why_not(now.movement_id)}
    context |= _beside(plan, now, ground)
    return render(request, "prescription/exercise.html", context, status=422 if posted is not None else 200)


@require_POST
def _swap(request: StaffRequest, person_id: UUID, part_key: str, index: int) -> HttpResponse:
    person, row, ground = editable(request, person_id)
    plan = actions.programme_of(row)
    now = edits.exercise_of(plan, part_key, index)
    form = add_form(plan, ground, request.POST)
    if not form.is_valid():
        context: dict[str, Any] = {
            "person": person,
            "look": shown.look_of(person),
            "row": row,
            "part_key": part_key,
            "line": shown.line_of(index, now),
        }
        context |= {"form": _dose_form(now, ground, request), "swap_form": form} | _beside(plan, now, ground)
        return render(request, "prescription/exercise.html", context, status=422)
    new = edits.exercise_from(_option(form.cleaned_data["movement"], ground), by=str(request.user), ground=ground)
    actions.keep(row, edits.with_exercise(plan, part_key, index, new), ground)
    messages.success(request, shown.swap_told(plan, now, new, ground))
    return redirect("programme", person_id=person.pk)


@require_POST
def _move(request: StaffRequest, person_id: UUID, part_key: str, index: int) -> HttpResponse:
    return _kept(request, person_id, lambda plan: edits.moved(plan, part_key, index))


@require_POST
def _remove(request: StaffRequest, person_id: UUID, part_key: str, index: int) -> HttpResponse:
    def removed(plan: Programme) -> Programme:
        edits.exercise_of(plan, part_key, index)
        return edits.without_exercise(plan, part_key, index)

    return _kept(request, person_id, removed)


@require_POST
def _add(request: StaffRequest, person_id: UUID, part_key: str) -> HttpResponse:
    person, row, ground = editable(request, person_id)
    plan = actions.programme_of(row)
    form = add_form(plan, ground, request.POST)
    if not form.is_valid():
        context = programme_context(person, row, ground, request, add_form=form)
        return render(request, "prescription/programme.html", context, status=422)
    new = edits.exercise_from(_option(form.cleaned_data["movement"], ground), by=str(request.user), ground=ground)
    actions.keep(row, edits.with_added(plan, part_key, new), ground)
    return redirect("programme", person_id=person.pk)


def _kept(request: StaffRequest, person_id: UUID, change: Any) -> HttpResponse:
    person, row, ground = editable(request, person_id)
    actions.keep(row, change(actions.programme_of(row)), ground)
    return redirect("programme", person_id=person.pk)


def _option(movement_id: str, ground: Ground) -> Any:
    option = ground.options.find(movement_id)
    if option is None:
        raise HalewardError("This movement is no longer available for this person. Open the programme again.")
    return option


exercise_movement = roles("lead")(_swap)
exercise_place = roles("lead")(_move)
exercise_removal = roles("lead")(_remove)
part_exercises = roles("lead")(_add)

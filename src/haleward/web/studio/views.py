"""The studio: pick a person and a part, see and hear its cue sheet, change how it is told, hand it over."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from haleward.errors import HalewardError
from haleward.render.looks import look_for
from haleward.session.compile import WALK
from haleward.web.accounts.access import StaffRequest, roles
from haleward.web.delivery import sheets
from haleward.web.languages.shown import wording_for
from haleward.web.library.kept import mark
from haleward.web.people.models import Person
from haleward.web.prescription.models import ProgrammeVersion, signed_of
from haleward.web.prescription.signing import programme_of
from haleward.web.studio.choice import OptionsForm, keep_options, options_of
from haleward.web.studio.films import films_of
from haleward.web.studio.making import voice_of_block
from haleward.web.studio.strip import clock, scenes_of

MAKERS = ("lead", "nurse")
READERS = ("lead", "nurse", "assistant")


def person_of(request: StaffRequest, person_id: UUID) -> Person:
    """The person, if the user's team looks after them."""
    return get_object_or_404(Person.objects.for_team(request.user).select_related("service"), pk=person_id)


def part_names(row: ProgrammeVersion) -> list[tuple[str, str]]:
    """Key and name of everything the plan can be told as."""
    programme = programme_of(row)
    return [*((part.key, f"Part {part.key}") for part in programme.parts), (WALK, "Walking")]


@roles(*READERS)
def people(request: StaffRequest) -> HttpResponse:
    """Whose sessions can be looked at: everyone with a signed plan."""
    found = Person.objects.for_team(request.user).select_related("service")
    plans = [(person, signed_of(person)) for person in found]
    rows = [(person, row, part_names(row)) for person, row in plans if row is not None]
    return render(request, "studio/people.html", {"rows": rows, "without": len(plans) - len(rows)})


@roles(*READERS)
def first_part(request: StaffRequest, person_id: UUID) -> HttpResponse:
    """The studio opens on the first part of the plan."""
    row = signed_of(person_of(request, person_id))
    if row is None:
        raise HalewardError("There is no signed plan yet, so there is no session to look at. Sign the plan first.")
    return redirect("studio", person_id=person_id, part_key=part_names(row)[0][0])


@roles(*READERS)
def studio(request: StaffRequest, person_id: UUID, part_key: str) -> HttpResponse:
    """One part: its length, its strip, its options, and what can be made of it."""
    person = person_of(request, person_id)
    return render(request, "studio/studio.html", shown(request, person, part_key))


@roles(*MAKERS)
@require_POST
def options(request: StaffRequest, person_id: UUID, part_key: str) -> HttpResponse:
    """Change how this person's sessions are told; pages, prints and films are made anew from it."""
    person = person_of(request, person_id)
    context = shown(request, person, part_key)
    form = OptionsForm(request.POST, movements=context["movements"])
    if not form.is_valid():
        return render(request, "studio/studio.html", context | {"form": form}, status=422)
    keep_options(person, form.chosen(options_of(person)), user=request.user)
    messages.success(request, f"{person.first_name}'s sessions are told this way from now on, on every medium.")
    return redirect("studio", person_id=person.pk, part_key=part_key)


@roles(*READERS)
def voice(request: StaffRequest, person_id: UUID, part_key: str, index: int) -> HttpResponse:
    """What is said in one stretch, as sound."""
    person = person_of(request, person_id)
    sheet, _record = sheets.sheet_of(sheets.signed_programme(person), part_key)
    return HttpResponse(voice_of_block(sheet, index, person.service), content_type="audio/wav")


@roles(*READERS)
def offline_page(request: StaffRequest, person_id: UUID, part_key: str) -> HttpResponse:
    """The session page as one file, for a memory stick or an e-mail; what is logged in it stays on that device."""
    row = sheets.signed_programme(person_of(request, person_id))
    html = sheets.file_of(row, part_key, recorded="voice" in request.GET)
    response = HttpResponse(html, content_type="text/html; charset=utf-8")
    response.headers["Content-Disposition"] = f'attachment; filename="session-{part_key}-plan-{row.version}.html"'
    return response


def shown(request: StaffRequest, person: Person, part_key: str) -> dict[str, Any]:
    """Template context of the studio page."""
    row = sheets.signed_programme(person)
    sheet, record = sheets.sheet_of(row, part_key)
    chosen = options_of(person)
    movements = [(one.movement_id, one.title) for one in sheet.exercises if one.harder and part_key != WALK]
    return {
        "person": person,
        "row": row,
        "sheet": sheet,
        "length": clock(sheet.length_ms),
        "part_key": part_key,
        "parts": part_names(row),
        "scenes": scenes_of(sheet),
        "look": look_for(record.sex, record.look, person_id=record.person_id),
        "mark": mark(),
        "movements": movements,
        "form": OptionsForm(initial=OptionsForm.initial_of(chosen), movements=movements),
        "films": films_of(row, part_key),
        "told": wording_for(person),
        "may_make": request.user.role in MAKERS,
    }

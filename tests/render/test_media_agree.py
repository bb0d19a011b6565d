"""Film, page, booklet and calendar of one session, each opened: movements, doses, order and version agree."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from typing import Any

import pytest

from haleward.dose.model import Dose, Load, Programme
from haleward.exchange.calendar import Wishes, calendar_of
from haleward.render.booklet import booklet_pdf
from haleward.render.page import session_page
from haleward.session.compile import WALK, compile_session
from haleward.session.cue_sheet import CueSheet
from tests.render.filmed import PLAN, SHEET, TOLD, Filmed, sheet_of
from tests.render.media_told import Said, booklet_said, calendar_said, disagreements, film_said, page_said
from tests.session.people import PLAIN
from tests.session.samples import SERVICE, TODAY

NOW = datetime(2026, 2, 4, 9, 0, tzinfo=UTC)
PRINT: dict[str, Any] = {"record": PLAIN, "service": SERVICE, **TOLD}
MEDIA = {"film", "page", "booklet", "calendar"}


def page(sheet: CueSheet) -> Said:
    return page_said(session_page(sheet, **PRINT))


def booklet(sheet: CueSheet) -> Said:
    return booklet_said(booklet_pdf(sheet, programme=PLAN, **PRINT))


def calendar(sheet: CueSheet) -> Said:
    walk = compile_session(PLAN, WALK, PLAIN, service=SERVICE, made_on=TODAY, **TOLD)
    when: dict[str, Any] = {"made_at": NOW, "changed_at": NOW, "timezone": "Europe/London", "start_on": TODAY}
    sheets, wording = {"one": sheet, WALK: walk}, TOLD["wording"]
    made = calendar_of(PLAN, sheets, wording, wishes=Wishes(movements=True), **when)
    return calendar_said(made, title=wording.text("calendar_title", {}))


@pytest.fixture(scope="module")
def media(filmed: Filmed) -> dict[str, Said]:
    film = film_said(filmed.files.film, ends=("Welcome", "The end"))
    return {"film": film, "page": page(SHEET), "booklet": booklet(SHEET), "calendar": calendar(SHEET)}


def with_dose(plan: Programme, **changes: Any) -> Programme:
    """The plan with another dose in its first line."""
    part, first = plan.parts[0], plan.parts[0].exercises[0]
    dose: Dose = replace(first.dose, **changes)
    return replace(plan, parts=(replace(part, exercises=(replace(first, dose=dose), *part.exercises[1:])),))


def turned(plan: Programme) -> Programme:
    """The plan with its lines in reverse."""
    part = plan.parts[0]
    return replace(plan, parts=(replace(part, exercises=part.exercises[::-1]),))


def test_every_medium_says_what_was_signed(media: dict[str, Said]):
    assert set(media) == MEDIA
    assert list(disagreements(PLAN, media)) == []


@pytest.mark.parametrize(
    ("other", "in_what"),
    [
        (with_dose(PLAN, repetitions=4), "dose"),
        (with_dose(PLAN, sets=3), "dose"),
        (with_dose(PLAN, load=Load("bottle", mass_kg=2.0)), "dose"),
        (turned(PLAN), "order"),
        (replace(PLAN, version=4), "version"),
        (replace(PLAN, made_on=date(2026, 2, 2)), "version"),
    ],
    ids=["repetitions", "sets", "load", "order", "version", "date"],
)
def test_a_medium_of_another_plan_is_found(media: dict[str, Said], other: Programme, in_what: str):
    assert {name for name, what in disagreements(other, media) if what == in_what} == MEDIA


@pytest.mark.parametrize("make", [page, booklet, calendar])
def test_a_medium_whose_dose_was_tampered_with_is_found(make: Any):
    tampered = make(sheet_of(with_dose(PLAN, repetitions=4)))
    assert ("it", "dose") in set(disagreements(PLAN, {"it": tampered}))


def test_a_film_and_a_page_that_count_otherwise_than_the_plan_are_found(media: dict[str, Said]):
    fewer = {
        name: replace(said, counted=((1, 2, 3), *said.counted[1:])) for name, said in media.items() if said.counted
    }
    assert set(fewer) == {"film", "page"}
    assert set(disagreements(PLAN, fewer)) == {("film", "counts"), ("page", "counts")}

"""What the person's first page says today."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from haleward.dose.model import Part, Programme, Walking
from haleward.errors import HalewardError
from haleward.plain import from_plain
from haleward.web.delivery.sheets import signed_programme
from haleward.web.people.models import Person
from haleward.web.team import protocol as in_force

WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")


def landing_of(person: Person, *, today: date) -> dict[str, Any]:
    """Template context: today's part or the next one, walking days, safety lines and the numbers to ring."""
    numbers, wording = in_force.numbers_of(person.service), in_force.wording()
    context: dict[str, Any] = {
        "person": person,
        "team": numbers,
        "emergency": wording.text("banner_lead", numbers.values),
        "safety_line": wording.text("safety_page_link", numbers.values),
        "held": wording.text("plan_paused", numbers.values) if is_held(person) else "",
    }
    try:
        row = signed_programme(person)
    except HalewardError as none_yet:
        return context | {"waiting": str(none_yet)}
    programme = from_plain(Programme, row.programme)
    part = part_on(programme, today)
    return context | {
        "row": row,
        "programme": programme,
        "part": part,
        "rest_line": "" if part else wording.text("rest_day_1", numbers.values),
        "rest_why": wording.text("rest_day_why", numbers.values),
        "next_part": None if part else next_part(programme, today),
        "walk_today": WEEKDAYS[today.weekday()] in programme.walking.days,
        "walk_line": walk_line(programme.walking),
        "walk_button": "March today" if programme.walking.movement_id == "march_on_spot" else "Start the walk",
        "sessions_done": done_this_week(person, today),
        "plan_line": wording.text(
            "plan_version",
            dict(numbers.values) | {"plan_version": str(row.version), "plan_date": f"{programme.made_on:%-d %B %Y}"},
        ),
    }


def walk_line(walking: Walking) -> str:
    """The aerobic part in one sentence or two."""
    action = "March sitting down" if walking.movement_id == "march_on_spot" else "Walk"
    if walking.bouts == 1:
        return f"{action} for {walking.bout_minutes} minutes."
    rests = f"Rest for {walking.rest_minutes} minutes in between."
    return f"{action} for {walking.bout_minutes} minutes, {walking.bouts} times. {rests}"


def is_held(person: Person) -> bool:
    """Whether the plan is on hold: a concern that holds it is open until staff close it."""
    return person.concerns.filter(closed_at__isnull=True, holds_plan=True).exists()


def part_on(programme: Programme, day: date) -> Part | None:
    """The part planned for this day, if any."""
    name = WEEKDAYS[day.weekday()]
    return next((part for part in programme.parts if name in part.days), None)


def next_part(programme: Programme, day: date) -> tuple[str, Part] | None:
    """The next exercise day's name and part."""
    for ahead in range(1, 8):
        later = day + timedelta(days=ahead)
        part = part_on(programme, later)
        if part:
            return WEEKDAYS[later.weekday()].capitalize(), part
    return None


def done_this_week(person: Person, today: date) -> int:
    """Sessions logged as done since Monday. Blank is not zero effort: it only counts what was sent."""
    monday = today - timedelta(days=today.weekday())
    rows = person.log_entries.filter(kind="done", happened_at__date__gte=monday)
    return rows.values("session_id").distinct().count()

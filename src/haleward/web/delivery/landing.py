"""What the person's first page says today. Every sentence comes from the wording tables."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from haleward.dose.model import Part, Programme, Walking
from haleward.errors import HalewardError
from haleward.web.delivery.holding import why_held
from haleward.web.delivery.sheets import signed_programme
from haleward.web.people.models import Person
from haleward.web.prescription.models import ProgrammeVersion
from haleward.web.prescription.signing import programme_of
from haleward.web.team import protocol as in_force
from haleward.wording import Wording

WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
HEADINGS = (
    "landing_today", "landing_start", "landing_plan", "landing_open", "landing_print", "landing_safety",
    "landing_waiting", "rest_day_1", "rest_day_why", "caution_line", "calendar_heading",
)  # fmt: skip


@dataclass(frozen=True)
class Words:
    """The wording for one person: texts by key, with the service's numbers and the person's name filled in."""

    values: dict[str, str]
    wording: Wording

    def __call__(self, key: str, **more: object) -> str:
        """The text of ``key``; ``more`` fills further placeholders."""
        filled = self.values | {name: str(value) for name, value in more.items()}
        return self.wording.text(key, filled)


def words_for(person: Person) -> Words:
    """Protocol settings, the service's own numbers and the person's first name."""
    limits = in_force.protocol_of(person.service).wording_values
    numbers = in_force.numbers_of(person.service).values
    return Words({**limits, **numbers, "first_name": person.first_name}, in_force.wording_of(person.service))


def landing_of(person: Person, *, today: date) -> dict[str, Any]:
    """Template context: today's part or the next one, the walk, the whole plan and the numbers to ring."""
    say = words_for(person)
    context: dict[str, Any] = {
        "person": person,
        "service": in_force.numbers_of(person.service).name,
        "emergency": say("banner_lead"),
        "safety_line": say("safety_page_link"),
        "hello": say("landing_hello"),
        "ring": say("landing_ring"),
        "held": say("plan_paused") if why_held(person, today) else "",
        "reopened_at": reopened_at(person),
        "words": {key: say(key) for key in HEADINGS},
    }
    try:
        row = signed_programme(person)
    except HalewardError:
        return context | {"waiting": True}
    return context | _plan(row, say, today)


def _plan(row: ProgrammeVersion, say: Words, today: date) -> dict[str, Any]:
    programme = programme_of(row)
    part, later = part_on(programme, today), next_part(programme, today)
    done, planned = done_this_week(row.person, today), sum(len(one.days) for one in programme.parts)
    return {
        "part": part,
        "part_line": say("landing_part", part_name=part.key, exercise_count=len(part.exercises)) if part else "",
        "next_line": say("landing_next", day_name=later[0], part_name=later[1].key) if later and not part else "",
        "parts": [(one, say("landing_part_name", part_name=one.key), days_line(one)) for one in programme.parts],
        "walk": walk_words(programme.walking, say) if WEEKDAYS[today.weekday()] in programme.walking.days else None,
        "week_line": say("log_week_count", done_count=done, planned_count=planned) if done else say("log_week_none"),
        "plan_line": say("plan_version", plan_version=row.version, plan_date=f"{programme.made_on:%-d %B %Y}"),
    }


def walk_words(walking: Walking, say: Words) -> dict[str, str]:
    """The line and the button of today's walk, or of the seated march."""
    kind = "march" if walking.movement_id == "march_on_spot" else "walk"
    values = {"minutes": walking.bout_minutes, "bout_count": walking.bouts, "rest_minutes": walking.rest_minutes}
    key = f"landing_{kind}_once" if walking.bouts == 1 else f"landing_{kind}_bouts"
    return {"line": say(key, **values), "button": say(f"landing_{kind}_start")}


def reopened_at(person: Person) -> str:
    """When staff last closed a concern that held the plan, in ISO 8601: an earlier stop on a phone is then over."""
    closed = person.concerns.filter(holds_plan=True, closed_at__isnull=False).order_by("closed_at").last()
    return closed.closed_at.isoformat() if closed and closed.closed_at else ""


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


def days_line(part: Part) -> str:
    """The part's days, as read out."""
    return " and ".join(day.capitalize() for day in part.days)


def done_this_week(person: Person, today: date) -> int:
    """Sessions that were finished since Monday, as far as they were sent."""
    monday = today - timedelta(days=today.weekday())
    rows = person.log_entries.filter(kind="done", happened_at__date__gte=monday)
    return rows.values("session_id").distinct().count()

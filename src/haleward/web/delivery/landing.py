"""What the person's first page says: today, this week, and the way into everything else."""

from __future__ import annotations

import json
from datetime import date, timedelta
from itertools import pairwise
from typing import Any

from haleward.dose.log import WALK
from haleward.dose.model import Part
from haleward.dose.week import day_names
from haleward.dose.words import listed
from haleward.errors import HalewardError
from haleward.render.diary_page import part_name
from haleward.web.delivery.holding import reopened_on, why_held
from haleward.web.delivery.landing_words import Words, walk_words, words_for
from haleward.web.delivery.left_out import open_programme
from haleward.web.delivery.links import Holder
from haleward.web.delivery.sheets import signed_programme
from haleward.web.delivery.week_shown import Shown, kind_line, week_days
from haleward.web.delivery.weeks import begun_on, told_by_place, weeks_for
from haleward.web.prescription.models import ProgrammeVersion
from haleward.web.team import protocol as in_force

__all__ = ["Words", "landing_of", "walk_words", "words_for"]
HEADINGS = (
    "landing_today", "landing_plan", "landing_open", "landing_print", "landing_safety", "landing_waiting",
    "print_large_button", "print_card_button",
    "rest_day_1", "rest_day_why", "caution_line", "calendar_heading", "week_heading", "week_next_heading",
    "week_rest", "week_done",
    "log_ask", "log_yes", "log_part", "log_no", "diary_open", "diary_change", "diary_state_late", "days_link",
    "doing_link", "carer_link", "unwell_button", "plan_paused", "plan_reopened", "plan_open",
)  # fmt: skip
ON_PAGE = (
    "unsent_note_one", "unsent_notes", "unsent_keep", "unsent_refused", "sent_all", "diary_state_as_planned",
    "diary_state_part", "diary_state_not_done",
)  # fmt: skip
DAYS_KEPT = 14  # a kept page shows the right day for so long without a network


def landing_of(holder: Holder, *, today: date) -> dict[str, Any]:
    """Template context: today, the week, the whole plan and the numbers to ring."""
    person = holder.person
    say = words_for(person)
    carer = holder.origin == "carer"
    context: dict[str, Any] = {
        "person": person,
        "service": in_force.numbers_of(person.service).name,
        "emergency": say("banner_lead"),
        "safety_line": say("safety_page_link"),
        "hello": say("carer_hello" if carer else "landing_hello"),
        "ring": say("landing_ring"),
        "held": say("plan_paused") if why_held(person, today) else "",
        "reopened": reopened_on(person, today),
        "words": {key: say(key) for key in HEADINGS},
        "unsent": json.dumps({key: say.wording.template(key) for key in ON_PAGE}),
        "may": {what: True for what in holder.covers},
        "own": not carer,
    }
    try:
        row = signed_programme(person)
    except HalewardError:
        return context | {"waiting": True}
    return context | _plan(row, say, today)


def _plan(row: ProgrammeVersion, say: Words, today: date) -> dict[str, Any]:
    programme, left_out = open_programme(row)
    shown = Shown(programme, say, told_by_place(row.person), begun_on(row.person))
    weeks = weeks_for(row, week_days(today, 4), programme)
    days = {day.on: (day, week, after) for week, after in pairwise(weeks) for day in week.days}
    kept = [shown.card(*days[today + timedelta(days=number)]) for number in range(DAYS_KEPT + 1)]
    minutes = sum(one.minutes for one in weeks[0].sessions if one.on >= shown.begun)
    return {
        "today": kept[0],
        "later": kept[1:],
        "week": shown.rows(weeks[0], today),
        "next_week": shown.rows(weeks[1], today),
        "off_line": shown.off_line(weeks[0]),
        "left_out": say("landing_left_out", what=say.phrase(listed(left_out))) if left_out else "",
        "minutes_line": say("week_minutes", minutes=minutes) if minutes else "",
        "kind_line": kind_line(weeks[0], shown, today),
        "parts": [(one, say("landing_part_name", part_name=one.key), days_line(one, say)) for one in programme.parts],
        "walk_days": say.phrase(day_names(programme.walking.days)),
        "walk_key": WALK,
        "walk_name": part_name(WALK, programme.walking, say.wording),
        "plan_line": say("plan_version", plan_version=row.version, plan_date=f"{programme.made_on:%-d %B %Y}"),
    }


def days_line(part: Part, say: Words) -> str:
    """The part's days, as read out."""
    return say.phrase(day_names(part.days))

"""The week as the programme has it, and the grid of the paper log that follows from it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from haleward.dose.model import Programme
from haleward.dose.week import WEEK
from haleward.dose.week_plan import Day, Week
from haleward.dose.words import shown
from haleward.render.diary_page import part_name
from haleward.session.compile import WALK
from haleward.session.walk import walking_exercise
from haleward.session.week_words import WeekWords, differs
from haleward.wording import Wording

LOG_WEEKS = 4
BLANK_ROWS = 6  # a log without a programme: days are written in by hand
_HOW = ("print_log_how_1", "print_log_how_2", "print_log_how_3", "print_log_how_4")


def week_rows(
    programme: Programme | None, part_key: str, *, wording: Wording, values: Mapping[str, str]
) -> list[list[str]]:
    """Every weekday with what is done on it, in words; [] without a programme.

    What this booklet shows (``part_key``) says so.
    """
    if programme is None:
        return []
    sessions = _sessions(programme, part_key, wording, values)
    rest = [wording.text("print_rest_day", values)]
    return [[_day(day, wording, values), *(sessions[day] or rest)] for day in WEEK]


def dated_weeks(
    programme: Programme | None, weeks: Sequence[Week], *, wording: Wording, values: Mapping[str, str]
) -> list[dict[str, Any]]:
    """The weeks that are not like the others, each day in the words of the person's page; [] when all are alike."""
    if programme is None:
        return []

    def say(key: str, **more: object) -> str:
        return wording.text(key, {**values, **{name: str(value) for name, value in more.items()}})

    walking = programme.walking
    words = WeekWords(walking, say)
    return [
        {
            "from": say("print_week_from", day_name=words.day(week.days[0].on), date=shown(week.days[0].on)),
            "rows": [[words.day(day.on), *_dated(day, words)] for day in week.days],
            "off": words.off(week, lambda key: part_name(key, walking, wording)),
        }
        for week in weeks
        if differs(week)
    ]


def _dated(day: Day, words: WeekWords) -> list[str]:
    special = words.special(day)
    done = [". ".join(filter(None, (words.name(one), words.moved(one)))) for one in day.sessions]
    return [*filter(None, (special,)), *done] or [words.say("print_rest_day")]


def log_data(
    programme: Programme | None,
    *,
    zero_to_ten: bool,
    asks_heart_rate: bool = False,
    wording: Wording,
    values: Mapping[str, str],
) -> dict[str, Any]:
    """How to fill in the log, its columns, and a line for each session of a week with one to spare.

    ``asks_heart_rate``: heart rate can guide this person, and they can count it. Nobody else is asked.
    """
    effort = "log_number" if zero_to_ten else "log_number_20"
    columns = ["print_day", "print_log_all", "print_log_part", effort, "print_log_unwell", "print_log_note"]
    how = (*_HOW, "print_log_hard", *(("print_log_rate",) if asks_heart_rate else ()), "print_log_bring")
    weeks = [wording.text("print_log_week", {"week_number": str(number + 1)}) for number in range(LOG_WEEKS)]
    return {
        "how": [wording.text(key, values) for key in how],
        "columns": [wording.text(key, values) for key in columns],
        "weeks": weeks,
        "from": wording.text("print_log_from", values),
        "rows": _log_rows(programme, wording, values),
    }


def _log_rows(programme: Programme | None, wording: Wording, values: Mapping[str, str]) -> list[list[str]]:
    if programme is None:
        return [["", ""]] * BLANK_ROWS
    sessions = _sessions(programme, "", wording, values)
    rows = [[_day(day, wording, values), what] for day in WEEK for what in sessions[day]]
    return [*rows, [wording.text("print_log_other", values), ""]]


def _sessions(programme: Programme, part_key: str, wording: Wording, values: Mapping[str, str]) -> dict[str, list[str]]:
    """The sessions of each weekday, in words."""
    found: dict[str, list[str]] = {day: [] for day in WEEK}
    for part in programme.parts:
        key = "print_part_here" if part.key == part_key else "landing_part_name"
        for day in part.days:
            found[day].append(wording.text(key, {**values, "part_name": part.key}))
    walk = walking_exercise(programme.walking, wording).dose_text
    walk = wording.text("print_walk_here", {**values, "dose": walk}) if part_key == WALK else walk
    for day in programme.walking.days:
        found[day].append(walk)
    return found


def _day(day: str, wording: Wording, values: Mapping[str, str]) -> str:
    return wording.text(f"print_{day}", values)

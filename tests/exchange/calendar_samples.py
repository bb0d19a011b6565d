"""Plans, cue sheets and a reader for the tests of the calendar file."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, time
from typing import Any

from dateutil.rrule import rrulestr
from icalendar import Calendar, Event

from haleward.dose.model import Part, Programme, Walking
from haleward.exchange.calendar import calendar_of
from haleward.movement.library import default_library
from haleward.session.compile import WALK, compile_session
from haleward.session.cue_sheet import CueSheet
from haleward.wording import default_wording
from tests.session.samples import BALANCED, RECORD, SERVICE, TODAY, exercise, programme, protocol

LIBRARY, WORDING = default_library(), default_wording()
START = date(2026, 3, 2)  # a Monday; the clocks of London go forward on 29 March
MADE_AT = datetime(2026, 3, 2, 8, 30, tzinfo=UTC)
ONE = Part("one", ("monday",), BALANCED)
TWO = Part("two", ("thursday",), (exercise("heel_raise", "hand_supported", region="calf"),))
PLAN: Programme = replace(
    programme(), parts=(ONE, TWO), walking=Walking(("tuesday", "saturday"), 2, 10, 2), signed_on=START, version=1
)


def sheets_of(plan: Programme) -> dict[str, CueSheet]:
    """The cue sheet of every part and of the walk."""
    return {
        key: compile_session(
            plan, key, RECORD, protocol=protocol(), library=LIBRARY, wording=WORDING, service=SERVICE, made_on=TODAY
        )
        for key in (*(part.key for part in plan.parts), WALK)
    }


SHEETS = sheets_of(PLAN)


def file_of(plan: Programme = PLAN, **changes: Any) -> bytes:
    """The calendar file of a plan, with the usual arguments unless changed."""
    usual: dict[str, Any] = {
        "made_at": MADE_AT,
        "changed_at": MADE_AT,
        "timezone": "Europe/London",
        "start_on": START,
        "weeks": 8,
    }
    sheets = changes.pop("sheets", SHEETS)
    return calendar_of(plan, sheets, WORDING, **{**usual, **changes})


def events_of(file: bytes) -> list[Event]:
    """The events, as the referee reads them."""
    return [part for part in Calendar.from_ical(file).walk("VEVENT")]


def confirmed(file: bytes) -> list[Event]:
    """The events that stand."""
    return [event for event in events_of(file) if event["status"] == "CONFIRMED"]


def starts_of(event: Event) -> list[Any]:
    """Every start of an event, by the rules of recurrence of another library, without the excluded days."""
    first = event.decoded("dtstart")
    whole_day = not isinstance(first, datetime)
    begin = datetime.combine(first, time()) if whole_day else first.replace(tzinfo=None)
    found = list(rrulestr(event["rrule"].to_ical().decode(), dtstart=begin))
    excluded = event.get("exdate", [])
    lists = excluded if isinstance(excluded, list) else [excluded]
    left_out = {one.dt if whole_day else one.dt.replace(tzinfo=None) for each in lists for one in each.dts}
    days = [one.date() if whole_day else one for one in found]
    return [one for one in days if one not in left_out]

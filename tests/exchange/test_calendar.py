"""The calendar file: what stands in it, read back by a referee, and what it never does."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from functools import cache
from itertools import pairwise
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from icalendar import Calendar, Event

from haleward.dose.model import Part, Programme, Walking
from haleward.dose.prescription import prescribe
from haleward.dose.week import WEEK, resistance_days, walking_for
from haleward.errors import HalewardError
from haleward.exchange.calendar import Standing, Wishes, minutes_of, sequence_of, uid_of
from haleward.safety.facts import facts_of
from haleward.safety.protocol import default_protocol
from haleward.session.compile import WALK
from haleward.session.cue_sheet import CueSheet
from tests.dose.people import WELL
from tests.exchange.calendar_samples import (
    LIBRARY,
    MADE_AT,
    ONE,
    PLAN,
    SHEETS,
    START,
    TWO,
    confirmed,
    events_of,
    file_of,
    starts_of,
)
from tests.session.samples import BALANCED

GOLDEN = Path(__file__).parent / "data" / "sessions.ics"
TIMED = Wishes(at=time(10), walk_at=time(15, 30), reminder="half_hour")


def of_slot(file: bytes, part_key: str, weekday: str) -> Event:
    """The event of one part on one weekday."""
    uid = uid_of(PLAN.person_id, part_key, weekday)
    (event,) = [one for one in events_of(file) if one["uid"] == uid]
    return event


def unfolded(file: bytes) -> str:
    return file.decode().replace("\r\n ", "")


# The bytes


def fixed(part_key: str, minutes: int, movement_id: str, title: str) -> CueSheet:
    """A cue sheet whose words and length do not follow the tables: the kept bytes are about the calendar."""
    line = {"movement_id": movement_id, "title": title, "dose_text": "2 sets of 10", "load_text": "Your own weight"}
    one = replace(SHEETS[part_key].exercises[0], **line)
    plan_line = "This is plan 1, made on 2 March 2026."
    return replace(SHEETS[part_key], length_ms=minutes * 60_000, exercises=(one,), plan_line=plan_line)


def test_the_same_plan_gives_the_bytes_that_are_kept_here() -> None:
    usual = {
        "wishes": replace(TIMED, movements=True),
        "standing": Standing(
            earlier=(replace(PLAN, version=0, parts=(replace(ONE, days=("wednesday",)), TWO)),),
            held_on=(date(2026, 3, 10),),
        ),
        "sheets": {
            "one": fixed("one", 28, "biceps_curl", "Curl, seated"),
            "two": fixed("two", 15, "heel_raise", "Heel raise"),
            WALK: fixed(WALK, 30, "walking", "Walk"),
        },
    }
    file = file_of(**usual)
    assert file == file_of(**usual)
    assert file == GOLDEN.read_bytes()


def test_lines_are_folded_at_75_bytes_and_end_as_the_standard_asks() -> None:
    file = file_of(wishes=Wishes(movements=True))
    lines = file.split(b"\r\n")
    assert all(len(line) <= 75 for line in lines)
    assert b"\n" not in b"".join(lines)
    assert lines[0] == b"BEGIN:VCALENDAR"
    assert "\\n" in unfolded(file)


def test_commas_and_semicolons_of_a_title_come_back_as_written() -> None:
    odd = replace(SHEETS["one"], exercises=(replace(SHEETS["one"].exercises[0], title="Pull, then; rest\\ü"),))
    file = file_of(sheets=SHEETS | {"one": odd}, wishes=Wishes(movements=True))
    assert "1. Pull, then; rest\\ü: " in str(of_slot(file, "one", "monday")["description"])


# Days and hours


def test_every_part_and_walk_stands_on_its_own_days_only() -> None:
    file = file_of(wishes=TIMED)
    for key, days in (("one", ("monday",)), ("two", ("thursday",)), (WALK, ("tuesday", "saturday"))):
        for day in days:
            starts = starts_of(of_slot(file, key, day))
            assert {WEEK[start.weekday()] for start in starts} == {day}
            assert len(starts) == 8
    assert len(events_of(file)) == 4


def test_without_an_hour_a_session_is_for_the_whole_day_and_no_zone_is_stated() -> None:
    file = file_of()
    for event in events_of(file):
        assert type(event.decoded("dtstart")) is date
        assert event.decoded("duration") == timedelta(days=1)
    assert b"VTIMEZONE" not in file


def test_a_session_is_as_long_as_its_cue_sheet() -> None:
    file = file_of(wishes=TIMED)
    for key, day in (("one", "monday"), ("two", "thursday"), (WALK, "tuesday")):
        minutes = of_slot(file, key, day).decoded("duration").total_seconds() / 60
        assert minutes == minutes_of(SHEETS[key]) == round(SHEETS[key].length_ms / 60_000)
        assert f"It takes about {minutes:.0f} minutes." in str(of_slot(file, key, day)["description"])


def test_a_walk_that_would_meet_the_session_of_its_day_is_for_the_whole_day() -> None:
    plan = replace(PLAN, walking=replace(PLAN.walking, days=("monday",)))
    minutes = minutes_of(SHEETS["one"])
    meets = file_of(plan, wishes=Wishes(at=time(10), walk_at=time(10, minutes - 1)))
    after = file_of(plan, wishes=Wishes(at=time(10), walk_at=time(10, minutes)))
    assert type(of_slot(meets, WALK, "monday").decoded("dtstart")) is date
    assert of_slot(after, WALK, "monday").decoded("dtstart").time() == time(10, minutes)


@pytest.mark.parametrize("zone", ["Europe/London", "America/New_York", "Australia/Lord_Howe", "Africa/Casablanca"])
def test_a_session_keeps_its_hour_when_the_clocks_change(zone: str) -> None:
    file = file_of(wishes=TIMED, timezone=zone, weeks=40)
    offsets = set()
    stated = {one["tzid"]: one.to_tz() for one in Calendar.from_ical(file).walk("VTIMEZONE")}
    for event in events_of(file):
        for start in starts_of(event):
            assert start.time() in (time(10), time(15, 30))
            in_file, real = (start.replace(tzinfo=tz).utcoffset() for tz in (stated[zone], ZoneInfo(zone)))
            assert in_file == real, start
            offsets.add(real)
    assert len(offsets) == 2


def test_each_change_of_the_clocks_is_stated_at_the_wall_time_before_it() -> None:
    text = file_of(wishes=TIMED, weeks=40).decode()
    assert "BEGIN:DAYLIGHT\r\nDTSTART:20260329T010000\r\n" in text
    assert "BEGIN:STANDARD\r\nDTSTART:20261025T020000\r\n" in text


def test_a_day_on_hold_is_not_shown_as_a_session() -> None:
    held = date(2026, 3, 9)
    for wishes in (TIMED, Wishes()):
        file = file_of(wishes=wishes, standing=Standing(held_on=(held, date(2026, 3, 11))))
        starts = starts_of(of_slot(file, "one", "monday"))
        assert len(starts) == 7
        assert all((one.date() if isinstance(one, datetime) else one) != held for one in starts)
        assert len(starts_of(of_slot(file, "two", "thursday"))) == 8


# Reminders


@pytest.mark.parametrize(
    ("wishes", "ahead"),
    [
        (Wishes(time(10), time(10), "half_hour"), timedelta(minutes=30)),
        (Wishes(time(10), time(10), "evening"), timedelta(hours=16)),
        (Wishes(reminder="evening"), timedelta(hours=6)),
    ],
)
def test_the_reminder_is_the_one_that_was_chosen(wishes: Wishes, ahead: timedelta) -> None:
    alarms = [alarm for event in events_of(file_of(wishes=wishes)) for alarm in event.walk("VALARM")]
    assert len(alarms) == 4
    assert {alarm["action"] for alarm in alarms} == {"DISPLAY"}
    assert {alarm.decoded("trigger") for alarm in alarms} == {-ahead}


@pytest.mark.parametrize("wishes", [Wishes(time(10), time(10)), Wishes(reminder="half_hour")])
def test_no_reminder_is_made_up(wishes: Wishes) -> None:
    assert b"VALARM" not in file_of(wishes=wishes)


# Changes


def test_a_changed_plan_updates_the_events_that_stay_and_calls_off_the_one_that_went() -> None:
    second = replace(PLAN, version=2, parts=(replace(ONE, days=("wednesday",)), replace(TWO, days=("saturday",))))
    before = {event["uid"]: event for event in events_of(file_of(wishes=TIMED))}
    later = MADE_AT + timedelta(days=20)
    file = file_of(second, changed_at=later, start_on=later.date(), wishes=TIMED, standing=Standing(earlier=(PLAN,)))
    after = {event["uid"]: event for event in events_of(file)}
    gone = {uid_of(PLAN.person_id, "one", "monday"), uid_of(PLAN.person_id, "two", "thursday")}
    assert set(before) <= set(after)
    assert {uid for uid, event in after.items() if event["status"] == "CANCELLED"} == gone
    assert all(after[uid]["sequence"] > before[uid]["sequence"] for uid in before)
    assert all(event.decoded("last-modified") == later for event in after.values())


def test_a_session_that_came_back_is_on_again() -> None:
    moved = replace(PLAN, version=2, parts=(replace(ONE, days=("wednesday",)), TWO))
    file = file_of(replace(PLAN, version=3), standing=Standing(earlier=(PLAN, moved)))
    assert of_slot(file, "one", "monday")["status"] == "CONFIRMED"
    assert of_slot(file, "one", "wednesday")["status"] == "CANCELLED"


def test_a_part_that_left_the_plan_needs_no_cue_sheet_to_be_called_off() -> None:
    only = replace(PLAN, version=2, parts=(ONE,))
    sheets = {key: sheet for key, sheet in SHEETS.items() if key != "two"}
    file = file_of(only, sheets=sheets, wishes=TIMED, standing=Standing(earlier=(PLAN,)))
    assert of_slot(file, "two", "thursday")["status"] == "CANCELLED"


def test_while_the_plan_is_on_hold_every_session_is_called_off_and_nothing_rings() -> None:
    file = file_of(wishes=TIMED, standing=Standing(paused=True))
    assert confirmed(file) == []
    assert b"VALARM" not in file
    assert {str(event["summary"]) for event in events_of(file)} == {"Exercise session: on hold", "Walk: on hold"}
    assert all("Ask your team" in event["description"] for event in events_of(file))


# Privacy


def test_a_calendar_says_no_more_than_session_and_walk_unless_more_is_chosen() -> None:
    text = unfolded(file_of(wishes=TIMED))
    assert {str(event["summary"]) for event in events_of(file_of())} == {"Exercise session", "Walk"}
    for private in ("Ada", "ada-1", "Tarn Valley", "heart", "http", SHEETS["one"].exercises[0].title, "shops"):
        assert private not in text
    assert text.count("CLASS:PRIVATE") == 4
    assert text.count("Stop if you feel unwell") == 4
    assert "999" not in text


def test_the_link_stands_in_the_calendar_only_when_it_is_chosen() -> None:
    file = file_of(wishes=Wishes(address="https://example.org/me/abc/"))
    assert {event["url"] for event in events_of(file)} == {"https://example.org/me/abc/"}
    assert "URL" not in unfolded(file_of())


def test_movements_doses_order_and_version_are_those_of_the_cue_sheet() -> None:
    lines = str(of_slot(file_of(wishes=Wishes(movements=True)), "one", "monday")["description"]).split("\n")
    told = [line for line in lines if re.match(r"\d+\. ", line)]
    sheet = SHEETS["one"]
    assert told == [f"{n}. {one.title}: {one.dose_text}. {one.load_text}." for n, one in enumerate(sheet.exercises, 1)]
    assert lines[-1] == sheet.plan_line


# Refusals


@pytest.mark.parametrize("weeks", [0, -1, 53])
def test_a_number_of_weeks_that_cannot_be_is_refused(weeks: int) -> None:
    with pytest.raises(HalewardError, match=f"{weeks} weeks cannot go into a calendar; choose 1 to 52"):
        file_of(weeks=weeks)


def test_two_parts_on_one_day_are_refused() -> None:
    both = replace(PLAN, parts=(ONE, replace(TWO, days=("monday",))))
    with pytest.raises(HalewardError, match="Part one and part two are both on Monday; give each part days"):
        file_of(both)


def test_an_unknown_time_zone_is_refused() -> None:
    with pytest.raises(HalewardError, match="'Atlantis/Main' is not a time zone"):
        file_of(wishes=TIMED, timezone="Atlantis/Main")


def test_a_part_without_its_cue_sheet_is_refused() -> None:
    with pytest.raises(HalewardError, match="no cue sheet for 'two'"):
        file_of(sheets={key: sheet for key, sheet in SHEETS.items() if key != "two"})


# What never happens

PROTOCOL = default_protocol()
POLICY = PROTOCOL.policies.dose
FACTS = facts_of(WELL, today=START)
HOURS = st.one_of(st.none(), st.times().map(lambda one: one.replace(second=0, microsecond=0)))
WISHES = st.builds(Wishes, HOURS, HOURS, st.sampled_from(["none", "evening", "half_hour"]), st.booleans())


@cache
def plan_for(days: frozenset[str], new: bool | None) -> Programme:
    """The week that the engine gives a person with these days; what is done on them does not matter here."""
    record = replace(WELL, exercise_days=tuple(day for day in WEEK if day in days), new_to_exercise=new)
    taken, _, _ = resistance_days(record, policy=POLICY)
    prescription = prescribe(WELL, protocol=PROTOCOL, library=LIBRARY, today=START)
    walking = walking_for(record, prescription, FACTS, taken=taken, protocol=PROTOCOL, library=LIBRARY)
    parts = tuple(Part(key, (day,), BALANCED) for key, day in zip(("one", "two"), taken, strict=False))
    return replace(PLAN, parts=parts, walking=walking)


PLANS = st.builds(plan_for, st.frozensets(st.sampled_from(WEEK)), st.sampled_from([True, False, None]))


def dates(event: Event) -> list[date]:
    return [one.date() if isinstance(one, datetime) else one for one in starts_of(event)]


@settings(max_examples=40, deadline=None)
@given(PLANS, WISHES, st.dates(date(2026, 1, 1), date(2030, 1, 1)))
def test_no_two_parts_meet_on_a_day_and_a_clear_day_stays_between_them(
    plan: Programme, wishes: Wishes, start_on: date
) -> None:
    file = file_of(plan, wishes=wishes, start_on=start_on, weeks=6)
    strength = {uid_of(plan.person_id, part.key, day) for part in plan.parts for day in part.days}
    days = sorted(day for event in confirmed(file) if event["uid"] in strength for day in dates(event))
    assert len(days) == 6 * len(strength)
    assert all((later - day).days >= 2 for day, later in pairwise(days))
    assert all(start_on <= day < start_on + timedelta(weeks=6) for day in days)


@settings(max_examples=40, deadline=None)
@given(st.lists(PLANS, min_size=1, max_size=4), st.data())
def test_over_any_row_of_versions_uids_stay_and_the_sequence_never_falls(
    plans: list[Programme], data: st.DataObject
) -> None:
    at, seen = MADE_AT, dict[str, int]()
    versions = tuple(replace(plan, version=number, signed_on=START) for number, plan in enumerate(plans, 1))
    for place, plan in enumerate(versions):
        at += timedelta(seconds=data.draw(st.integers(1, 10**6)))
        standing = Standing(earlier=versions[:place], paused=data.draw(st.booleans()))
        events = {str(event["uid"]): event for event in events_of(file_of(plan, changed_at=at, standing=standing))}
        assert set(seen) <= set(events), "an event that was sent once is never just forgotten"
        assert all(events[uid]["sequence"] > number for uid, number in seen.items())
        now = {uid_of(plan.person_id, WALK, day) for day in plan.walking.days}
        now |= {uid_of(plan.person_id, part.key, day) for part in plan.parts for day in part.days}
        standing_now = {uid for uid, event in events.items() if event["status"] == "CONFIRMED"}
        assert standing_now == (set() if standing.paused else now)
        seen = {uid: event["sequence"] for uid, event in events.items()}


@given(st.integers(0, 2 * 10**9), st.integers(0, 10**8))
def test_a_later_change_never_has_a_lower_number(since_2020_s: int, seconds: int) -> None:
    at = datetime(2020, 1, 1, tzinfo=UTC) + timedelta(seconds=since_2020_s)
    early, late = sequence_of(at), sequence_of(at + timedelta(seconds=seconds))
    assert 0 <= early <= late < 2**31


def test_a_walking_week_without_strength_days_is_a_calendar_too() -> None:
    plan = replace(PLAN, parts=(), walking=Walking(("sunday",), 1, 10, 0))
    (event,) = events_of(file_of(plan))
    assert {one.weekday() for one in dates(event)} == {6}


# Days away and little time


def test_a_session_left_out_is_no_session_of_the_calendar() -> None:
    weekday = PLAN.parts[0].days[0]
    usual = starts_of(of_slot(file_of(), ONE.key, weekday))
    changed = Standing(changes={(ONE.key, usual[1]): None})
    assert starts_of(of_slot(file_of(standing=changed), ONE.key, weekday)) == [usual[0], *usual[2:]]


@pytest.mark.parametrize("wishes", [Wishes(), TIMED])
def test_a_moved_session_stands_for_the_one_of_its_day(wishes: Wishes) -> None:
    weekday = PLAN.parts[0].days[0]
    planned = START + timedelta(days=(WEEK.index(weekday) - START.weekday()) % 7 + 7)
    to = planned + timedelta(days=1)
    file = file_of(wishes=wishes, standing=Standing(changes={(ONE.key, planned): to}))
    uid = uid_of(PLAN.person_id, ONE.key, weekday)
    series, moved = sorted((one for one in events_of(file) if one["uid"] == uid), key=lambda one: "rrule" not in one)
    days = [one.decoded("dtstart") for one in (series, moved)]
    assert type(days[0]) is type(days[1]) is type(moved.decoded("recurrence-id"))
    assert days[1] - moved.decoded("recurrence-id") == timedelta(days=1)
    assert "exdate" not in series
    assert moved["sequence"] == series["sequence"]
    assert str(moved["status"]) == "CONFIRMED"


def test_while_the_plan_is_on_hold_no_moved_session_comes_back() -> None:
    planned = START + timedelta(days=(WEEK.index(PLAN.parts[0].days[0]) - START.weekday()) % 7)
    there = Standing(changes={(ONE.key, planned): planned + timedelta(days=1)}, paused=True)
    assert not confirmed(file_of(standing=there))

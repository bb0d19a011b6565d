"""Opening times: read as typed, and nobody is said to be there when nobody is known to be."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haleward.errors import HalewardError
from haleward.safety.hours import EXAMPLE, Opening, due_by, next_opening, parse_openings, someone_reads
from haleward.safety.parts import CONCERN_LEVELS

TIMES = parse_openings(EXAMPLE)


def at(day, hour, minute=0):
    """A day of the week of Monday 23 November 2026."""
    return datetime(2026, 11, 23 + day, hour, minute, tzinfo=UTC)


def test_opening_times_are_read_as_typed():
    assert parse_openings("mon-fri 9:00-17:00") == tuple(Opening(day, 540, 1020) for day in range(5))
    assert parse_openings("tuesday 08:30 to 12.00") == (Opening(1, 510, 720),)
    assert parse_openings("") == ()


@pytest.mark.parametrize(
    "text", ["office hours", "monday 17:00-09:00", "friday to monday 09:00-17:00", "mo 9-5", "monday 09:00-25:00"]
)
def test_what_cannot_be_read_is_asked_about(text):
    with pytest.raises(HalewardError, match="Write them like"):
        parse_openings(text)


def test_someone_reads_only_within_the_opening_times():
    assert someone_reads(TIMES, at(0, 9))
    assert someone_reads(TIMES, at(0, 16, 59))
    assert not someone_reads(TIMES, at(0, 17))
    assert not someone_reads(TIMES, at(0, 8, 59))
    assert someone_reads(TIMES, at(5, 11, 59))
    assert not someone_reads(TIMES, at(6, 11))


def test_the_next_opening_is_told_in_words():
    assert next_opening(TIMES, at(0, 8)) == "09:00 on Monday"
    assert next_opening(TIMES, at(4, 18)) == "09:00 on Saturday"
    assert next_opening(TIMES, at(5, 13)) == "09:00 on Monday"


@given(st.datetimes())
def test_without_opening_times_nobody_is_said_to_read(moment):
    assert not someone_reads((), moment)
    assert next_opening((), moment) == ""


@pytest.mark.parametrize(
    ("level", "raised", "due"),
    [  # Monday is day 0; open Monday to Friday 9 to 17, Saturday 9 to 12
        ("emergency", at(0, 10), at(0, 10)),
        ("emergency", at(0, 22), at(1, 9)),
        ("emergency", at(0, 8), at(0, 9)),
        ("emergency", at(5, 13), at(7, 9)),
        ("same_day", at(0, 10), at(0, 17)),
        ("same_day", at(0, 7), at(0, 17)),
        ("same_day", at(0, 22), at(1, 9)),
        ("same_day", at(5, 12), at(7, 9)),
        ("next_working_day", at(0, 10), at(1, 17)),
        ("next_working_day", at(4, 22), at(5, 12)),
        ("next_working_day", at(5, 10), at(7, 17)),
        ("self_care", at(0, 10), None),
    ],
)
def test_how_soon_becomes_a_time_by_the_opening_times(level, raised, due):
    assert due_by(level, raised, TIMES) == due


def test_without_opening_times_the_day_itself_is_the_limit():
    assert due_by("emergency", at(0, 10), ()) == at(0, 10)
    assert due_by("same_day", at(4, 10), ()) == at(5, 0)
    assert due_by("next_working_day", at(4, 10), ()) == at(6, 0)


def test_a_time_is_on_the_clock_of_the_place_when_the_hour_changes():
    london = ZoneInfo("Europe/London")
    raised = datetime(2026, 3, 28, 13, tzinfo=london)  # a Saturday; the clock goes forward in the night
    assert due_by("same_day", raised, TIMES) == datetime(2026, 3, 30, 9, tzinfo=london)


@given(st.timedeltas(min_value=timedelta(0), max_value=timedelta(days=14)))
def test_the_more_urgent_is_never_due_later(after):
    moment = at(0, 0) + after
    emergency, today, next_day = (due_by(one, moment, TIMES) for one in CONCERN_LEVELS[:3])
    assert moment <= emergency <= today <= next_day

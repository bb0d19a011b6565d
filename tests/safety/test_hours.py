"""Opening times: read as typed, and nobody is said to be there when nobody is known to be."""

from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haleward.errors import HalewardError
from haleward.safety.hours import EXAMPLE, Opening, next_opening, parse_openings, someone_reads

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
    assert next_opening(TIMES, at(0, 8)) == "Monday at 09:00"
    assert next_opening(TIMES, at(4, 18)) == "Saturday at 09:00"
    assert next_opening(TIMES, at(5, 13)) == "Monday at 09:00"


@given(st.datetimes())
def test_without_opening_times_nobody_is_said_to_read(moment):
    assert not someone_reads((), moment)
    assert next_opening((), moment) == ""

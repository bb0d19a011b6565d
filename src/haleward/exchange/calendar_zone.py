"""A time zone as a calendar file states it (RFC 5545, VTIMEZONE): its offsets and changes over a stretch of days."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo, available_timezones

from icalendar import Timezone, TimezoneDaylight, TimezoneStandard

from haleward.errors import HalewardError

_HOUR = timedelta(hours=1)


def zone_named(name: str) -> ZoneInfo:
    """The zone of this name. Raises :class:`HalewardError` for a name that no time zone has."""
    if name not in available_timezones():
        raise HalewardError(f"{name!r} is not a time zone; write one such as Europe/London.")
    return ZoneInfo(name)


def zone_component(zone: ZoneInfo, *, first: date, last: date) -> Timezone:
    """The zone from ``first`` to ``last``: the offset it begins with, then every change, each at its own instant.

    A change is stated at the wall time before it, as the standard asks; its instant is found to the second.
    """
    start = datetime.combine(first, time(), UTC) - timedelta(days=1)
    end = datetime.combine(last, time(), UTC) + timedelta(days=2)
    component = Timezone()
    component.add("tzid", zone.key)
    component.add_component(_observance(zone, start, before=_offset(zone, start)))
    for instant in _changes(zone, start, end):
        component.add_component(_observance(zone, instant, before=_offset(zone, instant - timedelta(seconds=1))))
    return component


def _changes(zone: ZoneInfo, start: datetime, end: datetime) -> Iterator[datetime]:
    """The instants in UTC at which the offset changes; no zone in use changes twice within an hour."""
    at = start
    while at < end:
        if _offset(zone, at) != _offset(zone, at + _HOUR):
            low, high = 0, int(_HOUR.total_seconds())  # the offset is old at ``low`` and new at ``high``
            while high - low > 1:
                middle = (low + high) // 2
                if _offset(zone, at + timedelta(seconds=middle)) == _offset(zone, at):
                    low = middle
                else:
                    high = middle
            yield at + timedelta(seconds=high)
        at += _HOUR


def _observance(zone: ZoneInfo, instant: datetime, *, before: timedelta) -> TimezoneStandard | TimezoneDaylight:
    local = instant.astimezone(zone)
    part = TimezoneDaylight() if local.dst() else TimezoneStandard()
    part.add("dtstart", (instant + before).replace(tzinfo=None))
    part.add("tzname", local.tzname())
    part.add("tzoffsetfrom", before)
    part.add("tzoffsetto", _offset(zone, instant))
    return part


def _offset(zone: ZoneInfo, instant: datetime) -> timedelta:
    offset = instant.astimezone(zone).utcoffset()
    assert offset is not None  # a time in a zone has one
    return offset

"""When the team is there: opening times as typed by the service, and whether someone reads a message now."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import datetime, time, timedelta

from haleward.errors import HalewardError
from haleward.safety.parts import ConcernLevel

DAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
EXAMPLE = "monday to friday 09:00-17:00; saturday 09:00-12:00"
_PIECE = re.compile(r"([a-z]+)(?:\s*(?:to|-)\s*([a-z]+))?\s+(\d{1,2})[:.](\d{2})\s*(?:-|to)\s*(\d{1,2})[:.](\d{2})")


@dataclass(frozen=True)
class Opening:
    """One time of one weekday (0 is Monday) in minutes of the day, the end not included."""

    weekday: int
    from_minute: int
    to_minute: int


def parse_openings(text: str) -> tuple[Opening, ...]:
    """The opening times in words like the example; raises :class:`HalewardError` for what cannot be read."""
    found: list[Opening] = []
    for piece in filter(None, (part.strip().lower() for part in text.split(";"))):
        match = _PIECE.fullmatch(piece)
        first = _day(match[1]) if match else None
        last = (_day(match[2]) if match[2] else first) if match else None
        if match is None or first is None or last is None or last < first:
            raise HalewardError(f'Opening times: "{piece}" cannot be read. Write them like {EXAMPLE}.')
        start, end = int(match[3]) * 60 + int(match[4]), int(match[5]) * 60 + int(match[6])
        if not 0 <= start < end <= 24 * 60:
            raise HalewardError(
                f'Opening times: in "{piece}" the end is not after the start. Write them like {EXAMPLE}.'
            )
        found += [Opening(day, start, end) for day in range(first, last + 1)]
    return tuple(sorted(found, key=lambda one: (one.weekday, one.from_minute)))


def someone_reads(openings: tuple[Opening, ...], moment: datetime) -> bool:
    """Whether the team is there at this local time. Without opening times nobody is known to be there."""
    minute = moment.hour * 60 + moment.minute
    return any(one.weekday == moment.weekday() and one.from_minute <= minute < one.to_minute for one in openings)


def next_opening(openings: tuple[Opening, ...], moment: datetime) -> str:
    """The next time the team opens after this local time, in words ("09:00 on Monday"); "" without opening times."""
    for ahead in range(8):
        day = moment + timedelta(days=ahead)
        now = moment.hour * 60 + moment.minute if ahead == 0 else -1
        for one in openings:
            if one.weekday == day.weekday() and one.from_minute > now:
                return f"{one.from_minute // 60:02d}:{one.from_minute % 60:02d} on {DAYS[one.weekday].capitalize()}"
    return ""


def due_by(level: ConcernLevel, raised_at: datetime, openings: tuple[Opening, ...]) -> datetime | None:
    """When someone of the team must have looked at a concern that was raised at this local time.

    An emergency at once, or first thing when the team opens again. "Today" means by the end of the opening in which or
    before which it was raised, and first thing at the next opening when the day is over. "Next working day" means by
    the end of the next day on which the team opens. ``None`` for what is only told. Without opening times nothing is
    known of working days: then by the end of the same day, and of the next one.
    """
    if level == "self_care":
        return None
    if not openings:
        if level == "emergency":
            return raised_at
        return _at(raised_at, 1 if level == "same_day" else 2, 0)
    if level == "next_working_day":
        return next(
            _at(raised_at, ahead, max(one.to_minute for one in there))
            for ahead in range(1, 8)
            if (there := _on(openings, raised_at, ahead))
        )
    if level == "emergency" and someone_reads(openings, raised_at):
        return raised_at
    minute = raised_at.hour * 60 + raised_at.minute
    left = [one for one in _on(openings, raised_at, 0) if one.to_minute > minute]
    if level == "same_day" and left:
        return _at(raised_at, 0, max(one.to_minute for one in left))
    if left:
        return _at(raised_at, 0, min(one.from_minute for one in left))
    return next(
        _at(raised_at, ahead, min(one.from_minute for one in there))
        for ahead in range(1, 8)
        if (there := _on(openings, raised_at, ahead))
    )


def _on(openings: tuple[Opening, ...], moment: datetime, ahead: int) -> list[Opening]:
    weekday = (moment.weekday() + ahead) % 7
    return [one for one in openings if one.weekday == weekday]


def _at(moment: datetime, ahead: int, minute: int) -> datetime:
    """So many days ahead at a minute of that day, on the clock of the place also when the hour changes between."""
    day = moment.date() + timedelta(days=ahead)
    start = datetime.combine(day, time(), tzinfo=moment.tzinfo)
    return start + timedelta(minutes=minute)


def _day(word: str) -> int | None:
    found = [number for number, name in enumerate(DAYS) if len(word) >= 3 and name.startswith(word)]
    return found[0] if found else None

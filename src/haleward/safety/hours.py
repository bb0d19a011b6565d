"""When the team is there: opening times as typed by the service, and whether someone reads a message now."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import datetime, timedelta

from haleward.errors import HalewardError

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
    """The next time the team opens after this local time, in words ("Monday at 09:00"); "" without opening times."""
    for ahead in range(8):
        day = moment + timedelta(days=ahead)
        now = moment.hour * 60 + moment.minute if ahead == 0 else -1
        for one in openings:
            if one.weekday == day.weekday() and one.from_minute > now:
                return f"{DAYS[one.weekday].capitalize()} at {one.from_minute // 60:02d}:{one.from_minute % 60:02d}"
    return ""


def _day(word: str) -> int | None:
    found = [number for number, name in enumerate(DAYS) if len(word) >= 3 and name.startswith(word)]
    return found[0] if found else None

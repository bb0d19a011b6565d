"""Logs of sessions for tests."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, time, timedelta
from typing import Any

from haleward.dose.log import SessionLog, SetLog
from haleward.dose.model import Part, Programme
from tests.dose.people import TODAY


def done(
    programme: Programme,
    *,
    days_ago: int,
    part_key: str = "one",
    effort: float | None = 3,
    **changes: Any,
) -> SessionLog:
    """A session of one part done as planned, every set at the same effort; ``changes`` replace fields of the log."""
    part = part_of(programme, part_key)
    sets = tuple(
        SetLog(exercise.movement_id, index, number, exercise.dose.repetitions, effort)
        for index, exercise in enumerate(part.exercises)
        for number in range(1, exercise.dose.sets + 1)
    )
    started_at = datetime.combine(TODAY - timedelta(days=days_ago), time(10))
    log = SessionLog(f"{part_key}-{programme.version}-{days_ago}", programme.version, part_key, started_at, sets=sets)
    return replace(log, **changes)


def part_of(programme: Programme, part_key: str) -> Part:
    """The part with that key."""
    return next(part for part in programme.parts if part.key == part_key)


def with_set(log: SessionLog, index: int, **changes: Any) -> SessionLog:
    """The log with one of its sets changed."""
    sets = list(log.sets)
    sets[index] = replace(sets[index], **changes)
    return replace(log, sets=tuple(sets))

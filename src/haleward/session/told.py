"""A session told afterwards, as an entry of the log: by staff from paper, or on a page without scripts."""

from __future__ import annotations

from datetime import date, datetime, time
from typing import Any, Literal
from uuid import UUID

from haleward.dose.log import WALK
from haleward.dose.model import Exercise, Programme, Walking

Told = Literal["as_planned", "part", "not_done"]
NOON = time(12)


def report_entry(
    *,
    entry_id: UUID,
    session_id: UUID,
    plan_version: int,
    part_key: str,
    on: date,
    outcome: Told,
    now: datetime,
    sets: list[dict[str, Any]],
    whole_effort: float | None = None,
    heart_rate_bpm: int | None = None,
) -> dict[str, Any]:
    """The entry. ``now`` is the local moment of telling; what is told of another day carries noon of that day."""
    late = on != now.date()
    at = datetime.combine(on, NOON, now.tzinfo) if late else now
    data = {
        "session_id": str(session_id),
        "sheet_id": "told",
        "plan_version": plan_version,
        "part_key": part_key,
        "on": on.isoformat(),
        "outcome": outcome,
        "entered_at": now.isoformat(),
        "back_dated": late,
        "sets": sets,
        "whole_effort": whole_effort,
        "heart_rate_bpm": heart_rate_bpm,
    }
    return {"entry_id": str(entry_id), "kind": "report", "at": at.isoformat(), "data": data}


def planned_sets(
    programme: Programme, part_key: str, *, exercises: tuple[int, ...] = (), minutes: float | None = None
) -> list[dict[str, Any]]:
    """The sets that "as planned" stands for: of these movements (all without any), or a walk of so many minutes."""
    if part_key == WALK:
        whole = programme.walking.bouts * programme.walking.bout_minutes
        return walked_sets(programme.walking, whole if minutes is None else minutes)
    part = next(part for part in programme.parts if part.key == part_key)
    places = exercises or tuple(range(len(part.exercises)))
    return [one for place in places for one in _sets_of(part.exercises[place], place)]


def walked_sets(walking: Walking, minutes: float) -> list[dict[str, Any]]:
    """A walk of so many minutes in the bouts of the plan; what is over goes into the last."""
    sets: list[dict[str, Any]] = []
    left = minutes
    while left > 0 and len(sets) < walking.bouts:
        last = len(sets) + 1 == walking.bouts
        walked = left if last else min(left, walking.bout_minutes)
        about = {"exercise_index": 0, "movement_id": walking.movement_id, "set_number": len(sets) + 1}
        sets.append(about | {"minutes": walked})
        left -= walked
    return sets


def _sets_of(exercise: Exercise, place: int) -> list[dict[str, Any]]:
    about = {"exercise_index": place, "movement_id": exercise.movement_id}
    return [
        about | {"set_number": number + 1, "repetitions": exercise.dose.repetitions}
        for number in range(exercise.dose.sets)
    ]

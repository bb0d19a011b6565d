"""A session log as staff read it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from haleward.dose.log import SessionLog, SetLog
from haleward.web.assessment.titles import movement_title
from haleward.web.people.models import Person
from haleward.web.prescription.signing import programme_of

ORIGINS = {
    "person": "self-reported",
    "carer": "reported by a carer",
    "paper": "self-reported on paper",
    "staff": "seen by staff",
    "recording": "from a recording",
}
FEELINGS = {"": "", "too_hard": "too hard", "too_easy": "too easy", "skipped": "skipped"}


@dataclass(frozen=True)
class SetLine:
    """One set in words; a blank is "not given", never zero."""

    title: str
    set_number: int
    repetitions: str
    effort: str
    feel: str


@dataclass(frozen=True)
class ReadableSession:
    """One session in words."""

    started_at: datetime
    heading: str
    state: str
    origin: str
    symptoms: tuple[str, ...]
    sets: tuple[SetLine, ...]
    whole_effort: str


Titles = Mapping[tuple[int, str], str]


def titles_of(person: Person) -> Titles:
    """Each movement's title in the posture it had, by plan version and movement."""
    return {
        (row.version, exercise.movement_id): movement_title(exercise.movement_id, exercise.posture)
        for row in person.programmes.filter(signed_at__isnull=False)
        for part in programme_of(row).parts
        for exercise in part.exercises
    }


def readable_session(log: SessionLog, titles: Titles) -> ReadableSession:
    """Words for one log; a movement carries the title it had in the plan that was followed."""
    if log.stopped_by_check:
        state = "not started: the check before it said stop"
    elif log.symptoms:
        state = "stopped"
    elif log.ended_at:
        state = "finished"
    else:
        state = "not finished"
    return ReadableSession(
        started_at=log.started_at,
        heading=f"Part {log.part_key}, plan {log.plan_version}",
        state=state,
        origin=ORIGINS[log.origin],
        symptoms=log.symptoms,
        sets=tuple(_line(item, titles.get((log.plan_version, item.movement_id), "")) for item in log.sets),
        whole_effort=_effort(log.whole_effort),
    )


def _line(item: SetLog, title: str) -> SetLine:
    return SetLine(
        title=title or movement_title(item.movement_id),
        set_number=item.set_number,
        repetitions="not given" if item.repetitions is None else str(item.repetitions),
        effort=_effort(item.effort),
        feel=FEELINGS[item.feel],
    )


def _effort(value: float | None) -> str:
    return "not given" if value is None else f"{value:g}"

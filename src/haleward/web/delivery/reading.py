"""A session log as staff read it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime

from django.utils import timezone

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
    notes: tuple[str, ...] = ()


TOLD = {"as_planned": "done as planned", "part": "part done", "not_done": "not done"}
LOADS = {"": "", "lighter": "lighter load", "heavier": "heavier load"}
Titles = Mapping[tuple[int, str], str]


def titles_of(person: Person) -> Titles:
    """Each movement's title in the posture it had, by plan version and movement."""
    return {
        (row.version, exercise.movement_id): movement_title(exercise.movement_id, exercise.posture)
        for row in person.programmes.filter(signed_at__isnull=False)
        for part in programme_of(row).parts
        for exercise in part.exercises
    }


def readable_session(log: SessionLog, titles: Titles, clock: datetime | None = None) -> ReadableSession:
    """Words for one log; a movement carries the title it had in the plan that was followed.

    ``clock`` is what the clock of the device said, where it was off.
    """
    if log.stopped_by_check:
        state = "not started: the check before it said stop"
    elif log.outside:
        state = "felt unwell"
    elif log.symptoms:
        state = "stopped"
    elif log.outcome:
        state = TOLD[log.outcome]
    elif log.ended_at:
        state = "finished"
    else:
        state = "not finished"
    return ReadableSession(
        started_at=log.started_at,
        heading="Outside a session" if log.outside else f"Part {log.part_key}, plan {log.plan_version}",
        state=state,
        origin=ORIGINS[log.origin],
        symptoms=log.symptoms,
        sets=tuple(_line(item, titles.get((log.plan_version, item.movement_id), "")) for item in log.sets),
        whole_effort=_effort(log.whole_effort),
        notes=tuple(_notes(log, clock)),
    )


def clocks_of(person: Person) -> dict[str, datetime]:
    """By session: what the clock of a device said first, where it was off. Both times are kept."""
    rows = person.log_entries.exclude(clock_off_s=None).order_by("-happened_at")
    return {str(row.session_id): row.happened_at for row in rows}


def _notes(log: SessionLog, clock: datetime | None) -> Iterator[str]:
    if log.back_dated:
        yield "Added on a later day; the time of day is not known."
    if log.reason:
        yield f"Reason given: {log.reason.replace('_', ' ')}."
    if log.sore_days is not None:
        where = ", ".join(place.replace("_", " ") for place in log.sore_places) or "place not given"
        yield f"Sore for {log.sore_days:g} days: {where}."
    if log.heart_rate_bpm is not None:
        yield f"Heart rate at the end: {log.heart_rate_bpm:g} beats a minute, {ORIGINS[log.origin]}."
    if clock is not None:
        yield f"The clock of the device was off: it said {timezone.localtime(clock):%-d %B %Y, %H:%M}."


def _line(item: SetLog, title: str) -> SetLine:
    return SetLine(
        title=title or movement_title(item.movement_id),
        set_number=item.set_number,
        repetitions=_amount(item),
        effort=_effort(item.effort),
        feel=", ".join(filter(None, (FEELINGS[item.feel], _hard(item), LOADS[item.load_change]))),
    )


def _amount(item: SetLog) -> str:
    if item.minutes is not None:
        return f"{item.minutes:g} min"
    return "not given" if item.repetitions is None else str(item.repetitions)


def _hard(item: SetLog) -> str:
    return "" if item.hard_at is None else f"hard at number {item.hard_at}"


def _effort(value: float | None) -> str:
    return "not given" if value is None else f"{value:g}"

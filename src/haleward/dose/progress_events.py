"""What happened besides the sessions, each with its day: an illness, a changed medicine, a new restriction.

Which of them takes a dose one step back is the protocol's rule. The step is asked for once: it lapses when the dose
has changed since, or when enough sessions since went well at the present dose.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

from haleward.dose.cautions import Allowance, under_restriction
from haleward.dose.evidence import Evidence, LineEvidence, hard_sessions
from haleward.dose.log import SessionLog
from haleward.dose.model import Exercise
from haleward.dose.words import listed, words
from haleward.movement.library import Library
from haleward.movement.model import Movement
from haleward.record import Record, Restriction
from haleward.safety.policy import Policies

Signal = Literal["ill", "medicine", "restricted"]
_CODE: dict[Signal, str] = {"ill": "illness", "medicine": "medicine", "restricted": "restriction"}


@dataclass(frozen=True)
class Event:
    """Something that takes a dose one step back, the day of it, and the sentence that says so."""

    signal: Signal
    on: date
    text: str


def medicine_changed_on(record: Record, *, policies: Policies, today: date) -> date | None:
    """The last day on which a medicine that changes the pulse was changed or ended, up to today, if known."""
    classes = policies.intensity.epoch_medicines
    began = [m.since for m in record.medicines or () if m.drug_class in classes and m.since is not None]
    ended = [m.ended_by for m in record.former_medicines if m.drug_class in classes]
    return max((day for day in (*began, *ended) if day <= today), default=None)


def events_for(
    exercise: Exercise | None,
    line: LineEvidence,
    evidence: Evidence,
    record: Record,
    *,
    policies: Policies,
    library: Library,
) -> tuple[Event, ...]:
    """The events that still ask for a step back of one line; ``exercise`` is ``None`` for walking."""
    asked = policies.progression.step_back_after or ()
    found = (
        _illness(line, evidence, policies),
        _medicine(record, evidence.today, policies),
        _restriction(exercise, record, evidence.today, policies, library),
    )
    return tuple(
        event
        for event in found
        if event is not None
        and _CODE[event.signal] in asked
        and (event.signal == "ill" or event.on > line.since_day)
        and not _went_well(line, event.on, evidence, policies)
    )


def _illness(line: LineEvidence, evidence: Evidence, policies: Policies) -> Event | None:
    topics = policies.progression.illness_topics or ()
    logs = [log for log in evidence.logs if log.plan_version >= line.since_version and set(log.symptoms) & set(topics)]
    if not logs:
        return None
    day = logs[-1].started_at.date()
    return Event("ill", day, words("prog_down_ill", topic=listed(logs[-1].symptoms), date=day))


def _medicine(record: Record, today: date, policies: Policies) -> Event | None:
    day = medicine_changed_on(record, policies=policies, today=today)
    return None if day is None else Event("medicine", day, words("prog_down_medicine", date=day))


def _restriction(
    exercise: Exercise | None, record: Record, today: date, policies: Policies, library: Library
) -> Event | None:
    if exercise is None or exercise.movement_id not in library.movements:
        return None
    movement = library.movement(exercise.movement_id)
    light_kg = policies.dose.light_load_most_kg
    there = [
        r
        for r in record.restrictions
        if r.start_on <= today
        and (r.released_on is None or r.released_on > today)
        and _concerns(movement, exercise, r, light_kg)
    ]
    if not there:
        return None
    newest = max(there, key=lambda r: r.start_on)
    text = words("prog_down_restriction", shown=newest.shown, author=newest.author, date=newest.start_on)
    return Event("restricted", newest.start_on, text)


def _concerns(movement: Movement, exercise: Exercise, restriction: Restriction, light_kg: float) -> bool:
    """Whether a restriction leaves less than all of a movement; one that no rule can apply concerns every movement."""
    if restriction.kind == "other":
        return True
    form = movement.postures.get(exercise.posture)
    free = Allowance(allowed=True)
    return form is None or under_restriction(movement, form, restriction, light_load_most_kg=light_kg) != free


def _went_well(line: LineEvidence, day: date, evidence: Evidence, policies: Policies) -> bool:
    after = tuple(log for log in line.sessions if log.started_at.date() > day)
    well = [log for log in after if not _hard(log, evidence) and not log.symptoms]
    return len(well) >= policies.progression.sessions_needed


def _hard(log: SessionLog, evidence: Evidence) -> bool:
    return any(
        hard_sessions(
            (log,),
            exercise_index=s.exercise_index,
            movement_id=s.movement_id,
            effort_high=evidence.programme.effort_high,
        )
        for s in log.sets
    )

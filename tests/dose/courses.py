"""Invented people over ten weeks, taken through the real engine by a lead who follows the rules.

Each person has a true strength for every movement and a true walking stamina, which grow (tests/dose/truth.py). What
they report follows from that truth: honestly, or by poor raters with a bias, wide scatter and blanks. They miss
sessions, go away, fall ill, have symptoms and changed medicines, on the same days whatever the programme. Staff watch
every second session. The lead reviews after every strength session, and once a fortnight in any case, and takes what
is proposed: all raises of one review together.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from datetime import date, datetime, time, timedelta
from functools import cache, partial
from math import exp
from random import Random

from haleward.dose.loads import as_mass_kg
from haleward.dose.log import WALK, Feel, SessionLog, SetLog
from haleward.dose.model import Exercise, Programme, Walking
from haleward.dose.options import Options, options_for
from haleward.dose.prescription import prescribe
from haleward.dose.programme import check_programme, draft_programme
from haleward.dose.progression import accept, propose
from haleward.dose.week import WEEK
from haleward.movement.library import default_library
from haleward.record import HeartRate, Kit, Medicine, Record
from haleward.safety.protocol import Protocol, default_protocol
from tests.dose.course_faults import faults_of
from tests.dose.crowd import crowd
from tests.dose.people import HOME, TODAY
from tests.dose.truth import (
    HARD_EFFORT,
    Person,
    at_start,
    ladder_of,
    nearest,
    reported,
    true_effort,
    true_rung,
    walking_effort,
    with_load,
)

PROTOCOL, LIBRARY = default_protocol(), default_library()
SYMPTOMS = ("chest discomfort", "dizziness", "breathlessness")
KITS: tuple[Kit, ...] = (
    HOME,
    replace(HOME, bottle_pairs_kg=(0.5, 1.0, 2.0)),
    replace(HOME, hand_weight_pairs_kg=(0.5, 1.0, 1.5, 2.0, 3.0), ankle_weight_pairs_kg=(0.5, 1.0, 1.5)),
    replace(HOME, hand_weight_pairs_kg=(1.0, 2.0, 4.0)),
)


@dataclass(frozen=True)
class Point:
    """How many rungs the engine's dose, and a fixed one, stand over (or under, if negative) the truth in one week."""

    person: int
    movement_id: str
    week: int
    rungs: int
    fixed_rungs: int


@dataclass
class Course:
    """What happened to one person."""

    points: list[Point] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)
    kinds: dict[str, int] = field(default_factory=dict)
    rules: dict[str, int] = field(default_factory=dict)
    minutes: list[int] = field(default_factory=list)  # of walking planned, week by week
    honest: bool = True  # in rating effort
    sets: int = 0
    hard_sets: int = 0  # truly over HARD_EFFORT
    fixed_hard_sets: int = 0  # the same sets under the programme that is the same for all
    started: bool = False


def people(count: int, *, seed: int) -> list[Person]:
    """``count`` people, the same for the same seed; three in four rate their effort honestly."""
    found = []
    for number, subject in enumerate(crowd(count, seed=seed)):
        random = Random(f"{seed}/{number}")
        start = random.randint(7, 60)
        away = range(start, start + random.randint(9, 35)) if random.random() < 0.35 else range(0)
        record = replace(subject.record, kit=random.choice(KITS), resting_heart_rate=HeartRate(68.0, TODAY))
        found.append(
            Person(
                record=record,
                random=random,
                honest=random.random() < 0.75,
                adherence=random.choice((0.5, 0.7, 0.85, 0.95, 1.0)),
                strength=exp(random.gauss(0.15, 0.3)),
                stamina=random.uniform(10, 45),
                growth=random.uniform(0.0, 0.03),
                away=away,
            )
        )
    return found


def run(
    people_: list[Person], *, weeks: int = 10, fixed_kg: float = 1.0, protocol: Protocol = PROTOCOL
) -> Iterator[Course]:
    """The course of each person. ``fixed_kg`` is the load of the programme that is the same for all."""
    for number, person in enumerate(people_):
        yield _course(number, person, weeks, fixed_kg, protocol)


def _course(number: int, person: Person, weeks: int, fixed_kg: float, protocol: Protocol) -> Course:
    course, today = Course(honest=person.honest), TODAY
    prescription = prescribe(person.record, protocol=PROTOCOL, library=LIBRARY, today=today)
    plan = draft_programme(person.record, prescription, protocol=PROTOCOL, library=LIBRARY, today=today, version=1)
    if prescription.gate.outcome == "not_today" or check_programme(
        plan, person.record, prescription, protocol=PROTOCOL, library=LIBRARY
    ):
        return course
    course.started = True
    earlier: tuple[Programme, ...] = ()
    options = _options(person.record, plan, today)
    for day in range(7 * weeks):
        today = TODAY + timedelta(days=day)
        if day % 7 == 0:
            options = _options(person.record, plan, today)
            course.points += _points(number, person, plan, options, day // 7, fixed_kg)
            course.minutes.append(plan.walking.bouts * plan.walking.bout_minutes * len(plan.walking.days))
        _happen(person, today)
        same_for_all = cache(partial(_same_for_all, options=options, fixed_kg=fixed_kg))
        trained = _train(person, plan, course, day, today, same_for_all)
        if trained or day % 14 == 13:
            plan, earlier = _reviewed(person, plan, earlier, course, today, protocol)
    return course


def _options(record: Record, plan: Programme, today: date) -> Options:
    prescription = prescribe(record, protocol=PROTOCOL, library=LIBRARY, today=today)
    return options_for(record, prescription, protocol=PROTOCOL, library=LIBRARY, only=plan.movement_ids)


def _happen(person: Person, today: date) -> None:
    """The pulse is counted again in time, a medicine changes now and then, a nurse closes what was reported."""
    random, record = person.random, person.record
    reading = record.resting_heart_rate
    if reading is not None and (today - reading.taken_on).days > 26 and random.random() < 0.5:
        record = replace(record, resting_heart_rate=HeartRate(reading.bpm, today))
    if random.random() < 0.003:
        changed = Medicine("beta_blocker", "bisoprolol", "5 mg", today)
        others = tuple(m for m in record.medicines or () if m.drug_class != "beta_blocker")
        record = replace(record, medicines=(*others, changed))
    epoch = [m.since for m in record.medicines or () if m.drug_class == "beta_blocker" and m.since]
    if reading is not None and epoch and max(epoch) > reading.taken_on and random.random() < 0.2:
        record = replace(record, resting_heart_rate=HeartRate(reading.bpm - 6, today))
    person.record = record
    for log in person.logs:
        if (log.symptoms or (log.sore_days or 0) > 3) and log.session_id not in person.settled:
            person.settled[log.session_id] = today + timedelta(days=random.randint(1, 10))


def _train(
    person: Person, plan: Programme, course: Course, day: int, today: date, same_for_all: Callable[[Exercise], Exercise]
) -> bool:
    """The sessions of one day; whether a strength session was done, so that the lead reviews."""
    name, random = WEEK[today.weekday()], person.random
    if day in person.away:
        return False
    review = False
    for part in plan.parts:
        if name in part.days and random.random() < person.adherence:
            exercises = [(e, same_for_all(e)) for e in part.exercises]
            sets = tuple(s for i, (e, same) in enumerate(exercises) for s in _sets(person, i, e, same, course, today))
            person.logs.append(_session(person, plan, part.key, sets, today))
            review = True
    if name in plan.walking.days and random.random() < person.adherence:
        person.logs.append(_session(person, plan, WALK, _bouts(person, plan.walking, today), today))
    grown = 1 + person.growth / 7
    person.strength, person.stamina = person.strength * grown, person.stamina * grown
    return review


def _session(person: Person, plan: Programme, part_key: str, sets: tuple[SetLog, ...], today: date) -> SessionLog:
    random = person.random
    unwell = ("fever or feeling ill",) if random.random() < 0.005 else ()
    symptoms = (random.choice(SYMPTOMS),) if random.random() < 0.008 else unwell
    stopped = random.random() < 0.015
    return SessionLog(
        session_id=f"{part_key}-{today.isoformat()}",
        plan_version=plan.version,
        part_key=part_key,
        started_at=datetime.combine(today, time(10)),
        origin="staff" if random.random() < 0.5 else "person",
        sets=() if stopped else sets,
        symptoms=symptoms,
        stopped_by_check=stopped,
        sore_days=random.choice((None, 0, 0, 1, 2, 3)) if random.random() > 0.02 else 5,
    )


def _sets(
    person: Person, index: int, exercise: Exercise, fixed: Exercise, course: Course, today: date
) -> Iterator[SetLog]:
    truth, same_for_all = true_effort(person, exercise), true_effort(person, fixed)
    for number in range(1, exercise.dose.sets + 1):
        random = Random(f"{person.record.person_id}/{today}/{exercise.movement_id}/{number}")
        course.sets += 1
        course.hard_sets += truth > HARD_EFFORT
        course.fixed_hard_sets += same_for_all > HARD_EFFORT
        repetitions = exercise.dose.repetitions
        done = repetitions if truth < 8 or exercise.dose.hold_s else int(8 * repetitions / truth)
        feel: Feel = "too_hard" if truth > 7.5 and random.random() < 0.7 else ""
        yield SetLog(exercise.movement_id, index, number, done, reported(truth, random, honest=person.honest), feel)


def _bouts(person: Person, walking: Walking, today: date) -> tuple[SetLog, ...]:
    truth = walking_effort(person, walking)
    random = Random(f"{person.record.person_id}/{today}/walk")
    return tuple(
        SetLog(walking.movement_id, 0, number, None, reported(truth, random, honest=person.honest))
        for number in range(1, walking.bouts + 1)
    )


def _reviewed(
    person: Person, plan: Programme, earlier: tuple[Programme, ...], course: Course, today: date, protocol: Protocol
) -> tuple[Programme, tuple[Programme, ...]]:
    """The lead takes every step down, swap and step back, or the one raise; nothing while the gate says not today."""
    for _ in range(12):
        settled = {session_id for session_id, on in person.settled.items() if on <= today}
        logs, record = tuple(person.logs), person.record
        found = propose(
            plan, logs, record, protocol=protocol, library=LIBRARY, today=today, earlier=earlier, settled=settled
        )
        prescription = prescribe(record, protocol=PROTOCOL, library=LIBRARY, today=today)
        chosen = next((one for one in found if one.changes), None)
        raises = [one for one in found if one.kind.startswith("raise_")]
        course.faults += [
            f"{record.person_id}, {today}: {fault}"
            for fault in faults_of(found, plan, logs, prescription, settled=settled, protocol=protocol)
        ]
        if chosen is None or prescription.gate.outcome == "not_today":
            for one in found:
                course.rules[one.rule_id] = course.rules.get(one.rule_id, 0) + 1
            return plan, earlier
        after = plan
        for one in raises or (chosen,):
            course.kinds[one.kind] = course.kinds.get(one.kind, 0) + 1
            after = accept(replace(after, version=plan.version), one, version=plan.version + 1, made_on=today)
        against = check_programme(after, record, prescription, protocol=PROTOCOL, library=LIBRARY)
        if against:  # what stood against the plan before the change is not the change's fault
            before = check_programme(plan, record, prescription, protocol=PROTOCOL, library=LIBRARY)
            course.faults += [f"{record.person_id}, {today}: {one}" for one in against if one not in before]
        earlier, plan = (plan, *earlier), replace(after, signed_by="lead", signed_on=today)
    course.faults.append(f"{person.record.person_id}, {today}: twelve changes in one review")
    return plan, earlier


def _points(
    number: int, person: Person, plan: Programme, options: Options, week: int, fixed_kg: float
) -> Iterator[Point]:
    """Every line that can be loaded, with its distance from the true rung in rungs."""
    for exercise in (e for part in plan.parts for e in part.exercises):
        ladder = ladder_of(exercise, options)
        if len(ladder) < 2:
            continue
        off = nearest(ladder, as_mass_kg(exercise.dose.load)) - true_rung(person, exercise, ladder)
        same = nearest(ladder, fixed_kg) - true_rung(person, at_start(exercise), ladder)
        yield Point(number, exercise.movement_id, week, off, same)


def _same_for_all(exercise: Exercise, options: Options, fixed_kg: float) -> Exercise:
    ladder = ladder_of(exercise, options)
    return with_load(at_start(exercise), ladder[nearest(ladder, fixed_kg)]) if ladder else at_start(exercise)


def weeks_until_near(points: list[Point], *, within: int, fixed: bool = False) -> list[int | None]:
    """For every line the first week from which it stays within so many rungs of the truth; ``None`` for never."""
    lines: dict[tuple[int, str], list[Point]] = {}
    for point in points:
        lines.setdefault((point.person, point.movement_id), []).append(point)
    found: list[int | None] = []
    for line in lines.values():
        near = [abs(p.fixed_rungs if fixed else p.rungs) <= within for p in sorted(line, key=lambda p: p.week)]
        start = next((i for i in range(len(near)) if all(near[i:])), None)
        found.append(start)
    return found


__all__ = ["Course", "Person", "Point", "people", "run", "true_effort", "weeks_until_near"]

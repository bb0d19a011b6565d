"""Invented people over ten weeks, taken through the real engine by a lead who follows the rules.

Each person has a true strength for every movement and a true walking stamina, which grow with training. What they
report follows from that truth: honestly, or by poor raters with a bias, wide scatter and blanks. They miss sessions,
go away, fall ill, have symptoms and changed medicines. The lead reviews after every strength session, and
once a fortnight in any case, and takes what is proposed.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from datetime import date, datetime, time, timedelta
from math import exp
from random import Random

from haleward.dose.loads import as_mass_kg
from haleward.dose.log import WALK, SessionLog, SetLog
from haleward.dose.model import Dose, Exercise, Load, Programme, Walking
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

PROTOCOL, LIBRARY = default_protocol(), default_library()
LIMB_KG = 2.0  # what the limb itself weighs in the invented truth
RIGHT_EFFORT = 4.0  # effort of the true load at 2 sets of 10
SYMPTOMS = ("chest discomfort", "dizziness", "breathlessness")
KITS: tuple[Kit, ...] = (
    HOME,
    replace(HOME, bottle_pairs_kg=(0.5, 1.0, 2.0)),
    replace(HOME, hand_weight_pairs_kg=(0.5, 1.0, 1.5, 2.0, 3.0), ankle_weight_pairs_kg=(0.5, 1.0, 1.5)),
    replace(HOME, hand_weight_pairs_kg=(1.0, 2.0, 4.0)),
)


@dataclass
class Person:
    """One invented person: the record, the truth, and how they behave."""

    record: Record
    random: Random
    honest: bool
    adherence: float
    strength: float
    stamina: float  # minutes of walking that feel like effort 3
    growth: float  # of strength and stamina, a week
    away: range  # days of the course
    logs: list[SessionLog] = field(default_factory=list)
    settled: dict[str, date] = field(default_factory=dict)


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
    hard_sets: int = 0
    sets: int = 0
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
    course, today = Course(), TODAY
    prescription = prescribe(person.record, protocol=PROTOCOL, library=LIBRARY, today=today)
    plan = draft_programme(person.record, prescription, protocol=PROTOCOL, library=LIBRARY, today=today, version=1)
    if prescription.gate.outcome == "not_today" or check_programme(
        plan, person.record, prescription, protocol=PROTOCOL, library=LIBRARY
    ):
        return course
    course.started = True
    earlier: tuple[Programme, ...] = ()
    for day in range(7 * weeks):
        today = TODAY + timedelta(days=day)
        if day % 7 == 0:
            options = _options(person.record, plan, today)
            course.points += _points(number, person, plan, options, day // 7, fixed_kg)
            course.minutes.append(plan.walking.bouts * plan.walking.bout_minutes * len(plan.walking.days))
        _happen(person, today)
        trained = _train(person, plan, course, day, today)
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


def _train(person: Person, plan: Programme, course: Course, day: int, today: date) -> bool:
    """The sessions of one day; whether a strength session was done, so that the lead reviews."""
    name, random = WEEK[today.weekday()], person.random
    if day in person.away:
        return False
    review = False
    for part in plan.parts:
        if name in part.days and random.random() < person.adherence:
            sets = tuple(s for i, e in enumerate(part.exercises) for s in _sets(person, i, e, course))
            person.logs.append(_session(person, plan, part.key, sets, today))
            review = True
    if name in plan.walking.days and random.random() < person.adherence:
        person.logs.append(_session(person, plan, WALK, _bouts(person, plan.walking), today))
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


def true_effort(person: Person, movement_id: str, dose: Dose) -> float:
    """What a set of this dose really costs on the scale from 0 to 10."""
    own = Random(f"{person.record.person_id}/{movement_id}").uniform(0.8, 1.25)
    able_kg = person.strength * own * (LIMB_KG + 1.0)
    amount = 1 + 0.03 * (dose.repetitions - 10) if dose.hold_s == 0 else 1 + 0.02 * (dose.hold_s - 10)
    return RIGHT_EFFORT * (as_mass_kg(dose.load) + LIMB_KG) / able_kg * amount * (1 + 0.08 * (dose.sets - 2))


def _sets(person: Person, index: int, exercise: Exercise, course: Course) -> Iterator[SetLog]:
    truth = true_effort(person, exercise.movement_id, exercise.dose)
    for number in range(1, exercise.dose.sets + 1):
        course.sets += 1
        course.hard_sets += truth > 6
        done = (
            exercise.dose.repetitions
            if truth < 8 or exercise.dose.hold_s
            else int(8 * exercise.dose.repetitions / truth)
        )
        feel = "too_hard" if truth > 7.5 and person.random.random() < 0.7 else ""
        effort = _reported(person, truth)
        yield SetLog(exercise.movement_id, index, number, done, effort, feel)  # type: ignore[arg-type]


def _bouts(person: Person, walking: Walking) -> tuple[SetLog, ...]:
    truth = 3 * (walking.bouts * walking.bout_minutes / person.stamina) ** 0.5
    return tuple(
        SetLog(walking.movement_id, 0, number, None, _reported(person, truth)) for number in range(1, walking.bouts + 1)
    )


def _reported(person: Person, truth: float) -> float | None:
    random = person.random
    if random.random() < (0.01 if person.honest else 0.1):
        return None
    said = random.gauss(truth, 0.4) if person.honest else random.gauss(truth - 1, 1.5)
    return float(min(10, max(0, round(said))))


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
        ladder = _ladder(exercise, options)
        if len(ladder) < 2:
            continue
        there = ladder.index(min(ladder, key=lambda load: abs(as_mass_kg(load) - as_mass_kg(exercise.dose.load))))
        right = true_rung(person, exercise.movement_id, exercise.dose, ladder)
        first = replace(exercise.dose, sets=2, repetitions=min(exercise.dose.repetitions, 10))
        same = ladder.index(min(ladder, key=lambda load: abs(as_mass_kg(load) - fixed_kg)))
        off = same - true_rung(person, exercise.movement_id, first, ladder)
        yield Point(number, exercise.movement_id, week, there - right, off)


def _ladder(exercise: Exercise, options: Options) -> list[Load]:
    option = options.find(exercise.movement_id)
    loads = [] if option is None else [c.load for c in option.choices if c.posture == exercise.posture]
    kit = exercise.dose.load.kit
    fitting = (x for x in loads if x.kit in (kit, "own_weight") or kit == "own_weight")
    return sorted({round(as_mass_kg(load), 3): load for load in fitting}.values(), key=as_mass_kg)


def true_rung(person: Person, movement_id: str, dose: Dose, ladder: list[Load]) -> int:
    """The heaviest rung at which this many sets and repetitions are truly no harder than the effort for a raise."""
    fits = [
        place
        for place, load in enumerate(ladder)
        if true_effort(person, movement_id, replace(dose, load=load)) <= RIGHT_EFFORT
    ]
    return max(fits, default=0)


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

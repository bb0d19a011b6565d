"""What the charts of a course show, as numbers: nothing here draws.

What was not told is ``None``, never zero. A load is what was agreed in the plan that the session followed.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from haleward.dose.log import WALK, SessionLog, SetLog
from haleward.dose.model import Exercise, Programme, Walking
from haleward.record import DrugClass, Record
from haleward.render.chart_told import told

WEEK = timedelta(days=7)


@dataclass(frozen=True)
class HeartAtEffort:
    """One heart rate; ``effort`` is ``None`` at rest."""

    on: date
    bpm: float
    effort: float | None
    how: str = ""


@dataclass(frozen=True)
class Course:
    """All that the charts of one person are drawn from: signed versions, sessions and finished assessments.

    Oldest first, each. ``epoch_medicines`` are the classes that change the pulse (the protocol's). ``readings`` are
    heart rates besides those of the assessments.
    """

    versions: tuple[Programme, ...]
    logs: tuple[SessionLog, ...]
    records: tuple[Record, ...]
    today: date
    epoch_medicines: tuple[DrugClass, ...] = ()
    readings: tuple[HeartAtEffort, ...] = ()

    def version(self, number: int) -> Programme | None:
        """The version of that number, if it is known."""
        return next((one for one in self.versions if one.version == number), None)


@dataclass(frozen=True)
class Done:
    """One movement in one session: the exercise as agreed and the sets as told."""

    on: date
    exercise: Exercise
    sets: tuple[SetLog, ...]
    told_by: str

    @property
    def effort(self) -> float | None:
        """The highest effort told."""
        return max((one.effort for one in self.sets if one.effort is not None), default=None)

    @property
    def other_load(self) -> bool:
        """Whether another load than the agreed one was used in a set."""
        return any(one.load_change for one in self.sets)

    @property
    def repetitions(self) -> int | None:
        """All repetitions of the session; ``None`` when any set does not tell them."""
        told = [one.repetitions for one in self.sets]
        return None if None in told else sum(one for one in told if one is not None)


@dataclass(frozen=True)
class WeekMinutes:
    """Walking of one week from Monday on: as agreed, and as told (``None``: nothing was told)."""

    monday: date
    agreed: float
    told: float | None


@dataclass(frozen=True)
class Boundary:
    """A day on which a medicine that changes the pulse changed."""

    on: date
    text: str


def done_by_movement(course: Course) -> dict[str, tuple[Done, ...]]:
    """The sessions of each movement, by movement, in the order of the newest plan, then those no longer in it."""
    found: dict[str, list[Done]] = {}
    if course.versions:
        newest = course.versions[-1]
        found = {exercise.movement_id: [] for part in newest.parts for exercise in part.exercises}
    for log in course.logs:
        version = course.version(log.plan_version)
        if version is None or log.part_key == WALK:
            continue
        for exercise, sets in _sets_of(version, log):
            day = log.started_at.date()
            found.setdefault(exercise.movement_id, []).append(Done(day, exercise, sets, log.origin))
    return {movement_id: tuple(done) for movement_id, done in found.items() if done}


def _sets_of(version: Programme, log: SessionLog) -> Iterable[tuple[Exercise, tuple[SetLog, ...]]]:
    exercises = next((part.exercises for part in version.parts if part.key == log.part_key), ())
    for index, exercise in enumerate(exercises):
        sets = tuple(one for one in log.sets if one.exercise_index == index and one.feel != "skipped")
        if sets:
            yield exercise, sets


def minutes_by_week(course: Course) -> tuple[WeekMinutes, ...]:
    """Every week from the first signed plan to today."""
    if not course.versions:
        return ()
    first = _from(course.versions[0])
    monday = first - timedelta(days=first.weekday())
    weeks = []
    while monday <= course.today:
        weeks.append(WeekMinutes(monday, _agreed(course, monday), _told(course, monday)))
        monday += WEEK
    return tuple(weeks)


def _from(version: Programme) -> date:
    return version.signed_on or version.made_on


def _in_force(course: Course, day: date) -> Programme | None:
    return next((one for one in reversed(course.versions) if _from(one) <= day), None)


def _agreed(course: Course, monday: date) -> float:
    """Day by day, by the plan that was in force."""
    total = 0.0
    for ahead in range(7):
        day = monday + timedelta(days=ahead)
        plan = _in_force(course, day)
        if plan is not None and f"{day:%A}".lower() in plan.walking.days:
            total += plan.walking.bouts * plan.walking.bout_minutes
    return total


def _told(course: Course, monday: date) -> float | None:
    """The minutes of the week, the sessions told as not done among them; ``None`` when no walk was told."""
    there = [log for log in course.logs if log.part_key == WALK and monday <= log.started_at.date() < monday + WEEK]
    told = [minutes for log in there if (minutes := walked_minutes(log, course.version(log.plan_version))) is not None]
    return sum(told) if told else None


def walked_minutes(log: SessionLog, version: Programme | None) -> float | None:
    """The minutes of one walk; a bout without its minutes counts as agreed. ``None``: it does not tell."""
    if log.outcome == "not_done" and not log.sets:
        return 0.0
    walking = version.walking if version is not None else None
    if not log.sets:
        return _as_planned(walking) if log.outcome == "as_planned" else None
    bouts = [_bout(one, walking) for one in log.sets if one.feel != "skipped"]
    return None if None in bouts else sum(one for one in bouts if one is not None)


def _as_planned(walking: Walking | None) -> float | None:
    return None if walking is None else float(walking.bouts * walking.bout_minutes)


def _bout(one: SetLog, walking: Walking | None) -> float | None:
    if one.minutes is not None:
        return one.minutes
    return None if walking is None else float(walking.bout_minutes)


def heart_rates(course: Course) -> tuple[HeartAtEffort, ...]:
    """Every heart rate with its effort, oldest first.

    At rest, at the end of a walk test whose effort was told, and at home where both were told.
    """
    found = list(course.readings)
    for record in course.records:
        rest, walk = record.resting_heart_rate, record.walk
        if rest is not None:
            found.append(HeartAtEffort(rest.taken_on, rest.bpm, None, rest.how))
        if walk is not None and walk.peak_bpm is not None and walk.peak_effort is not None:
            found.append(HeartAtEffort(walk.tested_on, walk.peak_bpm, walk.peak_effort, walk.kind.replace("_", " ")))
    found += [
        HeartAtEffort(log.started_at.date(), log.heart_rate_bpm, log.whole_effort, _counted_by(log.origin))
        for log in course.logs
        if log.heart_rate_bpm is not None and log.whole_effort is not None
    ]
    return tuple(sorted(dict.fromkeys(found), key=lambda one: (one.on, one.effort or 0.0)))


def _counted_by(origin: str) -> str:
    return told("rate_watched") if origin == "staff" else told("rate_home", who=told(f"told_{origin}"))


def boundaries(course: Course, *, ended: str) -> tuple[Boundary, ...]:
    """The days on which a medicine that changes the pulse began, changed or ended; ``ended`` is the wording."""
    began: dict[tuple[date, str], str] = {}
    over: dict[tuple[date, str], str] = {}
    for record in course.records:
        for one in record.medicines or ():
            if one.drug_class in course.epoch_medicines and one.since is not None:
                began[one.since, one.name.lower()] = f"{one.name} {one.dose}".strip()
        for former in record.former_medicines:
            if former.drug_class in course.epoch_medicines:
                over[former.ended_by, former.name.lower()] = ended.format(
                    medicine=f"{former.name} {former.dose}".strip()
                )
    found = over | began  # ended and begun again on the same day: another dose
    return tuple(sorted((Boundary(on, text) for (on, _), text in found.items()), key=lambda one: (one.on, one.text)))


def without_day(course: Course) -> tuple[str, ...]:
    """Medicines that change the pulse whose first day is not known, by the newest assessment."""
    newest = course.records[-1].medicines or () if course.records else ()
    return tuple(one.name for one in newest if one.drug_class in course.epoch_medicines and one.since is None)


def epoch_of(on: date, marks: tuple[Boundary, ...]) -> int:
    """Which stretch between two changes of medicine a day belongs to; the day of a change belongs to the later one."""
    return sum(mark.on <= on for mark in marks)

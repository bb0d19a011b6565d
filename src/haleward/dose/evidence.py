"""The logs behind a programme: which sessions count, and what they show for one line of it.

A session counts for a line as long as the line has not changed since: sessions of an earlier version count when every
version from there to now has the same movement, posture and dose in that part.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace
from datetime import date, datetime, time
from itertools import pairwise

from haleward.dose.loads import same_load
from haleward.dose.log import WALK, SessionLog, SetLog
from haleward.dose.model import Dose, Exercise, Programme, Walking

WALK_INDEX = -1  # the index of walking among the lines; its bouts are logged as sets of exercise 0


@dataclass(frozen=True)
class Showing:
    """What the last sessions show for one exercise."""

    sessions: tuple[SessionLog, ...]
    efforts_missing: int  # sessions in which the effort of a set is missing
    all_done: bool
    highest_effort: float | None
    felt_hard_on: date | None
    watched: bool  # at least one session was led or watched by staff


@dataclass(frozen=True)
class LineEvidence:
    """The sessions of one line at its present dose, oldest first; each holds only the sets of this line."""

    sessions: tuple[SessionLog, ...]
    counting: tuple[SessionLog, ...]  # those that count for a raise
    lighter: tuple[tuple[SessionLog, Dose], ...]  # that count too: the same load with less to do, right before
    since_version: int  # the version in which the present dose came in
    since_day: date
    gap_days: int


@dataclass(frozen=True)
class Evidence:
    """The logs of one programme up to today, oldest first, each session once (the last report of it)."""

    programme: Programme
    versions: tuple[Programme, ...]  # this one and the earlier ones that are known, newest first
    logs: tuple[SessionLog, ...]
    open_reports: tuple[SessionLog, ...]  # sessions whose symptoms and soreness nobody has settled
    last_day: date  # of exercise; the start of the programme when nothing was done
    gap_days: int
    since: datetime | None  # sessions up to here do not count for a raise: a stopped check, a symptom or a gap
    changed_on: date | None  # nor do sessions up to this day, when a medicine changed
    today: date

    @property
    def with_symptom(self) -> SessionLog | None:
        """The latest session with a symptom."""
        return next((log for log in reversed(self.open_reports) if log.symptoms), None)

    @property
    def stopped(self) -> SessionLog | None:
        """The latest session, if its check stopped it."""
        return self.logs[-1] if self.logs and self.logs[-1].stopped_by_check else None

    def since_change(self, part_key: str) -> int:
        """How many sessions of a part were exercised since it last changed; "" asks for the whole programme."""
        since = self.programme.version
        for newer, older in pairwise(self.versions):
            if not part_key or _part_of(newer, part_key) != _part_of(older, part_key):
                break
            since = older.version
        return sum(log.plan_version >= since and exercised(log) and part_key in ("", log.part_key) for log in self.logs)

    def of_line(self, part_key: str, index: int) -> LineEvidence:
        """What counts for one line; ``index`` is :data:`WALK_INDEX` for walking."""
        places = _places(self.versions, part_key, index)
        oldest = self.versions[len(places) - 1]
        at = {version.version: place for version, place in zip(self.versions, places, strict=False)}
        sessions = tuple(
            _only(log, at[log.plan_version], index)
            for log in self.logs
            if log.part_key == part_key and log.plan_version in at and exercised(log)
        )
        lighter = _lighter(self.versions, part_key, index, len(places))
        before = tuple(
            (_only(log, lighter[log.plan_version][0], index), lighter[log.plan_version][1])
            for log in self.logs
            if log.part_key == part_key and log.plan_version in lighter and exercised(log) and self._counts(log)
        )
        day = min(oldest.made_on, self.today)
        gap_days = (self.today - max(self.last_day, day)).days
        return LineEvidence(sessions, tuple(filter(self._counts, sessions)), before, oldest.version, day, gap_days)

    def _counts(self, log: SessionLog) -> bool:
        after = self.since is None or log.started_at > self.since
        return after and (self.changed_on is None or log.started_at.date() > self.changed_on)


def evidence_for(
    programme: Programme,
    logs: tuple[SessionLog, ...],
    *,
    repeat_days: int,
    changed_on: date | None,
    today: date,
    earlier: tuple[Programme, ...] = (),
    settled: Collection[str] | None = None,
) -> Evidence:
    """Sort the logs for ``programme``.

    ``repeat_days`` is the longest pause after which earlier sessions still count; sessions up to ``changed_on``, when
    a medicine changed, do not. ``earlier`` are the versions before this one. ``settled`` are the ids of sessions whose
    reports (symptoms, soreness) somebody has looked at and closed: then a report of any known version stands until it
    is there. ``None`` says that the caller does not know; then only reports of this version stand, as long as it does.
    """
    latest = {log.session_id: log for log in logs if log.started_at.date() <= today}
    known = sorted(latest.values(), key=lambda log: log.started_at)
    last_day = max([min(programme.made_on, today), *(log.started_at.date() for log in known if exercised(log))])
    done_on = [log.started_at.date() for log in known if exercised(log)]
    versions = (programme, *sorted((p for p in earlier if p.version < programme.version), key=lambda p: -p.version))
    numbers = {version.version for version in versions}
    own = tuple(log for log in known if log.plan_version in numbers)
    if settled is None:
        open_ = tuple(log for log in own if log.plan_version == programme.version)
    else:
        open_ = tuple(log for log in own if log.session_id not in settled)
    return Evidence(
        programme=programme,
        versions=versions,
        logs=own,
        open_reports=open_,
        last_day=max(done_on, default=min(programme.made_on, today)),
        gap_days=(today - last_day).days,
        since=_since(own, repeat_days),
        changed_on=changed_on,
        today=today,
    )


def exercised(log: SessionLog) -> bool:
    """Whether anything was done: a session that the check stopped, or with every set skipped, is not exercise."""
    done = any(s.feel != "skipped" for s in log.sets) or log.whole_effort is not None
    return done and not log.stopped_by_check


def showing(
    sessions: tuple[SessionLog, ...],
    *,
    exercise_index: int,
    movement_id: str,
    dose: Dose | Walking,
    easy_at: int | None = None,
) -> Showing:
    """What ``sessions`` show for one line with this dose.

    A set felt hard when it was marked so, or when it was hard by repetition ``easy_at`` (at any, without one).
    """
    sets = [sets_of(log, exercise_index, movement_id) for log in sessions]
    efforts = [s.effort for one in sets for s in one if s.effort is not None]
    hard = [log.started_at.date() for log, one in zip(sessions, sets, strict=True) if _felt_hard(one, easy_at)]
    return Showing(
        sessions=sessions,
        efforts_missing=sum(not one or any(s.effort is None for s in one) for one in sets),
        all_done=all(_done(one, dose) for one in sets),
        highest_effort=max(efforts, default=None),
        felt_hard_on=max(hard, default=None),
        watched=any(log.origin == "staff" for log in sessions),
    )


def hard_sessions(
    sessions: tuple[SessionLog, ...], *, exercise_index: int, movement_id: str, effort_high: float
) -> tuple[SessionLog, ...]:
    """The sessions in which the exercise was over ``effort_high`` or marked too hard."""
    return tuple(
        log for log in sessions if any(_over(s, effort_high) for s in sets_of(log, exercise_index, movement_id))
    )


def hard_by(log: SessionLog, *, exercise_index: int, movement_id: str, repetition: int, effort_high: float) -> bool:
    """Whether a set was hard by this repetition: said so, or it ended there and felt too hard."""
    return any(
        (s.hard_at is not None and s.hard_at <= repetition)
        or (s.repetitions is not None and 0 < s.repetitions <= repetition and _over(s, effort_high))
        for s in sets_of(log, exercise_index, movement_id)
    )


def sets_of(log: SessionLog, exercise_index: int, movement_id: str) -> tuple[SetLog, ...]:
    """The sets of one exercise in one session."""
    return tuple(s for s in log.sets if s.exercise_index == exercise_index and s.movement_id == movement_id)


def _over(one: SetLog, effort_high: float) -> bool:
    return one.feel == "too_hard" or (one.effort is not None and one.effort > effort_high)


def _places(versions: tuple[Programme, ...], part_key: str, index: int) -> tuple[int, ...]:
    """Where the line stands in each version, newest first, for as long as it is unchanged."""
    line = _line(versions[0], part_key, index)
    found = [max(index, 0)]
    for version in versions[1:]:
        place = _same(version, part_key, line)
        if place is None:
            break
        found.append(place)
    return tuple(found)


def _lighter(versions: tuple[Programme, ...], part_key: str, index: int, since: int) -> dict[int, tuple[int, Dose]]:
    """By version, place and dose of the line right before: the same load, with less or as much to do."""
    line = _line(versions[0], part_key, index)
    found: dict[int, tuple[int, Dose]] = {}
    if isinstance(line, Walking):
        return found
    for version in versions[since:]:
        exercises = next((part.exercises for part in version.parts if part.key == part_key), ())
        what = (line.movement_id, line.posture)
        there = [(i, e) for i, e in enumerate(exercises) if (e.movement_id, e.posture) == what]
        if not there or not _no_more_than(there[0][1].dose, line.dose):
            break
        found[version.version] = (there[0][0], there[0][1].dose)
    return found


def _no_more_than(one: Dose, other: Dose) -> bool:
    same = same_load(one.load, other.load) and (one.hold_s > 0) == (other.hold_s > 0)
    return same and one.sets <= other.sets and one.repetitions <= other.repetitions and one.hold_s <= other.hold_s


def _line(programme: Programme, part_key: str, index: int) -> Exercise | Walking:
    if part_key == WALK:
        return programme.walking
    return next(part for part in programme.parts if part.key == part_key).exercises[index]


def _part_of(programme: Programme, part_key: str) -> object:
    """What a part asks for, to tell whether two versions ask for the same."""
    if part_key == WALK:
        return replace(programme.walking, reasons=(), rule_ids=())
    exercises = next((part.exercises for part in programme.parts if part.key == part_key), ())
    return tuple((one.movement_id, one.posture, one.dose) for one in exercises)


def _same(programme: Programme, part_key: str, line: Exercise | Walking) -> int | None:
    if isinstance(line, Walking):
        return 0 if same_walking(programme.walking, line) else None
    exercises = next((part.exercises for part in programme.parts if part.key == part_key), ())
    what = (line.movement_id, line.posture, line.dose)
    return next((i for i, one in enumerate(exercises) if (one.movement_id, one.posture, one.dose) == what), None)


def same_walking(one: Walking, other: Walking) -> bool:
    """Whether two walks ask for the same; the reasons behind them may differ."""
    return replace(one, reasons=(), rule_ids=()) == replace(other, reasons=(), rule_ids=())


def _only(log: SessionLog, place: int, index: int) -> SessionLog:
    """The session with the sets of one line only, numbered as in the present version."""
    sets = tuple(replace(s, exercise_index=max(index, 0)) for s in log.sets if s.exercise_index == place)
    return replace(log, sets=sets)


def _since(logs: tuple[SessionLog, ...], repeat_days: int) -> datetime | None:
    """The moment after which sessions count: a stopped check, the end of a day with a symptom, or the last session
    before a long pause.
    """
    since = None
    before: SessionLog | None = None
    for log in logs:
        if log.symptoms:  # a session of the same day counts neither, whether it was told with the symptom or apart
            since = datetime.combine(log.started_at.date(), time.max, log.started_at.tzinfo)
        elif log.stopped_by_check:
            since = max(since, log.started_at) if since else log.started_at
        if exercised(log):
            if before is not None and (log.started_at.date() - before.started_at.date()).days > repeat_days:
                since = max(since, before.started_at) if since else before.started_at
            before = log
    return since


def _done(sets: tuple[SetLog, ...], dose: Dose | Walking) -> bool:
    numbers = {s.set_number for s in sets}
    if isinstance(dose, Walking):
        walked = all(s.minutes is None or s.minutes >= dose.bout_minutes for s in sets)
        return set(range(1, dose.bouts + 1)) <= numbers and walked and all(s.feel != "skipped" for s in sets)
    return set(range(1, dose.sets + 1)) <= numbers and all(
        s.feel != "skipped" and not s.load_change and s.repetitions is not None and s.repetitions >= dose.repetitions
        for s in sets
    )


def _felt_hard(sets: tuple[SetLog, ...], easy_at: int | None) -> bool:
    return any(
        s.feel == "too_hard" or (s.hard_at is not None and (easy_at is None or s.hard_at <= easy_at)) for s in sets
    )

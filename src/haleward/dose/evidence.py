"""What the logs say about one programme version: which sessions count, and what they show for one exercise."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from haleward.dose.log import SessionLog, SetLog
from haleward.dose.model import Dose, Programme


@dataclass(frozen=True)
class Evidence:
    """The logs of one programme version up to today, oldest first, each session once (the last report of it)."""

    logs: tuple[SessionLog, ...]
    gap_days: int
    since: datetime | None  # sessions up to here do not count for a raise: a stopped check or a gap came after
    changed_on: date | None  # nor do sessions up to this day, when a medicine changed

    @property
    def with_symptom(self) -> SessionLog | None:
        """The latest session with a symptom."""
        return next((log for log in reversed(self.logs) if log.symptoms), None)

    @property
    def stopped(self) -> SessionLog | None:
        """The latest session, if its check stopped it."""
        return self.logs[-1] if self.logs and self.logs[-1].stopped_by_check else None

    def of_part(self, part_key: str) -> tuple[SessionLog, ...]:
        """The sessions of one part that were exercised."""
        return tuple(log for log in self.logs if log.part_key == part_key and exercised(log))

    def counting(self, part_key: str) -> tuple[SessionLog, ...]:
        """The sessions of one part that count for a raise."""
        return tuple(
            log
            for log in self.of_part(part_key)
            if (self.since is None or log.started_at > self.since)
            and (self.changed_on is None or log.started_at.date() > self.changed_on)
        )


@dataclass(frozen=True)
class Showing:
    """What the last sessions show for one exercise."""

    sessions: tuple[SessionLog, ...]
    efforts_missing: int  # sessions in which the effort of a set is missing
    all_done: bool
    highest_effort: float | None
    felt_hard_on: date | None
    watched: bool  # at least one session was led or watched by staff


def evidence_for(
    programme: Programme, logs: tuple[SessionLog, ...], *, repeat_days: int, changed_on: date | None, today: date
) -> Evidence:
    """Sort the logs for ``programme``.

    ``gap_days`` is the time without exercise up to today, counted over every version, from the start of the programme
    when nothing was done. ``repeat_days`` is the longest pause after which earlier sessions still count; sessions up to
    ``changed_on``, when a medicine changed, do not.
    """
    latest = {log.session_id: log for log in logs if log.started_at.date() <= today}
    known = sorted(latest.values(), key=lambda log: log.started_at)
    done_on = [log.started_at.date() for log in known if exercised(log)]
    last_day = max([min(programme.made_on, today), *done_on])
    own = tuple(log for log in known if log.plan_version == programme.version)
    return Evidence(own, (today - last_day).days, _since(own, repeat_days), changed_on)


def exercised(log: SessionLog) -> bool:
    """Whether anything was done: a session that the check stopped, or with every set skipped, is not exercise."""
    done = any(s.feel != "skipped" for s in log.sets) or log.whole_effort is not None
    return done and not log.stopped_by_check


def showing(sessions: tuple[SessionLog, ...], *, exercise_index: int, movement_id: str, dose: Dose) -> Showing:
    """What ``sessions`` show for one exercise with this dose."""
    sets = [sets_of(log, exercise_index, movement_id) for log in sessions]
    efforts = [s.effort for one in sets for s in one if s.effort is not None]
    hard = [log.started_at.date() for log, one in zip(sessions, sets, strict=True) if _felt_hard(one)]
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
        log
        for log in sessions
        if any(
            s.feel == "too_hard" or (s.effort is not None and s.effort > effort_high)
            for s in sets_of(log, exercise_index, movement_id)
        )
    )


def sets_of(log: SessionLog, exercise_index: int, movement_id: str) -> tuple[SetLog, ...]:
    """The sets of one exercise in one session."""
    return tuple(s for s in log.sets if s.exercise_index == exercise_index and s.movement_id == movement_id)


def _since(logs: tuple[SessionLog, ...], repeat_days: int) -> datetime | None:
    """The moment after which sessions count: the last stopped check, or the last session before a long pause."""
    since = None
    before: SessionLog | None = None
    for log in logs:
        if log.stopped_by_check:
            since = log.started_at
        elif exercised(log):
            if before is not None and (log.started_at.date() - before.started_at.date()).days > repeat_days:
                since = before.started_at
            before = log
    return since


def _done(sets: tuple[SetLog, ...], dose: Dose) -> bool:
    numbers = {s.set_number for s in sets}
    return set(range(1, dose.sets + 1)) <= numbers and all(
        s.feel != "skipped" and s.repetitions is not None and s.repetitions >= dose.repetitions for s in sets
    )


def _felt_hard(sets: tuple[SetLog, ...]) -> bool:
    return any(s.feel == "too_hard" for s in sets)

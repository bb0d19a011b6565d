"""What is true of one line now, as signals for the decision: read from its sessions and from what happened besides."""

from __future__ import annotations

from dataclasses import dataclass

from haleward.dose.evidence import Evidence, LineEvidence, hard_by, hard_sessions, showing
from haleward.dose.log import SessionLog
from haleward.dose.model import Dose, Walking
from haleward.dose.progress_events import Event
from haleward.dose.progress_machine import Signal
from haleward.dose.progress_told import Finding
from haleward.dose.words import words
from haleward.safety.policy import ProgressionPolicy


@dataclass(frozen=True)
class Seen:
    """The line as the logs know it, with the effort limits that hold for it."""

    title: str
    movement_id: str
    index: int
    dose: Dose | Walking
    effort_high: float
    effort_at_most: float
    line: LineEvidence
    evidence: Evidence
    events: tuple[Event, ...]


@dataclass(frozen=True)
class Counted:
    """The sessions that count for a raise: enough or too few, the highest effort, and whether staff saw one."""

    sessions: tuple[SessionLog, ...]
    effort: float | None
    watched: bool


def easing_signals(seen: Seen, policy: ProgressionPolicy) -> dict[Signal, Finding]:
    """A long pause, an event, effort over the range, or soreness that lasts."""
    found: dict[Signal, Finding] = {}
    days = seen.line.gap_days
    if policy.gap_step_back_days < days <= policy.gap_reassess_days:
        text = words("prop_down_gap", gap_days=days, restart_level=words("prog_restart"))
        found["paused"] = Finding(text, remedy={"days": policy.gap_step_back_days})
    for event in seen.events:
        found[event.signal] = Finding(event.text, remedy={"count": policy.sessions_needed, "date": event.on})
    return found | _hard(seen, policy) | _sore(seen, policy)


def _hard(seen: Seen, policy: ProgressionPolicy) -> dict[Signal, Finding]:
    found: dict[Signal, Finding] = {}
    recent, high = seen.line.sessions[-policy.hard_of_sessions :], seen.effort_high
    place = {"exercise_index": max(seen.index, 0), "movement_id": seen.movement_id}
    by = policy.hard_by_repetition
    counts = isinstance(seen.dose, Dose) and seen.dose.hold_s == 0
    last = recent[-1:]
    if by is not None and counts and last and hard_by(last[0], repetition=by, effort_high=high, **place):  # type: ignore[arg-type]
        text = words("prog_down_early", repetition=by, date=last[0].started_at.date())
        found["hard_early"] = Finding(text, sessions=last, remedy={"repetition": by})
    hard = hard_sessions(recent, effort_high=high, **place)  # type: ignore[arg-type]
    if len(hard) >= policy.hard_sessions:
        values = {"effort_high": high, "session_count": len(hard), "of_count": len(recent)}
        remedy = {"effort_high": high, "of_count": len(recent), "most": policy.hard_sessions - 1}
        found["hard_often"] = Finding(words("prop_down_effort", **values), sessions=hard, remedy=remedy)
    return found


def _sore(seen: Seen, policy: ProgressionPolicy) -> dict[Signal, Finding]:
    last = seen.line.sessions[-1:]
    if not last or last[0].sore_days is None or last[0].sore_days <= policy.sore_days:
        return {}
    text = words("prop_down_sore", sore_days=last[0].sore_days, movement_title=seen.title)
    return {"sore": Finding(text, sessions=last, remedy={"days": policy.sore_days})}


def holding_signals(
    seen: Seen, policy: ProgressionPolicy, *, needed: int | None = None
) -> tuple[dict[Signal, Finding], Counted]:
    """Whatever in the last counting sessions stands against a raise, and what they show.

    ``needed`` asks for other than the usual number of sessions, all of them at the very dose.
    """
    counting = _counting(seen, policy) if needed is None else _at_dose(seen, needed)
    needed, most = needed or policy.sessions_needed, seen.effort_at_most
    sessions = tuple(log for log, _ in counting)
    found: dict[Signal, Finding] = {}
    if len(sessions) < needed:
        text = words("prop_hold_thin", session_count=len(sessions), needed_count=needed)
        found["thin"] = Finding(text, sessions=sessions, remedy={"count": needed - len(sessions), "effort": most})
    if not sessions:
        return found, Counted((), None, watched=False)
    place = {"exercise_index": max(seen.index, 0), "movement_id": seen.movement_id}
    shown = [showing((log,), dose=dose, easy_at=policy.easy_at_repetition, **place) for log, dose in counting]  # type: ignore[arg-type]
    efforts = [one.highest_effort for one in shown if one.highest_effort is not None]
    count, effort, missing = len(sessions), max(efforts, default=None), sum(one.efforts_missing for one in shown)
    felt_hard = [one.felt_hard_on for one in shown if one.felt_hard_on is not None]

    def add(signal: Signal, text: str, **remedy: object) -> None:
        found[signal] = Finding(text, sessions=sessions, remedy=remedy)

    if missing or effort is None:
        add("effort_missing", words("prop_hold_effort", missing_count=missing, session_count=count))
    if felt_hard:
        add("felt_hard", words("prog_felt_hard", date=max(felt_hard)))
    if not all(one.all_done for one in shown):
        add("not_done", words("prog_not_done", session_count=count))
    if effort is not None and effort > most:
        text = words("prog_effort_high", effort=effort, session_count=count, limit=most)
        add("effort_high", text, effort=most, needed=needed)
    return found, Counted(sessions, effort, any(one.watched for one in shown))


def _counting(seen: Seen, policy: ProgressionPolicy) -> tuple[tuple[SessionLog, Dose | Walking], ...]:
    """The last sessions needed, each with the dose it was done at: enough at the present one, the rest at its load."""
    own = _at_dose(seen, policy.sessions_needed)
    least = policy.sessions_at_dose
    if least is None or len(own) < least:
        return own
    missing = policy.sessions_needed - len(own)
    return (*(seen.line.lighter[-missing:] if missing > 0 else ()), *own)


def _at_dose(seen: Seen, needed: int) -> tuple[tuple[SessionLog, Dose | Walking], ...]:
    return tuple((log, seen.dose) for log in seen.line.counting[-needed:])

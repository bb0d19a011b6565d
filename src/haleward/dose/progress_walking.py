"""One step up or down in walking: minutes a bout, bouts joined, days, and only then the pace.

Duration comes before intensity. A step changes one thing and never passes the protocol's minutes, days and share of
the estimated peak.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from haleward.capacity.model import Capacity
from haleward.dose.log import ProposalKind
from haleward.dose.model import Prescription, Programme, Walking
from haleward.dose.week import WEEK, clear_days, day_names
from haleward.dose.words import words
from haleward.errors import HalewardError
from haleward.formula import find
from haleward.physiology.metabolic import WALKING_SPEED, walking_speed_m_per_min_acsm
from haleward.record import Record
from haleward.safety.policy import Policies
from haleward.units import km_per_h_from_m_per_min
from haleward.worksheet import Figure

SAME_PACE = 1e-9


@dataclass(frozen=True)
class WalkStep:
    """The next walk, with the sentence and the rule behind it."""

    kind: ProposalKind
    after: Walking
    text: str
    rule_id: str
    intensity: bool = False  # the pace: staff must have seen a session


@dataclass(frozen=True)
class WalkGround:
    """What the next step of walking depends on besides the logs."""

    programme: Programme
    record: Record
    prescription: Prescription
    policies: Policies
    bout_step_most: int | None = None  # minutes by which a bout may grow at a time, where the protocol's step is more

    @property
    def walking(self) -> Walking:
        """The present walk."""
        return self.programme.walking


def walk_up(ground: WalkGround) -> WalkStep | None:
    """The first step with room, in the protocol's order; ``None`` at the top or when nothing may be raised by rule."""
    for what in ground.policies.progression.walking_order or ():
        step = _UP[what](ground)
        if step is not None:
            return step
    return None


def walk_down(ground: WalkGround) -> WalkStep | None:
    """The way back: a slower pace, then fewer minutes a bout, then a day less; ``None`` at the least."""
    policy, walking = ground.policies, ground.walking
    step_kmh = policy.progression.walking_pace_step_km_per_h
    pace = walking.pace_km_per_h
    if step_kmh is not None and pace is not None and pace - step_kmh >= _slowest_km_per_h():
        after = _at_pace(walking, pace - step_kmh)
        return WalkStep("ease", after, words("prog_walk_slower"), "progression.walking_pace_step_km_per_h")
    minutes, least = policy.progression.walking_minutes_step, policy.dose.walking_bout_minutes_low_capacity
    if minutes is not None and walking.bout_minutes > least:
        fewer = max(least, walking.bout_minutes - minutes)
        return _walk_down(replace(walking, bout_minutes=fewer), words("prog_walk_shorter", minutes=fewer))
    if walking.bouts > 1:
        fewer = walking.bouts - 1
        rest = walking.rest_minutes if fewer > 1 else 0
        after = replace(walking, bouts=fewer, rest_minutes=rest)
        return _walk_down(after, words("prog_walk_fewer_bouts", count=fewer))
    if len(walking.days) > 1:
        after = replace(walking, days=walking.days[:-1])
        return _walk_down(after, words("prog_walk_fewer_days", count=len(after.days)))
    return None


def total_minutes(walking: Walking) -> int:
    """Minutes walked in one session."""
    return walking.bouts * walking.bout_minutes


def _walk_down(after: Walking, text: str) -> WalkStep:
    return WalkStep("ease", after, text, "progression.walking_order")


def _minutes(ground: WalkGround) -> WalkStep | None:
    walking, policy = ground.walking, ground.policies.progression
    if policy.walking_minutes_step is None or policy.walking_minutes_most is None:
        return None
    step = min(policy.walking_minutes_step, ground.bout_step_most or policy.walking_minutes_step)
    longer = min(walking.bout_minutes + step, policy.walking_minutes_most // walking.bouts)
    if walking.bouts > 1 and policy.walking_join_minutes is not None and "join" in (policy.walking_order or ()):
        longer = min(longer, policy.walking_join_minutes)  # from there the bouts are joined first
    if longer <= walking.bout_minutes:
        return None
    text = words("prog_walk_minutes", minutes=longer - walking.bout_minutes, before=walking.bout_minutes, after=longer)
    return WalkStep("raise_minutes", replace(walking, bout_minutes=longer), text, "progression.walking_minutes_step")


def _join(ground: WalkGround) -> WalkStep | None:
    """One bout fewer with the same minutes in all, or a little less: what goes is a rest."""
    walking, least = ground.walking, ground.policies.progression.walking_join_minutes
    if least is None or walking.bouts < 2 or walking.bout_minutes < least:
        return None
    bouts = walking.bouts - 1
    minutes = total_minutes(walking) // bouts
    after = replace(walking, bouts=bouts, bout_minutes=minutes, rest_minutes=walking.rest_minutes if bouts > 1 else 0)
    text = words("prog_walk_join", bouts=bouts, minutes=minutes)
    return WalkStep("raise_minutes", after, text, "progression.walking_join_minutes")


def _days(ground: WalkGround) -> WalkStep | None:
    """One day more: of the person's own days if named, away from strength days and from the other walks."""
    walking, most = ground.walking, ground.policies.dose.walking_days_most
    free = [day for day in ground.record.exercise_days or WEEK if day in WEEK and day not in walking.days]
    if len(walking.days) >= most or not free:
        return None
    strength = {day for part in ground.programme.parts for day in part.days}

    def apart(day: str) -> tuple[bool, int, int]:
        nearest = min((clear_days(day, other) for other in walking.days), default=len(WEEK))
        return day not in strength, nearest, -WEEK.index(day)

    chosen = max(free, key=apart)
    days = tuple(day for day in WEEK if day in (*walking.days, chosen))
    text = words("prog_walk_day", day=day_names((chosen,)))
    return WalkStep("raise_minutes", replace(walking, days=days), text, "dose.walking_days_most")


def _pace(ground: WalkGround) -> WalkStep | None:
    """A little faster, up to the protocol's share of the peak estimated today."""
    pace, step = ground.walking.pace_km_per_h, ground.policies.progression.walking_pace_step_km_per_h
    ceiling = pace_ceiling_km_per_h(ground)
    if pace is None or step is None or ceiling is None or pace + step > ceiling + SAME_PACE:
        return None
    after = _at_pace(ground.walking, pace + step)
    text = words("prog_walk_pace", pace=after.pace_km_per_h)
    return WalkStep("raise_minutes", after, text, "progression.walking_pace_step_km_per_h", intensity=True)


def pace_ceiling_km_per_h(ground: WalkGround) -> float | None:
    """The fastest pace the protocol allows today, or ``None`` when the peak or the share is unknown."""
    share, capacity = ground.policies.progression.walking_fraction_most, ground.prescription.capacity
    if share is None or not isinstance(capacity, Capacity):
        return None
    try:
        speed = find(walking_speed_m_per_min_acsm.__name__).figure(
            vo2_ml_per_kg_min=Figure(share * capacity.vo2_ml_per_kg_min.value, capacity.vo2_ml_per_kg_min.unit),
            grade_fraction=0.0,
        )
    except HalewardError:
        return None
    highest = WALKING_SPEED.stated_high or WALKING_SPEED.high
    return km_per_h_from_m_per_min(speed_m_per_min=min(speed.value, highest))


def _slowest_km_per_h() -> float:
    return km_per_h_from_m_per_min(speed_m_per_min=WALKING_SPEED.stated_low or WALKING_SPEED.low)


def _at_pace(walking: Walking, km_per_h: float) -> Walking:
    """The walk at this pace, to the tenth below; it is a choice now and no estimate with a likely range."""
    return replace(walking, pace_km_per_h=int(km_per_h * 10 + 1e-6) / 10, pace=None)


_UP: Mapping[str, Callable[[WalkGround], WalkStep | None]] = {
    "minutes": _minutes,
    "join": _join,
    "days": _days,
    "pace": _pace,
}

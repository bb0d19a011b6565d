"""One week of a signed programme by date: which session on which day, and what dated exceptions do to it.

Days away, illness, fasting and days with little time are told by the person or by staff. A session that cannot be on
its day moves to another of the person's own days of the same week, if the protocol lets it and the clear days between
strength sessions stay; else it is left out. Nothing is made up in another week.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Literal, get_args

from haleward.dose.log import WALK
from haleward.dose.model import Exercise, Part, Programme, Walking
from haleward.dose.week import WEEK
from haleward.safety.policy import DosePolicy

SpecialKind = Literal["ill", "away", "part_day", "fasting"]
KINDS: tuple[SpecialKind, ...] = get_args(SpecialKind)  # where several meet, the first stands
DAYS_A_WEEK = 7
_Fits = Callable[[date, list[date]], bool]  # whether a day can take a session, given the days of the others


@dataclass(frozen=True)
class SpecialDays:
    """Days that are not like others, both ends included. ``minutes`` is the time there is on a part day."""

    kind: SpecialKind
    first: date
    last: date
    told_on: date
    minutes: int | None = None


@dataclass(frozen=True)
class Planned:
    """One session on its day; ``planned_on`` is its day in the plan, another one when it was moved.

    ``exercises`` are the places of the movements to do, all of them unless time is short. ``minutes`` is the walking.
    ``day_minutes`` is the time there is for everything on a day with little time.
    """

    part_key: str
    on: date
    planned_on: date
    exercises: tuple[int, ...] = ()
    minutes: int = 0
    short: bool = False
    day_minutes: int | None = None

    @property
    def moved(self) -> bool:
        """Whether it is on another day than the plan has it."""
        return self.on != self.planned_on


@dataclass(frozen=True)
class Off:
    """A session that is left out, and what for."""

    part_key: str
    planned_on: date
    kind: SpecialKind


@dataclass(frozen=True)
class Day:
    """One day: its sessions, and what makes it special."""

    on: date
    sessions: tuple[Planned, ...]
    special: SpecialDays | None = None


@dataclass(frozen=True)
class Week:
    """Monday to Sunday."""

    days: tuple[Day, ...]
    off: tuple[Off, ...]

    @property
    def sessions(self) -> tuple[Planned, ...]:
        """Every session, in the order of the days."""
        return tuple(session for day in self.days for session in day.sessions)

    @property
    def walking_minutes(self) -> int:
        """The walking minutes of the week."""
        return sum(session.minutes for session in self.sessions)


def monday_of(day: date) -> date:
    """The Monday of the week in which ``day`` lies."""
    return day - timedelta(days=day.weekday())


def special_on(day: date, special: Iterable[SpecialDays]) -> SpecialDays | None:
    """What stands for this day: illness before absence before little time before fasting, the least time first."""
    there = [one for one in special if one.first <= day <= one.last]
    return min(there, key=lambda one: (KINDS.index(one.kind), one.minutes or 0), default=None)


def week_of(
    programme: Programme,
    day: date,
    *,
    special: Collection[SpecialDays] = (),
    own_days: Collection[str] = (),
    policy: DosePolicy,
) -> Week:
    """The week in which ``day`` lies. ``own_days`` are the person's own weekdays; without any, every day is free.

    Asking for one week or for another gives the same days: weeks are filled in order, each after the one before.
    """
    return _Filler(programme, tuple(special), tuple(own_days) or WEEK, policy).week(monday_of(day))


def programme_for(programme: Programme, one: Planned) -> Programme:
    """The programme with nothing but what this session has on its day: fewer movements or minutes when time is short.

    The movements keep their places, as the first ones stay.
    """
    if not one.short:
        return programme
    if one.part_key == WALK:
        return replace(programme, walking=_shorter(programme.walking, one.minutes))
    part = next(part for part in programme.parts if part.key == one.part_key)
    shorter = replace(part, exercises=tuple(part.exercises[place] for place in one.exercises))
    return replace(programme, parts=tuple(shorter if other is part else other for other in programme.parts))


def _shorter(walking: Walking, minutes: int) -> Walking:
    """A walk of so many minutes at most, in as few bouts as take no longer each than agreed."""
    bouts = max(1, -(-minutes // walking.bout_minutes))
    return replace(walking, bouts=bouts, bout_minutes=minutes // bouts)


@dataclass(frozen=True)
class _Filler:
    programme: Programme
    special: tuple[SpecialDays, ...]
    own_days: tuple[str, ...]
    policy: DosePolicy

    def week(self, monday: date) -> Week:
        strength, strength_off = self._strength(monday)
        walks, walks_off = self._placed(self._walks(monday), lambda day, there: day not in there)
        days = []
        for on in _dates(monday):
            today = special_on(on, self.special)
            sessions = _fitted([one for one in (*strength, *walks) if one.on == on], today, self)
            days.append(Day(on, sessions, today))
        return Week(tuple(days), (*strength_off, *walks_off))

    def _strength(self, monday: date) -> tuple[list[Planned], list[Off]]:
        """The strength sessions of a week; the week before comes first, as its moved sessions count for the rest."""
        planned = [self._whole(part, on) for part in self.programme.parts for on in self._on(part.days, monday)]
        if not self._touched(monday):
            return planned, []
        week = timedelta(days=DAYS_A_WEEK)
        before = [one.on for one in self._strength(monday - week)[0]]
        after = [on for part in self.programme.parts for on in self._on(part.days, monday + week)]
        return self._placed(planned, lambda day, there: self._rested(day, (*before, *there, *after)))

    def _placed(self, planned: list[Planned], fits: _Fits) -> tuple[list[Planned], list[Off]]:
        """Sessions that can stay, then those that move, the rest left out."""
        kept = [one for one in planned if self._possible(one, one.on)]
        off = []
        for one in sorted((one for one in planned if one not in kept), key=lambda one: one.on):
            cause = special_on(one.on, self.special)
            assert cause is not None  # nothing else makes a day impossible
            to = self._other_day(one, cause, [other.on for other in kept], fits)
            if to is None:
                off.append(Off(one.part_key, one.planned_on, cause.kind))
            else:
                kept.append(Planned(one.part_key, to, one.planned_on, one.exercises, one.minutes))
        return kept, off

    def _other_day(self, one: Planned, cause: SpecialDays, there: list[date], fits: _Fits) -> date | None:
        """The nearest own day of the week that is still to come when the person tells, later before earlier."""
        if cause.kind not in (self.policy.week_moves_for or ()):
            return None
        free = [
            day
            for day in self._on(self.own_days, monday_of(one.on))
            if day >= cause.told_on and self._possible(one, day) and fits(day, there)
        ]
        return min(free, key=lambda day: (abs((day - one.on).days), day < one.on), default=None)

    def _possible(self, one: Planned, day: date) -> bool:
        special = special_on(day, self.special)
        if special is None or special.kind == "fasting":
            return True
        if special.kind != "part_day":
            return False
        return one.part_key == WALK or self.fitting(one, special) != ()

    def fitting(self, one: Planned, special: SpecialDays) -> tuple[int, ...]:
        """The first movements of a part that fit into the minutes; none when fewer than the protocol's least do."""
        frame, least = short_frame(self.programme, self.policy), self.policy.short_movements_least
        if frame is None or least is None or special.minutes is None:
            return one.exercises
        left_s = 60.0 * (special.minutes - frame)
        part = next(part for part in self.programme.parts if part.key == one.part_key)
        fitting = []
        for place in one.exercises:
            left_s -= seconds_of(part.exercises[place])
            if left_s < 0:
                break
            fitting.append(place)
        return tuple(fitting) if len(fitting) >= min(least, len(one.exercises)) else ()

    def _rested(self, day: date, others: Iterable[date]) -> bool:
        return all(abs((day - other).days) > self.policy.rest_days_between_parts for other in others)

    def _touched(self, monday: date) -> bool:
        sunday = monday + timedelta(days=DAYS_A_WEEK - 1)
        return any(one.first <= sunday and one.last >= monday for one in self.special)

    def _whole(self, part: Part, on: date) -> Planned:
        return Planned(part.key, on, on, tuple(range(len(part.exercises))))

    def _walks(self, monday: date) -> list[Planned]:
        walking = self.programme.walking
        minutes = walking.bouts * walking.bout_minutes
        return [Planned(WALK, on, on, minutes=minutes) for on in self._on(walking.days, monday)]

    def _on(self, names: Collection[str], monday: date) -> list[date]:
        return [on for on in _dates(monday) if WEEK[on.weekday()] in names]


def short_frame(programme: Programme, policy: DosePolicy) -> int | None:
    """Minutes of warm-up and cool-down on a day with little time; ``None`` where the protocol has no such rule."""
    least = policy.short_frame_minutes
    return None if least is None else least + programme.warm_up_more_minutes


def seconds_of(exercise: Exercise) -> float:
    """How long an exercise takes with its rests: sets, both sides, the tempo or the hold."""
    dose = exercise.dose
    once = dose.hold_s if dose.hold_s else dose.repetitions * (dose.out_s + dose.pause_s + dose.back_s)
    return dose.sets * (once * (2 if exercise.each_side else 1) + dose.rest_s)


def _fitted(sessions: list[Planned], special: SpecialDays | None, filler: _Filler) -> tuple[Planned, ...]:
    """The sessions of one day cut to the time there is: strength first, what is left for the walk.

    Warm-up and cool-down are short on such a day, and once: a walk after strength needs none of its own.
    """
    if special is None or special.kind != "part_day" or special.minutes is None:
        return tuple(sessions)
    found: list[Planned] = []
    left = special.minutes - (short_frame(filler.programme, filler.policy) or 0)
    for one in sessions:
        there = {"day_minutes": special.minutes}
        if one.part_key == WALK:
            minutes = min(one.minutes, max(left, 0))
            if minutes:
                found.append(Planned(WALK, one.on, one.planned_on, (), minutes, minutes < one.minutes, **there))
            continue
        fitting = filler.fitting(one, special)
        part = next(part for part in filler.programme.parts if part.key == one.part_key)
        taken_s = sum(seconds_of(part.exercises[place]) for place in fitting)
        left -= -int(-taken_s // 60)
        cut = len(fitting) < len(one.exercises)
        found.append(Planned(one.part_key, one.on, one.planned_on, fitting, 0, cut, **there))
    return tuple(found)


def _dates(monday: date) -> tuple[date, ...]:
    return tuple(monday + timedelta(days=number) for number in range(DAYS_A_WEEK))

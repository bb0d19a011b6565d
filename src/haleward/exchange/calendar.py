"""The sessions of a signed programme as a calendar file (iCalendar, RFC 5545).

One weekly event for each part and weekday. Its UID follows from person, part and weekday alone, so a changed programme
updates the event that is there; a session that left the programme is sent once more as cancelled.
"""

from __future__ import annotations

import uuid
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, time, timedelta
from typing import Literal
from zoneinfo import ZoneInfo

from icalendar import Alarm, Calendar, Event

from haleward.dose.model import Programme
from haleward.dose.week import WEEK
from haleward.errors import HalewardError
from haleward.exchange.calendar_zone import zone_component, zone_named
from haleward.session.compile import WALK
from haleward.session.cue_sheet import CueSheet
from haleward.wording import Wording

Reminder = Literal["none", "evening", "half_hour"]
WEEKS_MOST = 52
EVENING = time(18)  # when the reminder of the evening before rings
_HALF_HOUR = timedelta(minutes=30)
_EPOCH = datetime(2020, 1, 1, tzinfo=UTC)  # SEQUENCE counts seconds from here: below 2**31 until 2088
_UIDS = uuid.UUID("3b0c7f1e-5c57-5f0a-8d0e-9a51c2f4d7aa")  # name space of event ids, made once at random


@dataclass(frozen=True)
class Wishes:
    """What the person chose. Without an hour, sessions are events of the whole day; no hour is ever made up."""

    at: time | None = None  # when strength sessions start
    walk_at: time | None = None  # when walks start
    reminder: Reminder = "none"
    movements: bool = False  # movements and doses in the text of each session
    address: str = ""  # of the person's page, only if the person wants it in the calendar


@dataclass(frozen=True)
class Note:
    """What is said of one session on its day besides the rest, and its own cue sheet where time is short."""

    lines: tuple[str, ...] = ()
    sheet: CueSheet | None = None


@dataclass(frozen=True)
class Standing:
    """What stands for or against coming sessions: older versions, days on hold, and whether the plan is on hold now.

    ``changes`` are single sessions that days away or little time move or take out: by part and planned day, the day
    they move to, or ``None``. ``notes`` are by part and planned day too, for sessions on days that are not like others.
    """

    earlier: tuple[Programme, ...] = ()  # signed versions before this one
    held_on: Collection[date] = ()  # days on which the plan was, or today is, on hold
    paused: bool = False  # on hold until somebody closes a concern
    changes: Mapping[tuple[str, date], date | None] = field(default_factory=dict)
    notes: Mapping[tuple[str, date], Note] = field(default_factory=dict)
    over: bool = False  # the programme has ended: every session is cancelled

    @property
    def single(self) -> Mapping[tuple[str, date], date]:
        """The sessions that are not like the rest of their series, each with its day."""
        own = {place: place[1] for place in self.notes} | dict(self.changes)
        return {place: to for place, to in sorted(own.items()) if to is not None}


@dataclass(frozen=True)
class _Slot:
    """One part on one weekday, from its first day on."""

    part_key: str
    weekday: str
    first: date


def calendar_of(
    programme: Programme,
    sheets: Mapping[str, CueSheet],
    wording: Wording,
    *,
    made_at: datetime,
    changed_at: datetime,
    timezone: str,
    start_on: date,
    weeks: int = 12,
    wishes: Wishes = Wishes(),
    standing: Standing = Standing(),
) -> bytes:
    """The calendar file of one signed programme: the same arguments give the same bytes.

    ``sheets`` holds the cue sheet of every part and of the walk: they give length, movements and version.
    ``changed_at`` is when plan, hold or wishes last changed: it becomes LAST-MODIFIED and, in seconds, SEQUENCE.
    Sessions run for ``weeks`` weeks from ``start_on``, at the same wall time in ``timezone`` all year.
    Raises :class:`HalewardError` for two parts on one day, a part without its cue sheet, and a time zone or number of
    weeks that cannot be.
    """
    _refuse(programme, sheets, weeks)
    zone = zone_named(timezone)
    writer = _Writer(programme.person_id, sheets, wording, made_at, changed_at, zone, weeks, wishes, standing)
    now, ended = _slots(programme, start_on), _ended(programme, standing.earlier)
    if standing.over:
        now, ended = [], [*now, *ended]
    events = [writer.event(slot, shared=_shares(slot, now)) for slot in now]
    events += [event for slot in now for event in writer.moved(slot, shared=_shares(slot, now))]
    events += [writer.ended(slot) for slot in ended]
    calendar = _empty(wording)
    if any(isinstance(event.decoded("dtstart"), datetime) for event in events):
        firsts = [slot.first for slot in (*now, *ended)]
        calendar.add_component(zone_component(zone, first=min(firsts), last=max(firsts) + timedelta(weeks=weeks)))
    for event in sorted(events, key=lambda one: (one["dtstart"].to_ical(), one["uid"])):
        calendar.add_component(event)
    return bytes(calendar.to_ical())


def sequence_of(changed_at: datetime) -> int:
    """SEQUENCE of a change: whole seconds since 2020, so that a later change always has the higher number."""
    return max(0, int((changed_at - _EPOCH).total_seconds()))


def uid_of(person_id: str, part_key: str, weekday: str) -> str:
    """The UID of a weekly session: the same in every version, and nobody can be told from it."""
    return str(uuid.uuid5(_UIDS, f"{person_id}/{part_key}/{weekday}"))


def minutes_of(sheet: CueSheet) -> int:
    """Whole minutes of a session, as its welcome says them."""
    return max(1, round(sheet.length_ms / 60_000))


@dataclass(frozen=True)
class _Writer:
    """Writes the events of one calendar."""

    person_id: str
    sheets: Mapping[str, CueSheet]
    wording: Wording
    made_at: datetime
    changed_at: datetime
    zone: ZoneInfo
    weeks: int
    wishes: Wishes
    standing: Standing

    def event(self, slot: _Slot, *, shared: _Slot | None) -> Event:
        """A session that is in the plan; ``shared`` is the strength part on the day of a walk."""
        at = self._hour(slot, shared)
        event = self._frame(slot, at)
        off = {day for (key, day), to in self.standing.changes.items() if key == slot.part_key and to is None}
        for day in sorted({*self.standing.held_on, *off}):
            if self._falls_on(slot, day):
                event.add("exdate", self._start(day, at))
        if self.standing.paused:
            event.add("summary", self._title(slot, held=True))
            event.add("description", self._say("calendar_held"))
            event.add("status", "CANCELLED")
            return event
        return self._confirmed(event, slot, at)

    def _confirmed(self, event: Event, slot: _Slot, at: time | None, note: Note = Note()) -> Event:
        title, sheet = self._title(slot), note.sheet or self.sheets[slot.part_key]
        event.add("summary", title)
        event.add("description", "\n".join((*note.lines, *self._lines(sheet))))
        event.add("status", "CONFIRMED")
        if self.wishes.address:
            event.add("url", self.wishes.address)
        ahead = self._ahead(at)
        if ahead is not None:
            event.add_component(_alarm(title, ahead))
        return event

    def moved(self, slot: _Slot, *, shared: _Slot | None) -> Iterator[Event]:
        """The sessions of a slot that are not like the rest: each stands for one of the series (RECURRENCE-ID)."""
        if self.standing.paused:
            return
        at = self._hour(slot, shared)
        for (key, day), to in self.standing.single.items():
            if key != slot.part_key or not self._falls_on(slot, day) or to in self.standing.held_on:
                continue
            note = self.standing.notes.get((key, day), Note())
            event = self._frame(replace(slot, first=to), at, note.sheet)
            del event["rrule"]
            event.add("recurrence-id", self._start(day, at))
            yield self._confirmed(event, slot, at, note)

    def _falls_on(self, slot: _Slot, day: date) -> bool:
        return WEEK[day.weekday()] == slot.weekday and slot.first <= day < slot.first + timedelta(weeks=self.weeks)

    def ended(self, slot: _Slot) -> Event:
        """A session of an earlier version that is in the plan no more."""
        event = self._frame(slot, self._hour(slot, None) if slot.part_key in self.sheets else None)
        event.add("summary", self._title(slot))
        event.add("description", self._say("calendar_ended"))
        event.add("status", "CANCELLED")
        return event

    def _frame(self, slot: _Slot, at: time | None, sheet: CueSheet | None = None) -> Event:
        event = Event()
        length = timedelta(days=1) if at is None else timedelta(minutes=minutes_of(sheet or self.sheets[slot.part_key]))
        event.add("uid", uid_of(self.person_id, slot.part_key, slot.weekday))
        event.add("dtstamp", self.made_at.astimezone(UTC))
        event.add("last-modified", self.changed_at.astimezone(UTC))
        event.add("sequence", sequence_of(self.changed_at))
        event.add("dtstart", self._start(slot.first, at))
        event.add("duration", length)
        event.add("rrule", {"freq": "weekly", "count": self.weeks})
        event.add("class", "PRIVATE")
        event.add("transp", "TRANSPARENT")
        return event

    def _start(self, day: date, at: time | None) -> date | datetime:
        return day if at is None else datetime.combine(day, at, self.zone)

    def _hour(self, slot: _Slot, shared: _Slot | None) -> time | None:
        """The person's hour; a walk that would meet the session of its day has none."""
        wishes = self.wishes
        if slot.part_key != WALK:
            return wishes.at
        if shared is None or wishes.at is None or wishes.walk_at is None:
            return wishes.walk_at
        at, walk_at = (datetime.combine(slot.first, hour) for hour in (wishes.at, wishes.walk_at))
        ends, walk_ends = (
            start + timedelta(minutes=minutes_of(self.sheets[key]))
            for start, key in ((at, shared.part_key), (walk_at, WALK))
        )
        return None if walk_at < ends and at < walk_ends else wishes.walk_at

    def _ahead(self, at: time | None) -> timedelta | None:
        """How long before its start a session is announced; half an hour before no hour is nothing."""
        if self.wishes.reminder == "evening":
            return timedelta(days=1) + _since_midnight(at or time()) - _since_midnight(EVENING)
        return _HALF_HOUR if self.wishes.reminder == "half_hour" and at is not None else None

    def _title(self, slot: _Slot, *, held: bool = False) -> str:
        sheet = self.sheets.get(slot.part_key)
        walks = slot.part_key == WALK and sheet is not None and sheet.exercises[0].movement_id == "walking"
        return self._say("calendar_title" + ("_walk" if walks else "") + ("_held" if held else ""))

    def _lines(self, sheet: CueSheet) -> Iterator[str]:
        yield self._say("calendar_minutes", minutes=str(minutes_of(sheet)))
        if self.wishes.movements:
            for place, one in enumerate(sheet.exercises, 1):
                yield f"{place}. {one.told}"
        yield self._say("calendar_stop")
        yield self._say("calendar_where")
        yield self._say("calendar_first")
        yield sheet.plan_line

    def _say(self, key: str, **values: str) -> str:
        return self.wording.text(key, values)


def _empty(wording: Wording) -> Calendar:
    calendar = Calendar()
    calendar.add("prodid", "-//Haleward//Exercise plan//EN")
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("method", "PUBLISH")
    calendar.add("name", wording.text("calendar_name", {}))
    calendar.add("x-wr-calname", wording.text("calendar_name", {}))
    calendar.add("refresh-interval", timedelta(hours=6), parameters={"VALUE": "DURATION"})
    return calendar


def _alarm(text: str, ahead: timedelta) -> Alarm:
    alarm = Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("description", text)
    alarm.add("trigger", -ahead)
    return alarm


def _slots(programme: Programme, start_on: date) -> list[_Slot]:
    days = [(part.key, day) for part in programme.parts for day in part.days]
    days += [(WALK, day) for day in programme.walking.days]
    return [_Slot(key, day, _first_on(day, start_on)) for key, day in days]


def _ended(programme: Programme, earlier: Sequence[Programme]) -> list[_Slot]:
    """Slots of earlier versions that this one has not, each as its last version had it."""
    kept = {(slot.part_key, slot.weekday) for slot in _slots(programme, programme.made_on)}
    gone: dict[tuple[str, str], _Slot] = {}
    for version in sorted(earlier, key=lambda one: one.version):
        for slot in _slots(version, version.signed_on or version.made_on):
            if (slot.part_key, slot.weekday) not in kept:
                gone[slot.part_key, slot.weekday] = slot
    return list(gone.values())


def _shares(walk: _Slot, slots: Sequence[_Slot]) -> _Slot | None:
    return next((one for one in slots if one.part_key != WALK and one.weekday == walk.weekday), None)


def _first_on(weekday: str, start_on: date) -> date:
    return start_on + timedelta(days=(WEEK.index(weekday) - start_on.weekday()) % len(WEEK))


def _since_midnight(at: time) -> timedelta:
    return timedelta(hours=at.hour, minutes=at.minute)


def _refuse(programme: Programme, sheets: Mapping[str, CueSheet], weeks: int) -> None:
    if not 1 <= weeks <= WEEKS_MOST:
        raise HalewardError(f"{weeks} weeks cannot go into a calendar; choose 1 to {WEEKS_MOST}.")
    taken: dict[str, str] = {}
    for part in programme.parts:
        for day in part.days:
            other = taken.setdefault(day, part.key)
            if other != part.key:
                where = f"are both on {day.capitalize()}"
                raise HalewardError(f"Part {other} and part {part.key} {where}; give each part days of its own.")
    for slot in _slots(programme, programme.made_on):
        if slot.part_key not in sheets:
            raise HalewardError(f"There is no cue sheet for {slot.part_key!r}; a calendar needs one for every part.")

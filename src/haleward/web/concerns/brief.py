"""The brief for a call or another review on one screen: the last days as told, what changed, and what to ask."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from django.utils import timezone

from haleward.dose.log import WALK, SessionLog
from haleward.dose.model import Programme
from haleward.physiology.tables import rows
from haleward.record import Record, Restriction
from haleward.render.chart_series import walked_minutes
from haleward.web.assessment.mapping import record_of
from haleward.web.assessment.models import finished_of
from haleward.web.concerns.brief_questions import Asked, questions_of
from haleward.web.concerns.models import Concern, Contact
from haleward.web.delivery.logs import all_logs
from haleward.web.people.models import Person
from haleward.web.prescription.models import signed_of
from haleward.web.prescription.signing import programme_of

OUTCOMES = {"": "", "as_planned": "as planned", "part": "in part", "not_done": "not done"}
NOT_TOLD = "not told"
MOST_AT_ONCE = 6  # rows that fit beside the rest on one screen


@dataclass(frozen=True)
class Line:
    """One session of the time as told."""

    on: date
    what: str
    how: str
    minutes: str
    effort: str
    symptoms: str
    sore: str
    told_by: str
    notable: bool = False  # something to ask about: not as planned, over the agreed effort, a symptom, soreness


@dataclass(frozen=True)
class Trend:
    """One number of the last seven days beside the seven before; "not told" is never zero."""

    name: str
    before: str
    last: str


@dataclass(frozen=True)
class Brief:
    """All that is on the screen."""

    first: date
    last: date
    lines: tuple[Line, ...]
    trends: tuple[Trend, ...]
    questions: tuple[str, ...]
    medicines: tuple[str, ...]
    medicines_known: bool
    restrictions: tuple[Restriction, ...]
    concerns: tuple[Concern, ...]
    contact: Contact | None
    plan: Programme | None

    @property
    def first_lines(self) -> tuple[Line, ...]:
        """What to see at once: everything when it is little, else what is notable."""
        return self.lines if len(self.lines) <= MOST_AT_ONCE else tuple(one for one in self.lines if one.notable)

    @property
    def folded(self) -> bool:
        """Whether the whole list is longer than what is seen at once."""
        return len(self.first_lines) < len(self.lines)


def days(key: str) -> int:
    """One setting of the table of follow-up settings, a whole number."""
    return next(int(row["value"]) for row in rows("follow_up_settings") if row["key"] == key)


def brief_of(person: Person, *, today: date) -> Brief:
    """The brief of one person on a day."""
    first = today - timedelta(days=days("brief_days") - 1)
    signed, newest = signed_of(person), finished_of(person)
    plan, record = (programme_of(signed) if signed else None), (record_of(newest) if newest else None)
    everything = tuple(log for log in all_logs(person) if _day(log) <= today)
    logs = tuple(log for log in everything if _day(log) >= first)
    versions = {row.version: programme_of(row) for row in person.programmes.filter(signed_at__isnull=False)}
    concerns = tuple(person.concerns.filter(closed_at__isnull=True))
    medicines = _medicines(record, since=today - timedelta(days=days("brief_medicine_days")))
    asked = Asked(logs, everything[-1:], plan, record, concerns, first, today, person.reach)
    return Brief(
        first=first,
        last=today,
        lines=tuple(_line(log, versions.get(log.plan_version)) for log in reversed(logs)),
        trends=_trends(logs, versions, today),
        questions=questions_of(asked),
        medicines=medicines,
        medicines_known=record is not None and record.medicines is not None,
        restrictions=tuple(one for one in record.restrictions if one.released_on is None) if record else (),
        concerns=concerns,
        contact=person.contacts.select_related("by").first(),
        plan=plan,
    )


def _day(log: SessionLog) -> date:
    return timezone.localdate(log.started_at)


def _line(log: SessionLog, version: Programme | None) -> Line:
    if log.stopped_by_check:
        how = "the check said stop"
    elif log.outside:
        how = "felt unwell"
    elif log.symptoms:
        how = "stopped"
    else:
        how = OUTCOMES[log.outcome] or ("finished" if log.ended_at else "not finished")
    rate = "" if log.heart_rate_bpm is None else f", {log.heart_rate_bpm:g} a minute"
    return Line(
        on=_day(log),
        what=_what(log),
        how=f"{how}: {log.reason.replace('_', ' ')}" if log.reason else how,
        minutes=_shown(walked_minutes(log, version)) if log.part_key == WALK else "",
        effort=_shown(_effort(log)) + rate,
        symptoms=", ".join(log.symptoms),
        sore="" if log.sore_days is None else f"{log.sore_days:g} days {', '.join(log.sore_places)}".strip(),
        told_by=log.origin,
        notable=_notable(log, version),
    )


def _what(log: SessionLog) -> str:
    if log.outside:
        return "Outside a session"
    return "Walk" if log.part_key == WALK else f"Part {log.part_key}"


def _notable(log: SessionLog, version: Programme | None) -> bool:
    effort = _effort(log)
    over = version is not None and effort is not None and effort > version.effort_high
    said = bool(log.symptoms or log.reason or log.sore_days) or log.stopped_by_check
    return said or over or log.outcome in ("part", "not_done") or not (log.outcome or log.ended_at)


def _effort(log: SessionLog) -> float | None:
    """The highest effort of the session, of a set or of the whole."""
    efforts = [one.effort for one in log.sets if one.effort is not None]
    return max([*efforts, *([] if log.whole_effort is None else [log.whole_effort])], default=None)


def _shown(value: float | None) -> str:
    return NOT_TOLD if value is None else f"{value:g}"


def _trends(logs: tuple[SessionLog, ...], versions: dict[int, Programme], today: date) -> tuple[Trend, ...]:
    middle = today - timedelta(days=6)
    weeks = [[log for log in logs if (_day(log) >= middle) is late] for late in (False, True)]
    done = [[log for log in week if not log.missed and not log.stopped_by_check] for week in weeks]
    told = [
        [walked_minutes(log, versions.get(log.plan_version)) for log in week if log.part_key == WALK] for week in weeks
    ]
    minutes = [[one for one in week if one is not None] for week in told]
    efforts = [[one for log in week if (one := _effort(log)) is not None] for week in done]
    return (
        Trend(
            "Strengthening sessions",
            *(str(sum(log.part_key != WALK for log in week)) if week else NOT_TOLD for week in done),
        ),
        Trend("Walking minutes", *(_shown(sum(week)) if week else NOT_TOLD for week in minutes)),
        Trend("Highest effort", *(_shown(max(week, default=None)) for week in efforts)),
        Trend(
            "Sessions with a symptom",
            *(str(sum(bool(log.symptoms) for log in week)) if week else NOT_TOLD for week in weeks),
        ),
    )


def _medicines(record: Record | None, *, since: date) -> tuple[str, ...]:
    if record is None:
        return ()
    began = [(one.since, f"{one.name} {one.dose}".strip()) for one in record.medicines or () if one.since]
    ended = [(one.ended_by, f"{one.name} {one.dose} ended".replace("  ", " ")) for one in record.former_medicines]
    return tuple(f"{text}, {on.day} {on:%B %Y}" for on, text in sorted([*began, *ended]) if on >= since)

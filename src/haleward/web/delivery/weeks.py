"""A person's weeks by date: the signed plan with the days they told us about, and what is told of each session."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from typing import cast

from django.utils import timezone

from haleward.dose.log import SessionLog
from haleward.dose.model import Programme
from haleward.dose.week_plan import SpecialDays, SpecialKind, Week, week_of
from haleward.web.assessment.mapping import record_of
from haleward.web.delivery.logs import all_logs
from haleward.web.people.models import Person
from haleward.web.prescription.models import ProgrammeVersion
from haleward.web.prescription.signing import programme_of
from haleward.web.team import protocol as in_force

DONE = ("as_planned", "part")


@dataclass(frozen=True)
class Told:
    """What is known of a session: as_planned, part, not_done, or "played" on the session page; by whom."""

    outcome: str
    origin: str
    late: bool
    session_id: str
    log: SessionLog

    @property
    def done(self) -> bool:
        """Whether any of it was done. Part done counts."""
        return self.outcome in (*DONE, "played")


def special_of(person: Person) -> tuple[SpecialDays, ...]:
    """The special days that stand, as the week plan takes them."""
    return tuple(
        SpecialDays(
            cast(SpecialKind, row.kind), row.first_on, row.last_on, timezone.localdate(row.told_at), row.minutes
        )
        for row in person.special_days.filter(withdrawn_at__isnull=True)
    )


def week_for(row: ProgrammeVersion, day: date) -> Week:
    """The week of a signed plan in which ``day`` lies, for the page, the calendar and paper."""
    return weeks_for(row, [day])[0]


def weeks_for(row: ProgrammeVersion, days: Iterable[date], programme: Programme | None = None) -> list[Week]:
    """Several weeks, each by one day of it."""
    plan = programme or programme_of(row)
    special, own = special_of(row.person), record_of(row.assessment).exercise_days
    policy = in_force.protocol_of(row.person.service).policies.dose
    return [week_of(plan, day, special=special, own_days=own, policy=policy) for day in days]


def begun_on(person: Person) -> date:
    """The day on which the first plan was signed. Raises when there is none."""
    return timezone.localdate(person.programmes.filter(signed_at__isnull=False).earliest("signed_at").signed_at)


def told_by_place(person: Person) -> dict[tuple[date, str], Told]:
    """What is told, by local day and part; the last word on each."""
    found: dict[tuple[date, str], Told] = {}
    for log in all_logs(person):
        outcome = log.outcome or ("played" if log.sets or log.whole_effort is not None else "")
        if outcome:
            day = timezone.localdate(log.started_at)
            found[day, log.part_key] = Told(outcome, log.origin, log.back_dated, log.session_id, log)
    return found


def days_between(first: date, last: date) -> list[date]:
    """Every day from the first to the last."""
    return [first + timedelta(days=number) for number in range((last - first).days + 1)]

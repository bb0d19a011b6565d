"""The queue of open concerns: how soon each is due by the team's opening times, and what is overdue first."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import cast

from django.db.models import QuerySet
from django.utils import timezone

from haleward.safety.hours import Opening, due_by, parse_openings
from haleward.safety.parts import CONCERN_LEVELS, ConcernLevel
from haleward.web.accounts.models import User
from haleward.web.concerns.models import Concern
from haleward.web.team import protocol as in_force

URGENT = ("emergency", "same_day")


@dataclass(frozen=True)
class Waiting:
    """One open concern and its time. ``late`` is how long it has been overdue, in words; "" when it is not."""

    row: Concern
    due_at: datetime | None
    late: str

    @property
    def urgent(self) -> bool:
        """Whether it cannot wait for tomorrow, or has waited too long."""
        return self.row.urgency in URGENT or bool(self.late)

    @property
    def who(self) -> str:
        """Who looks at it."""
        if self.row.taken_by is not None:
            return f"taken by {self.row.taken_by.get_full_name()}"
        return f"for the {'lead' if self.row.for_role == 'lead' else 'nurses'}, not taken"


def open_concerns(user: User) -> QuerySet[Concern]:
    """The open concerns of the user's team."""
    rows = Concern.objects.filter(person__service_id=user.service_id, closed_at__isnull=True)
    return rows.select_related("person", "taken_by")


def queue_of(user: User, *, now: datetime) -> list[Waiting]:
    """Every open concern, what is overdue first, then by how soon."""
    openings = parse_openings(in_force.numbers_of(user.service).values.get("open_times", ""))
    found = [waiting(row, openings, now=now) for row in open_concerns(user)]
    return sorted(found, key=_order)


def waiting(row: Concern, openings: tuple[Opening, ...], *, now: datetime) -> Waiting:
    """When this concern is due, and by how much it is late."""
    due_at = due_by(cast(ConcernLevel, row.urgency), timezone.localtime(row.raised_at), openings)
    late = now - due_at if due_at is not None else timedelta(0)
    return Waiting(row, due_at, _span(late) if late >= timedelta(minutes=1) else "")


def _order(one: Waiting) -> tuple[bool, int, datetime]:
    return not one.late, CONCERN_LEVELS.index(cast(ConcernLevel, one.row.urgency)), one.due_at or one.row.raised_at


def _span(late: timedelta) -> str:
    minutes = int(late.total_seconds()) // 60
    for size, name in ((24 * 60, "day"), (60, "hour"), (1, "minute")):
        if minutes >= size:
            count = minutes // size
            return f"{count} {name}{'' if count == 1 else 's'}"
    return "less than a minute"

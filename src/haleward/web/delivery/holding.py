"""Why a person's plan is on hold: an open concern, or a check of today that said "not today"."""

from __future__ import annotations

from datetime import date, timedelta

from django.db.models import Q

from haleward.web.concerns.found import CHECK_TOPIC
from haleward.web.people.models import Person
from haleward.web.prescription.models import CheckOfDay


def check_on(person: Person, day: date) -> CheckOfDay | None:
    """The last check that staff made on this local day."""
    return person.day_checks.filter(asked_at__date=day).order_by("-asked_at", "-pk").first()


def why_held(person: Person, day: date) -> str:
    """One sentence for staff; "" when nothing holds the plan."""
    if person.concerns.filter(closed_at__isnull=True, holds_plan=True).exists():
        return "On hold: a concern is open. Close it before any session."
    check = check_on(person, day)
    if check is not None and check.gate["outcome"] == "not_today":
        return "On hold: the check of today said not today. Check again before any session."
    return ""


def settled_sessions(person: Person, day: date) -> tuple[str, ...]:
    """The sessions of which staff have closed what stopped them; none while anything holds the plan.

    A phone that was stopped in one of them may go on.
    """
    if why_held(person, day):
        return ()
    rows = person.concerns.filter(session_id__isnull=False)
    waiting = rows.filter(Q(holds_plan=True) | Q(topic__startswith=CHECK_TOPIC), closed_at__isnull=True)
    closed = rows.filter(closed_at__isnull=False).exclude(session_id__in=waiting.values("session_id"))
    return tuple(sorted({str(one) for one in closed.values_list("session_id", flat=True)}))


def reopened_on(person: Person, day: date) -> bool:
    """Whether staff ended a hold on this day or the day before it, and nothing holds the plan now."""
    ended = person.concerns.filter(holds_plan=True, closed_at__date__gte=day - timedelta(days=1))
    return ended.exists() and not why_held(person, day)

"""Why a person's plan is on hold: an open concern, or a check of today that said "not today"."""

from __future__ import annotations

from datetime import date

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

"""The parts of a person's page, in the order of care; each part belongs to its own app."""

from __future__ import annotations

from typing import Any

from haleward.web.accounts.models import User
from haleward.web.assessment import section as assessment
from haleward.web.concerns import section as concerns
from haleward.web.delivery import section as delivery
from haleward.web.people.models import Person
from haleward.web.prescription import section as prescription


def sections_of(person: Person, user: User) -> dict[str, Any]:
    """Template context of every part this role may see: ``parts`` is a list of (template, context)."""
    parts = (concerns, assessment, prescription, delivery)
    shown = [(part.TEMPLATE, part.context(person, user)) for part in parts if user.role in part.ROLES]
    return {"parts": shown, "referrals": person.referrals.all() if user.role in ("lead", "nurse") else ()}

"""This part of a person's page."""

from __future__ import annotations

from typing import Any

from haleward.web.accounts.models import User
from haleward.web.people.models import Person

ROLES = frozenset({"lead", "nurse"})
TEMPLATE = "assessment/_section.html"


def context(person: Person, user: User) -> dict[str, Any]:
    """What the part shows."""
    return {"person": person, "user": user}

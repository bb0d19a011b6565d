"""Open concerns at the top of a person's page."""

from __future__ import annotations

from typing import Any

from haleward.web.accounts.models import User
from haleward.web.people.models import Person

ROLES = frozenset({"lead", "nurse", "assistant"})
TEMPLATE = "concerns/_section.html"


def context(person: Person, user: User) -> dict[str, Any]:
    """Concerns that are still open; an assistant sees that there is one, not what it says."""
    rows = person.concerns.filter(closed_at__isnull=True)
    return {"person": person, "concerns": rows, "may_open": user.role in ("lead", "nurse")}

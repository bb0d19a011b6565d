"""Sessions on a person's page: the link, the prints and what was done."""

from __future__ import annotations

from typing import Any

from django.utils import timezone

from haleward.web.accounts.models import User
from haleward.web.delivery.holding import why_held
from haleward.web.delivery.logs import all_logs
from haleward.web.delivery.reading import clocks_of, readable_session, titles_of
from haleward.web.languages.shown import told_to_staff
from haleward.web.people.models import Person
from haleward.web.prescription.models import signed_of
from haleward.web.prescription.signing import programme_of

ROLES = frozenset({"lead", "nurse", "assistant"})
TEMPLATE = "delivery/_section.html"
SHOWN = 3


def context(person: Person, user: User) -> dict[str, Any]:
    """The signed plan's parts and the last few sessions."""
    row = signed_of(person)
    logs, titles, clocks = all_logs(person), titles_of(person), clocks_of(person)
    return {
        "person": person,
        "row": row,
        "programme": programme_of(row) if row else None,
        "logs": [readable_session(log, titles, clocks.get(log.session_id)) for log in reversed(logs[-SHOWN:])],
        "more": len(logs) > SHOWN,
        "language": told_to_staff(person),
        "held": why_held(person, timezone.localdate()),
        "may_link": user.role in ("lead", "nurse"),
        "special": person.special_days.filter(withdrawn_at__isnull=True, last_on__gte=timezone.localdate()),
    }

"""The latest finished assessment on a person's page: the facts in short, what is missing, and the next step."""

from __future__ import annotations

from typing import Any

from django.utils import timezone

from haleward.safety.facts import facts_of
from haleward.safety.gate import entry_gate
from haleward.web.accounts.models import User
from haleward.web.assessment.forms import ReleaseForm
from haleward.web.assessment.mapping import record_of
from haleward.web.assessment.models import draft_of, finished_of
from haleward.web.assessment.questions import asked_for
from haleward.web.assessment.readable import facts_in_short, restriction_lines
from haleward.web.people.models import Person
from haleward.web.team import protocol as in_force

ROLES = frozenset({"lead", "nurse"})
TEMPLATE = "assessment/_section.html"


def context(person: Person, user: User) -> dict[str, Any]:
    """What the part shows."""
    last, draft = finished_of(person), draft_of(person)
    shown: dict[str, Any] = {"person": person, "user": user, "last": last, "draft": draft}
    if last is None:
        return shown
    record, today = record_of(last), timezone.localdate()
    gate = entry_gate(facts_of(record, today=today), in_force.protocol_of(person.service))
    return shown | {
        "facts": facts_in_short(record),
        "restrictions": restriction_lines(record, today),
        "missing": asked_for(gate.missing),
        "release_form": ReleaseForm(),
    }

"""What the protocol asks of staff on Today: people to look at again after a signature, a review that is due."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from django.urls import reverse
from django.utils import timezone

from haleward.web.accounts.models import User
from haleward.web.protocol.models import ProtocolReview, in_force_of


@dataclass(frozen=True)
class ProtocolDue:
    """One thing to do: for whom, why, and whether it is due today at the latest."""

    when: str
    soon: bool
    title: str
    detail: str
    url: str


def protocol_due(user: User) -> list[ProtocolDue]:
    """People whose numbers a newly signed version changed (for the lead), and the version's own review date."""
    found = _review_date(user, timezone.localdate())
    return found + ([_review(row) for row in ProtocolReview.open_for(user.service_id)] if user.role == "lead" else [])


def _review(row: ProtocolReview) -> ProtocolDue:
    return ProtocolDue(
        when="Today" if row.is_stricter else "To review",
        soon=row.is_stricter,
        title=str(row.person),
        detail=f"Protocol version {row.version.version} changes this person: {' '.join(row.changes)}",
        url=reverse("protocol_review", args=[row.pk]),
    )


def _review_date(user: User, today: date) -> list[ProtocolDue]:
    row = in_force_of(user.service)
    if row is None or row.review_due is None or row.review_due > today:
        return []
    detail = f"Version {row.version} was to be reviewed by {row.review_due:%-d %B %Y}"
    return [ProtocolDue("To review", False, "Protocol", detail, reverse("protocol"))]

"""Ending a person's programme, and taking that back. Nothing is removed; the link is closed while the end stands."""

from __future__ import annotations

from datetime import date, datetime

from django.db import IntegrityError, transaction

from haleward.errors import HalewardError
from haleward.web.accounts.models import User
from haleward.web.people.models import Person, ProgrammeEnd, end_of


def end_programme(person: Person, *, ended_on: date, why: str, note: str, user: User, now: datetime) -> ProgrammeEnd:
    """Keep that the programme ended. Raises one sentence when it has ended already."""
    try:
        with transaction.atomic():
            return ProgrammeEnd.objects.create(
                person=person, ended_on=ended_on, why=why, note=note, told_by=user, told_at=now
            )
    except IntegrityError as error:  # a colleague was quicker
        raise HalewardError("This programme has ended already. Take that back first.") from error


def go_on(person: Person, *, user: User, now: datetime) -> None:
    """Take the end back; link and calendar open again. A second press changes nothing."""
    end = end_of(person)
    if end is not None:
        end.undone_by, end.undone_at = user, now
        end.save()

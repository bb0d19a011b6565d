"""Signed links: a person's own link, and the short-lived one staff use to run a session beside the person."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Literal

from django.core import signing
from django.db import transaction
from django.utils import timezone

from haleward.errors import HalewardError
from haleward.web.accounts.models import User
from haleward.web.delivery.models import PersonLink
from haleward.web.people.models import Person

SALT = "haleward.person-link"
LINK_DAYS = 120  # a programme lasts about twelve weeks; staff can renew or withdraw at any time
STAFF_HOURS = 12
RUN_BY = ("lead", "nurse", "assistant")  # roles that may run a session beside a person


class LinkClosed(HalewardError):
    """The link was withdrawn, has expired or is not one of ours."""

    def __init__(self) -> None:
        super().__init__("This link has expired or was replaced. Ask your team for a new one.")


@dataclass(frozen=True)
class Holder:
    """Whoever holds a valid link: for which person, and whether a member of staff runs the session."""

    person: Person
    origin: Literal["person", "staff"]


@transaction.atomic
def make_link(person: Person, *, user: User, now: datetime) -> PersonLink:
    """A new link; any earlier one of this person is withdrawn."""
    person.links.filter(withdrawn_at__isnull=True).update(withdrawn_at=now)
    return PersonLink.objects.create(person=person, made_by=user, expires_at=now + timedelta(days=LINK_DAYS))


def token_of(link: PersonLink) -> str:
    """The signed text that goes into the address and the QR code."""
    return signing.dumps({"link": str(link.pk)}, salt=SALT, compress=True)


def staff_token(person: Person, user: User) -> str:
    """A token for one working day, for a session run by staff on their own device."""
    return signing.dumps({"person": str(person.pk), "user": user.pk}, salt=SALT, compress=True)


def read_token(token: str) -> Holder:
    """Who holds this token. Raises :class:`LinkClosed` for anything that is not valid today."""
    try:
        content = signing.loads(token, salt=SALT)
    except signing.BadSignature as error:
        raise LinkClosed from error
    if "user" in content:
        return _staff_holder(token, content)
    return Holder(open_link(content.get("link")).person, "person")


def open_link(link_id: str | None) -> PersonLink:
    """The link of this id. Raises :class:`LinkClosed` for one that was withdrawn, has expired or never was."""
    link = PersonLink.objects.select_related("person").filter(pk=link_id).first() if link_id else None
    if link is None or link.withdrawn_at or link.expires_at < timezone.now():
        raise LinkClosed
    return link


def _staff_holder(token: str, content: dict[str, str]) -> Holder:
    try:
        signing.loads(token, salt=SALT, max_age=STAFF_HOURS * 3600)
    except signing.SignatureExpired as error:
        raise LinkClosed from error
    user = User.objects.filter(pk=content["user"], is_active=True, role__in=RUN_BY).first()
    person = Person.objects.for_team(user).filter(pk=content["person"]).first() if user else None
    if person is None:
        raise LinkClosed
    return Holder(person, "staff")

"""Signed links: a person's own link, that of somebody who helps, and the short-lived one of staff beside a person."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Literal

from django.core import signing
from django.db import transaction
from django.utils import timezone

from haleward.errors import HalewardError
from haleward.web.accounts.models import User
from haleward.web.delivery.models import CarerConsent, PersonLink
from haleward.web.people.models import Person

SALT = "haleward.person-link"
LINK_DAYS = 120  # a programme lasts about twelve weeks; staff can renew or withdraw at any time
STAFF_HOURS = 12
COVERS = ("plan", "log", "progress")  # what a consent may let a carer see: the week and its sessions, telling, charts
RUN_BY = ("lead", "nurse", "assistant")  # roles that may run a session beside a person


class LinkClosed(HalewardError):
    """The link was withdrawn, has expired or is not one of ours."""

    def __init__(self) -> None:
        super().__init__("This link has expired or was replaced. Ask your team for a new one.")


@dataclass(frozen=True)
class Holder:
    """Whoever holds a valid link: for which person, and who that is.

    ``covers`` is what the link opens: all of :data:`COVERS`, or for a carer what the person's consent covers.
    """

    person: Person
    origin: Literal["person", "carer", "staff"]
    covers: frozenset[str] = frozenset(COVERS)
    carer_name: str = ""


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
    if "carer" in content:
        return _carer_holder(content["carer"])
    return Holder(open_link(content.get("link")).person, "person")


def open_link(link_id: str | None) -> PersonLink:
    """The link of this id. Raises :class:`LinkClosed` for one that was withdrawn, has expired or never was."""
    link = PersonLink.objects.select_related("person").filter(pk=link_id).first() if link_id else None
    if link is None or link.withdrawn_at or link.expires_at < timezone.now():
        raise LinkClosed
    return link


def give_consent(
    person: Person, *, carer_name: str, covers: list[str], recorded_by: User | None, now: datetime
) -> CarerConsent:
    """Record that the person lets somebody see what ``covers`` names; ``recorded_by`` is staff, or the person."""
    unknown = set(covers) - set(COVERS)
    if unknown or not covers:
        raise HalewardError(f"A consent covers {', '.join(COVERS)}, one of these at least.")
    return CarerConsent.objects.create(
        person=person,
        carer_name=carer_name,
        covers=covers,
        recorded_by=recorded_by,
        given_at=now,
        expires_at=now + timedelta(days=LINK_DAYS),
    )


def carer_token(consent: CarerConsent) -> str:
    """The signed text in the address of somebody who helps."""
    return signing.dumps({"carer": str(consent.pk)}, salt=SALT, compress=True)


def consents_of(person: Person, now: datetime) -> list[CarerConsent]:
    """The consents that stand now."""
    return list(person.carers.filter(withdrawn_at__isnull=True, expires_at__gt=now))


def _carer_holder(consent_id: str) -> Holder:
    row = CarerConsent.objects.select_related("person__service").filter(pk=consent_id).first()
    if row is None or row.withdrawn_at or row.expires_at < timezone.now():
        raise LinkClosed
    return Holder(row.person, "carer", frozenset(row.covers), row.carer_name)


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

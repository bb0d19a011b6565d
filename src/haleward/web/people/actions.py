"""What staff do with people and referrals, each in one transaction."""

from __future__ import annotations

import unicodedata
from typing import Any
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from haleward.errors import HalewardError
from haleward.exchange.fhir_referral import read_referral
from haleward.exchange.proposal import ReferralProposal
from haleward.exchange.typed_referral import typed_referral
from haleward.plain import from_plain, to_plain
from haleward.web.accounts.models import User
from haleward.web.people.forms import IDENTITY
from haleward.web.people.forms_reach import REACH
from haleward.web.people.models import Person, ProgrammeEnd, Referral


def find_people(user: User, query: str) -> list[Person]:
    """People of the service whose names or local number contain every word of ``query``."""
    words = _bare(query).split()
    return [
        row
        for row in Person.objects.for_team(user)
        if all(word in _bare(f"{row.first_name} {row.last_name} {row.local_number}") for word in words)
    ]


def ended_ids(user: User) -> set[UUID]:
    """Whose programme has ended."""
    ended = ProgrammeEnd.objects.filter(person__service_id=user.service_id, undone_at__isnull=True)
    return set(ended.values_list("person_id", flat=True))


def _bare(text: str) -> str:
    """Letters without accents or case, as a name is typed in a hurry. The database folds the letters a to z only."""
    return "".join(c for c in unicodedata.normalize("NFKD", text) if not unicodedata.combining(c)).casefold()


@transaction.atomic
def type_referral(data: dict[str, Any], *, form_id: UUID, user: User) -> tuple[Person, bool]:
    """Store a typed referral and the person it names, once for each form; whether they are new."""
    names = ("first_name", "last_name", "sex", "language")
    proposal = typed_referral(
        {name: data[name] for name in names} | {"request": data["reason"], "requester": data["referrer"]},
        born_on=data["born_on"],
        event=data["event"],
        event_on=data["event_on"],
        medicines=data["medicines"].splitlines(),
    )
    told = {"proposal": to_plain(proposal), "reason": data["reason"], "referrer": data["referrer"]}
    decided = {"state": Referral.State.CONFIRMED, "decided_by": user, "decided_at": timezone.now()}
    row, new = Referral.objects.get_or_create(form_id=form_id, service=user.service, defaults=told | decided)
    if new:
        row.person = Person.objects.create(service=user.service, **_kept(data))
        row.save(update_fields=["person"])
    assert row.person is not None  # stored with the referral, in one transaction
    return row.person, new


def _kept(data: dict[str, Any]) -> dict[str, Any]:
    """What a form says about who the person is and how to reach them; what it does not ask stays not asked."""
    return {name: data[name] for name in IDENTITY} | {name: data[name] for name in REACH if name in data}


@transaction.atomic
def import_referral(data: bytes, *, user: User) -> Referral:
    """Keep the file and what it proposes; nothing about a person is stored yet."""
    proposal = read_referral(data)
    return Referral.objects.create(
        service=user.service,
        source_file=data,
        proposal=to_plain(proposal),
        reason=proposal.text("request"),
        referrer=proposal.text("requester"),
    )


def proposal_of(referral: Referral) -> ReferralProposal | None:
    """What the referral proposes; None for one that was recorded without its content."""
    stored = referral.proposal
    return from_plain(ReferralProposal, stored) if "bundle_type" in stored else None


def proposed_identity(proposal: ReferralProposal | None) -> dict[str, Any]:
    """The identity a file proposes, as first values of the form that confirms it."""
    if proposal is None:
        return {}
    identity: dict[str, Any] = {name: proposal.text(name) for name in IDENTITY if proposal.text(name)}
    if proposal.birth and proposal.birth.on:
        identity["born_on"] = proposal.birth.on
    return identity


def possible_twins(proposal: ReferralProposal | None, user: User) -> list[Person]:
    """People of the service with the same family name: records are never merged without staff."""
    name = _bare(proposal.text("last_name")) if proposal else ""
    return [row for row in Person.objects.for_team(user) if name and _bare(row.last_name) == name]


@transaction.atomic
def confirm_referral(referral: Referral, data: dict[str, Any], *, user: User) -> Person:
    """Make the person that staff confirmed; their assessment opens with what the file proposes, to be checked."""
    _refuse_decided(referral)
    person = Person.objects.create(service=user.service, **_kept(data))
    referral.person, referral.state = person, Referral.State.CONFIRMED
    referral.decided_by, referral.decided_at = user, timezone.now()
    referral.save()
    return person


@transaction.atomic
def decline_referral(referral: Referral, *, user: User) -> None:
    """Close a proposal without making a person."""
    _refuse_decided(referral)
    referral.state, referral.decided_by, referral.decided_at = Referral.State.DECLINED, user, timezone.now()
    referral.save()


def _refuse_decided(referral: Referral) -> None:
    referral.refresh_from_db(fields=["state"])  # a colleague may have been quicker
    if referral.state != Referral.State.PROPOSED:
        raise HalewardError(f"This referral is already {referral.get_state_display()}.")

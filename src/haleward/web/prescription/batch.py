"""Several proposals accepted together, those of one person in one plan, and taken back while nothing followed.

An accepted version is signed and never changes. Taking it back signs the content of the version before it as the next
version; the sessions before count on, and proposals are made anew from them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from itertools import groupby
from uuid import UUID, uuid4

from django.db import transaction
from django.db.models import Exists, OuterRef
from django.utils import timezone

from haleward.errors import HalewardError
from haleward.physiology.tables import rows
from haleward.web.accounts.models import User
from haleward.web.people.models import Person
from haleward.web.prescription.ground import needed_ground
from haleward.web.prescription.models import ProgrammeVersion, ProposalDecision, draft_of, signed_of
from haleward.web.prescription.proposals import accept_of_one_person, proposal_of, renew_proposals
from haleward.web.prescription.signing import Decision, content_of, programme_of, sign

Answer = ProposalDecision.Answer


@dataclass(frozen=True)
class Accepted:
    """What came of accepting several: those signed, and for each of the others why not."""

    batch: UUID
    done: tuple[ProposalDecision, ...]
    refused: tuple[tuple[ProposalDecision, str], ...]


def undo_time() -> timedelta:
    """How long an acceptance can be taken back."""
    return timedelta(
        minutes=next(int(row["value"]) for row in rows("follow_up_settings") if row["key"] == "undo_minutes")
    )


def waiting_for(user: User) -> list[ProposalDecision]:
    """The proposals of the user's team that change a dose and wait, by person."""
    found = ProposalDecision.objects.filter(person__in=Person.objects.for_team(user).going_on(), answer=Answer.WAITING)
    ordered = found.select_related("person", "programme").order_by("person__last_name", "person__first_name", "pk")
    return [row for row in ordered if proposal_of(row).changes]


def accept_together(chosen: Sequence[ProposalDecision], *, user: User, now: datetime) -> Accepted:
    """Accept each as it stands, one next plan a person: all of a person's or none, then with the reason why not."""
    batch = uuid4()
    done: list[ProposalDecision] = []
    refused: list[tuple[ProposalDecision, str]] = []
    for _, found in groupby(sorted(chosen, key=lambda row: row.person_id), key=lambda row: row.person_id):
        these = tuple(found)
        try:
            _accepted(these, batch, user=user, now=now)
        except HalewardError as fault:
            refused += [(row, str(fault)) for row in these]
        else:
            done += these
    return Accepted(batch, tuple(done), tuple(refused))


@transaction.atomic
def _accepted(these: Sequence[ProposalDecision], batch: UUID, *, user: User, now: datetime) -> None:
    accept_of_one_person(these, user=user, now=now)
    for row in these:
        row.batch = batch
        row.save(update_fields=["batch"])


def undoable(user: User, *, now: datetime) -> list[ProposalDecision]:
    """What this lead accepted so shortly ago that it may still be taken back, newest first."""
    later = ProgrammeVersion.objects.filter(person=OuterRef("person"), version__gt=OuterRef("result__version"))
    mine = ProposalDecision.objects.filter(decided_by=user, answer=Answer.ACCEPTED, decided_at__gt=now - undo_time())
    found = mine.filter(~Exists(later), result__isnull=False, result__log_entries__isnull=True)
    return list(found.select_related("person", "programme", "result").order_by("-decided_at", "result", "pk"))


def why_not(row: ProposalDecision, *, now: datetime) -> str:
    """Why an acceptance cannot be taken back; "" when it can."""
    if row.answer != Answer.ACCEPTED or row.result is None or row.decided_at is None:
        return "This proposal is not one that was accepted as it stood."
    if now - row.decided_at > undo_time():
        return (
            f"It was accepted more than {undo_time().seconds // 60} minutes ago. Change the plan in its next version."
        )
    newest = signed_of(row.person)
    if newest is None or newest.pk != row.result_id:
        return f"Plan {row.result.version} has been followed by another plan. Change that one in its next version."
    if draft_of(row.person) is not None:
        return "A draft of the next plan has been begun. Sign it or throw it away first."
    if row.result.log_entries.exists():
        return f"Plan {row.result.version} has been exercised already. Change it in its next version."
    return ""


@transaction.atomic
def undo(row: ProposalDecision, *, user: User, now: datetime) -> ProgrammeVersion:
    """Sign what was before as the next version, which takes back all that was accepted in the same plan.

    Raises one sentence when something followed or it is too late.
    """
    locked = ProposalDecision.objects.select_for_update().get(pk=row.pk)
    if reason := why_not(locked, now=now):
        raise HalewardError(reason)
    assert locked.result is not None  # why_not has looked
    person: Person = locked.person
    ground = needed_ground(person, timezone.localdate(now))
    accepted = locked.result
    signed = person.programmes.filter(signed_at__isnull=False, version__lt=accepted.version)
    before = programme_of(signed.order_by("version").last() or locked.programme)
    back = replace(before, version=accepted.version + 1, made_on=ground.today, signed_by="", signed_on=None)
    back = replace(back, protocol_id=ground.protocol.id, protocol_version=ground.protocol.version)
    result = ProgrammeVersion.objects.create(
        person=person, version=back.version, made_by=user, **content_of(back, ground)
    )
    accepted.came_from.update(answer=Answer.UNDONE, undone_by=user, undone_at=now)
    sign(result, decision=Decision(accepted.decided_by, accepted.decision_reason), user=user, now=now)
    renew_proposals(person, now)
    return result

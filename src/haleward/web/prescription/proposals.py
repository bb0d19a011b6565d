"""Proposals: what the protocol suggests after the logs, and what a lead decides about each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from django.db import transaction
from django.db.models import Q
from django.utils import timezone

from haleward.dose.log import Proposal, SessionLog
from haleward.dose.model import Exercise
from haleward.dose.progression import accept, propose
from haleward.errors import HalewardError
from haleward.plain import from_plain, to_plain
from haleward.web.accounts.models import User
from haleward.web.delivery.logs import session_id_of, session_logs
from haleward.web.people.models import Person
from haleward.web.prescription.ground import Ground, ground_of, needed_ground
from haleward.web.prescription.models import ProgrammeVersion, ProposalDecision, draft_of, signed_of
from haleward.web.prescription.signing import Decision, content_of, programme_of, sign
from haleward.web.team import protocol as in_force

Answer = ProposalDecision.Answer


def proposals_now(person: Person, ground: Ground) -> tuple[Proposal, ...]:
    """Every proposal for the signed plan, "hold" among them; nothing before the first session."""
    rows = person.programmes.filter(signed_at__isnull=False).exclude(came_from__answer=Answer.UNDONE)
    logs = session_logs(person)  # a version that was taken back was never exercised: sessions before it count on
    if not rows or not logs:
        return ()
    newest, *earlier = (programme_of(row) for row in rows)
    return propose(
        newest,
        logs,
        ground.record,
        protocol=ground.protocol,
        library=ground.library,
        today=ground.today,
        earlier=tuple(earlier),
        settled=settled_sessions(person, logs),
    )


def settled_sessions(person: Person, logs: tuple[SessionLog, ...]) -> frozenset[str]:
    """The sessions whose reports somebody has looked at: each of their concerns is closed.

    What was told of a day may have been added to a session that was played on it; its concern then has the told id.
    """
    open_ones: set[str] = set()
    closed: set[str] = set()
    for session_id, closed_at in person.concerns.values_list("session_id", "closed_at"):
        (closed if closed_at else open_ones).add(str(session_id))
    found = set()
    for log in logs:
        told = str(session_id_of(person, timezone.localdate(log.started_at), log.part_key))
        ids = {log.session_id, told}
        if ids & closed and not ids & open_ones:
            found.add(log.session_id)
    return frozenset(found)


@transaction.atomic
def renew_proposals(person: Person, now: datetime) -> tuple[ProposalDecision, ...]:
    """Bring the waiting proposals up to date with the logs; called after every log.

    One that still holds stays, one that no longer does is marked as replaced, one that a lead has answered on the same
    sessions does not come back. A plain "hold" asks for no decision and is not stored.
    """
    row, ground = signed_of(person), ground_of(person, timezone.localdate(now))
    if row is None or ground is None:
        return ()
    wanted = {_key(found): found for found in proposals_now(person, ground) if found.kind != "hold"}
    lines = {_line(found) for found in wanted.values()}
    kept = []
    standing = (Answer.WAITING, Answer.HELD, Answer.UNDONE)  # of an earlier plan too
    for old in person.proposals.filter(Q(programme=row) | Q(answer__in=standing)):
        proposal = proposal_of(old)
        same = wanted.pop(_key(proposal), None)
        stands = same is not None or (old.programme_id != row.pk and _line(proposal) not in lines)
        if old.answer == Answer.WAITING and stands:
            kept.append(old)
        elif old.answer == Answer.WAITING:
            old.answer, old.decided_at = Answer.REPLACED, now
            old.save()
    made = [
        ProposalDecision.objects.create(person=person, programme=row, proposal=to_plain(found))
        for found in wanted.values()
    ]
    return (*kept, *made)


def proposal_of(row: ProposalDecision) -> Proposal:
    """The stored proposal."""
    return from_plain(Proposal, row.proposal)


@transaction.atomic
def accept_proposal(
    row: ProposalDecision, *, exercise: Exercise | None, reason: str, decision: Decision, user: User, now: datetime
) -> ProgrammeVersion:
    """Sign the next version with the proposal in it; ``exercise`` is the lead's own choice in place of it."""
    proposal = proposal_of(row)
    if exercise is not None:
        proposal = replace(proposal, replacement=exercise)
    answer = Answer.ACCEPTED if exercise is None else Answer.CHANGED
    return _signed_with([(row, proposal)], answer, reason, decision, user, now)


@transaction.atomic
def accept_of_one_person(rows: Sequence[ProposalDecision], *, user: User, now: datetime) -> ProgrammeVersion:
    """Sign one next version with all these proposals in it, as they stand: all of them or none."""
    return _signed_with([(row, proposal_of(row)) for row in rows], Answer.ACCEPTED, "", Decision(), user, now)


def _signed_with(
    chosen: Sequence[tuple[ProposalDecision, Proposal]],
    answer: str,
    reason: str,
    decision: Decision,
    user: User,
    now: datetime,
) -> ProgrammeVersion:
    for row, _ in chosen:
        _refuse_closed(row)
    row, _ = chosen[0]
    if (draft := draft_of(row.person)) is not None:
        raise HalewardError(in_force.wording().text("draft_first", {"version": str(draft.version)}))
    ground = needed_ground(row.person, timezone.localdate(now))
    signed = signed_of(row.person)
    if signed is None:
        raise HalewardError("There is no signed plan that this proposal could change.")
    programme = programme_of(signed)
    for _, proposal in chosen:  # all in the one next version
        before = replace(programme, version=signed.version)
        programme = accept(before, proposal, version=signed.version + 1, made_on=ground.today)
    programme = replace(programme, protocol_id=ground.protocol.id, protocol_version=ground.protocol.version)
    result = ProgrammeVersion.objects.create(
        person=row.person,
        version=programme.version,
        made_by=user,
        **content_of(programme, ground),
    )
    for row, _ in chosen:
        _answer(row, answer, reason, user, now, result)
    sign(result, decision=decision, user=user, now=now)
    renew_proposals(row.person, now)  # what else is ready stays in the list, for the new plan
    return result


@transaction.atomic
def hold_proposal(row: ProposalDecision, *, reason: str, user: User, now: datetime) -> None:
    """Keep the dose as it is, with the reason."""
    _refuse_closed(row)
    _answer(row, Answer.HELD, reason, user, now, None)


def _refuse_closed(row: ProposalDecision) -> None:
    row.refresh_from_db(fields=["answer"])  # a second press of the button comes too late
    if row.answer != Answer.WAITING:
        raise HalewardError("This proposal is closed: it was answered, or a newer one or a newer plan took its place.")


def _answer(
    row: ProposalDecision, answer: str, reason: str, user: User, now: datetime, result: ProgrammeVersion | None
) -> None:
    row.answer, row.reason, row.decided_by, row.decided_at, row.result = answer, reason, user, now, result
    row.save()


def _line(proposal: Proposal) -> tuple[str, int]:
    """The line of the programme that a proposal is about."""
    return proposal.part_key, proposal.exercise_index


def _key(proposal: Proposal) -> str:
    """What makes two proposals the same: everything but the day on which they were computed."""
    return repr(replace(proposal, made_on=None))  # type: ignore[arg-type]

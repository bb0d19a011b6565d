"""Signing: when a version is fixed for good, and what stands against it."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass, replace
from datetime import datetime

from django.db import transaction
from django.utils import timezone

from haleward.dose.log import Proposal
from haleward.dose.model import Programme
from haleward.errors import HalewardError
from haleward.plain import from_plain, to_plain
from haleward.web.accounts.models import User
from haleward.web.prescription.ground import Ground, needed_ground
from haleward.web.prescription.models import PROGRAMME_FORMAT, ProgrammeVersion, ProposalDecision
from haleward.web.team import protocol as in_force


@dataclass(frozen=True)
class Decision:
    """Who decided that a person may start although the gate says "check first", and why."""

    by: str = ""
    reason: str = ""

    @property
    def made(self) -> bool:
        """Whether somebody is named with a reason."""
        return bool(self.by and self.reason)


def digest_of(row: ProgrammeVersion) -> str:
    """A mark of the plan as it stands, so that nobody signs another than the one they read."""
    return hashlib.sha256(json.dumps(row.programme, sort_keys=True).encode()).hexdigest()[:24]


def programme_of(row: ProgrammeVersion) -> Programme:
    """The stored programme. Raises for a format this version cannot read."""
    if row.format != PROGRAMME_FORMAT:
        raise HalewardError(f"Plan {row.version} is stored as {row.format}; this version reads {PROGRAMME_FORMAT}.")
    return from_plain(Programme, row.programme)


@transaction.atomic
def sign(row: ProgrammeVersion, *, decision: Decision, user: User, now: datetime) -> None:
    """Fix the version for good: nothing stands against it, and the gate or a named decision lets the person start."""
    today = timezone.localdate(now)
    ground = needed_ground(row.person, today)
    programme = programme_of(row)
    refuse_unsafe(programme, ground, decision)
    signed = replace(programme, signed_by=str(user), signed_on=today)
    for name, value in content_of(signed, ground).items():
        setattr(row, name, value)
    row.gate_at_signing = to_plain(ground.prescription.gate)
    row.decided_by, row.decision_reason = decision.by, decision.reason
    row.signed_by, row.signed_at = user, now
    row.save()
    _close_overtaken(row, signed, now)


def refuse_unsafe(programme: Programme, ground: Ground, decision: Decision) -> None:
    """Raise one sentence when this programme may not be signed today."""
    gate, words = ground.prescription.gate, in_force.wording()
    if gate.outcome == "not_today":
        rules = ", ".join(rule.rule_id for rule in gate.fired if rule.level == "block")
        raise HalewardError(words.text("sign_no_gate", {"rule_ids": rules}))
    if gate.outcome == "check_first" and not decision.made:
        raise HalewardError(words.template("sign_decision"))
    if faults := ground.faults(programme):
        raise HalewardError(words.text("sign_faults", {"count": str(len(faults))}))


def _close_overtaken(row: ProgrammeVersion, programme: Programme, now: datetime) -> None:
    """Waiting proposals that the new version overtakes. Easing what is unchanged, and reviews, stay to be answered."""
    for waiting in ProposalDecision.objects.filter(person=row.person, answer=ProposalDecision.Answer.WAITING):
        if not _still_stands(from_plain(Proposal, waiting.proposal), programme):
            waiting.answer, waiting.decided_at = ProposalDecision.Answer.REPLACED, now
            waiting.save()


def _still_stands(proposal: Proposal, programme: Programme) -> bool:
    """Whether a proposal made for an earlier version still makes sense: one raise at a time, and the same line."""
    if proposal.kind.startswith("raise_"):
        return False
    lines = {
        (part.key, place): (exercise.movement_id, exercise.dose)
        for part in programme.parts
        for place, exercise in enumerate(part.exercises)
    }
    line = lines.get((proposal.part_key, proposal.exercise_index))
    return proposal.exercise_index < 0 or line == (proposal.movement_id, proposal.before)


def content_of(programme: Programme, ground: Ground) -> dict[str, object]:
    """The columns that follow from a programme and what it stands on."""
    return {
        "assessment": ground.assessment,
        "prescription": to_plain(ground.prescription),
        "programme": to_plain(programme),
    }

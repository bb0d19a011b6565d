"""A proposal in words: what, of which line of the plan, from which dose to which."""

from __future__ import annotations

from dataclasses import dataclass

from haleward.dose.loads import load_text
from haleward.dose.log import WALK, Proposal
from haleward.dose.model import Walking
from haleward.web.assessment.titles import movement_title
from haleward.web.prescription import shown
from haleward.web.prescription.edits import exercise_of
from haleward.web.prescription.models import ProposalDecision
from haleward.web.prescription.proposals import proposal_of
from haleward.web.prescription.signing import programme_of

KINDS = {
    "raise_repetitions": "More repetitions",
    "raise_hold": "Longer hold",
    "raise_load": "Next load",
    "raise_set": "One set more",
    "raise_minutes": "More minutes",
    "raise_posture": "Next posture",
    "hold": "Hold",
    "ease": "Ease off",
    "step_back": "Step back",
    "swap": "Swap",
    "review": "Review",
    "stagnant": "No raise for weeks",
}


@dataclass(frozen=True)
class ProposalLine:
    """A proposal in words: what, of which exercise, from which dose to which."""

    row: ProposalDecision
    proposal: Proposal
    kind: str
    title: str
    before: str
    after: str


def proposal_line(row: ProposalDecision) -> ProposalLine:
    """A stored proposal in words."""
    proposal = proposal_of(row)
    after = proposal.replacement.dose if proposal.replacement else proposal.after
    new_title = ""
    if proposal.replacement and proposal.replacement.movement_id != proposal.movement_id:
        new_title = movement_title(proposal.replacement.movement_id, proposal.replacement.posture) + ": "
    before = f"{shown.dose_words(proposal.before)}, {load_text(proposal.before.load)}" if proposal.before else ""
    changed = f"{new_title}{shown.dose_words(after)}, {load_text(after.load)}" if after else ""
    return ProposalLine(
        row=row,
        proposal=proposal,
        kind=KINDS[proposal.kind],
        title=_title(row, proposal),
        before=before or walking_words(proposal.walking_before),
        after=changed or walking_words(proposal.walking_after),
    )


def _title(row: ProposalDecision, proposal: Proposal) -> str:
    """The exercise by the title it has in the plan."""
    if proposal.part_key == WALK:
        return "Walking"
    if not proposal.movement_id:
        return "The whole programme"
    exercise = exercise_of(programme_of(row.programme), proposal.part_key, proposal.exercise_index)
    return movement_title(proposal.movement_id, exercise.posture)


def walking_words(walking: Walking | None) -> str:
    """The walking of a week in words; "" for none."""
    if walking is None:
        return ""
    bouts = "1 bout" if walking.bouts == 1 else f"{walking.bouts} bouts"
    pace = f" at {walking.pace_km_per_h:g} km/h" if walking.pace_km_per_h else ""
    return f"{bouts} of {walking.bout_minutes} minutes{pace}, {shown.day_list(walking.days)}"

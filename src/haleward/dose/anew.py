"""Choose the movements of a plan anew: what went well stays as it was, what did not may be replaced."""

from __future__ import annotations

from dataclasses import replace

from haleward.dose.checks import check_exercise
from haleward.dose.gentle import limits
from haleward.dose.log import Proposal
from haleward.dose.model import Exercise, Part, Prescription, Programme
from haleward.dose.options import options_for
from haleward.dose.programme import draft_programme
from haleward.dose.words import words
from haleward.movement.library import Library
from haleward.record import Record
from haleward.safety.facts import facts_of
from haleward.safety.protocol import Protocol

AGAINST = ("ease", "step_back", "swap", "review")


def went_well(programme: Programme, proposals: tuple[Proposal, ...]) -> frozenset[str]:
    """The movements of a signed plan that were judged on sessions and have nothing against them.

    Without proposals nothing was judged yet, so nothing is said to have gone well.
    """
    judged = {one.movement_id for one in proposals if one.movement_id}
    against = {one.movement_id for one in proposals if one.kind in AGAINST}
    whole = any(one.kind in AGAINST and not one.movement_id for one in proposals)
    planned = {exercise.movement_id for part in programme.parts for exercise in part.exercises}
    return frozenset() if whole else frozenset(planned & judged - against)


def chosen_anew(
    signed: Programme,
    proposals: tuple[Proposal, ...],
    record: Record,
    prescription: Prescription,
    *,
    protocol: Protocol,
    library: Library,
    version: int,
) -> Programme:
    """A draft with the best set of movements now; one that went well keeps its posture and dose while it is usable."""
    kept = went_well(signed, proposals)
    draft = draft_programme(
        record,
        prescription,
        protocol=protocol,
        library=library,
        today=prescription.made_on,
        version=version,
        kept=kept,
    )
    options = options_for(record, prescription, protocol=protocol, library=library)
    policy = limits(protocol, facts_of(record, today=prescription.made_on))
    before = {one.movement_id: one for part in signed.parts for one in part.exercises if one.movement_id in kept}

    def settled(new: Exercise) -> Exercise:
        old = before.get(new.movement_id)
        if old is None or check_exercise(old, options, policy=policy, library=library):
            return new
        return replace(old, reasons=tuple(dict.fromkeys((*old.reasons, words("why_kept")))))

    def same(part: Part) -> Part:
        return replace(part, exercises=tuple(map(settled, part.exercises)))

    return replace(draft, parts=tuple(map(same, draft.parts)))

"""Propose the next dose from the logs, and apply a proposal that a lead accepts.

Nothing is raised after a symptom, a stopped check, a missing effort, a long pause or too few sessions; nothing passes
a limit; at most one thing is raised in the whole programme. Easing is never held back.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

from haleward.dose.evidence import Evidence, evidence_for
from haleward.dose.log import Proposal, SessionLog
from haleward.dose.model import Exercise, Part, Prescription, Programme
from haleward.dose.obstacles import medicine_changed_on, obstacles_for
from haleward.dose.options import Options, options_for
from haleward.dose.prescription import prescribe
from haleward.dose.review import Line, propose_line
from haleward.dose.words import words
from haleward.errors import Inconsistent
from haleward.movement.library import Library
from haleward.record import Record
from haleward.safety.protocol import Protocol


@dataclass(frozen=True)
class _Judged:
    """A proposal and, for a raise, how easy it felt: the easiest is raised first."""

    proposal: Proposal
    effort: float = 0.0

    @property
    def raises(self) -> bool:
        """Whether the proposal raises a dose."""
        return self.proposal.kind.startswith("raise_")


def propose(
    programme: Programme,
    logs: tuple[SessionLog, ...],
    record: Record,
    *,
    protocol: Protocol,
    library: Library,
    today: date,
) -> tuple[Proposal, ...]:
    """The next step for every exercise: what stands against the whole first, then one proposal an exercise.

    What the person can use, and the gate, are computed anew for ``today``, so a new restriction or lost kit shows at
    once. A proposal takes effect only when a lead accepts it (:func:`accept`).
    """
    prescription = prescribe(record, protocol=protocol, library=library, today=today)
    options = options_for(record, prescription, protocol=protocol, library=library)
    policies = protocol.policies
    evidence = evidence_for(
        programme,
        logs,
        repeat_days=policies.progression.gap_repeat_days,
        changed_on=medicine_changed_on(record, policies=policies, today=today),
        today=today,
    )
    against = obstacles_for(evidence, record, prescription.gate, policies=policies, today=today)
    judged = [
        _judged(programme, part, index, exercise, evidence, options, prescription, protocol, library)
        for part in programme.parts
        for index, exercise in enumerate(part.exercises)
    ]
    blocked = bool(against) or evidence.gap_days > policies.progression.gap_repeat_days
    return (*against, *_one_change(judged, blocked, library))


def accept(programme: Programme, proposal: Proposal, *, version: int, made_on: date) -> Programme:
    """The next version with the accepted proposal in it, to be signed; ``programme`` itself stays as it is.

    Raises :class:`Inconsistent` when the proposal changes no dose, starts from another dose than the programme has, or
    ``version`` is not a later one.
    """
    if version <= programme.version:
        raise Inconsistent(f"The next version is {version}; it must be over {programme.version}.")
    if proposal.after is None and proposal.replacement is None:
        raise Inconsistent(words("prog_no_change"))
    found = False
    parts = []
    for part in programme.parts:
        exercises = list(part.exercises)
        if part.key == proposal.part_key and 0 <= proposal.exercise_index < len(exercises):
            exercise = exercises[proposal.exercise_index]
            if (exercise.movement_id, exercise.dose) == (proposal.movement_id, proposal.before):
                exercises[proposal.exercise_index] = _changed(exercise, proposal)
                found = True
        parts.append(replace(part, exercises=tuple(exercises)))
    if not found:
        raise Inconsistent(words("prog_stale", movement_id=proposal.movement_id, part=proposal.part_key))
    return replace(programme, version=version, made_on=made_on, parts=tuple(parts), signed_by="", signed_on=None)


def _changed(exercise: Exercise, proposal: Proposal) -> Exercise:
    if proposal.replacement is not None:
        return proposal.replacement
    assert proposal.after is not None  # accept() has refused a proposal with neither
    return replace(exercise, dose=proposal.after, reasons=(*exercise.reasons, proposal.reason))


def _judged(
    programme: Programme,
    part: Part,
    index: int,
    exercise: Exercise,
    evidence: Evidence,
    options: Options,
    prescription: Prescription,
    protocol: Protocol,
    library: Library,
) -> _Judged:
    line = Line(programme, part.key, index, exercise, prescription, options, protocol.policies, library)
    proposal, effort = propose_line(line, evidence)
    return _Judged(proposal, effort)


def _one_change(judged: list[_Judged], blocked: bool, library: Library) -> list[Proposal]:
    """Keep the raise of what felt easiest; the others wait. Nothing is raised beside an ease, a swap or an obstacle."""
    raises = [one for one in judged if one.raises]
    changing = blocked or any(one.proposal.kind in ("ease", "step_back", "swap", "review") for one in judged)
    first = None if changing or not raises else min(raises, key=lambda one: one.effort)
    found = []
    for one in judged:
        if not one.raises or one is first:
            found.append(one.proposal)
        elif first is not None:
            title = library.movement(first.proposal.movement_id).name
            found.append(_waits(one.proposal, words("prog_one_change", movement_title=title)))
        else:
            found.append(_waits(one.proposal, words("prog_after_ease")))
    return found


def _waits(proposal: Proposal, reason: str) -> Proposal:
    return replace(proposal, kind="hold", after=None, reason=reason, rule_id="progression.one_change")

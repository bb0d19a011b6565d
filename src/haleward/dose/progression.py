"""Propose the next dose from the logs, and apply a proposal that a lead accepts.

Nothing is raised after a symptom, a stopped check, a missing effort, a long pause or too few sessions; nothing passes
a limit; at most one thing is raised in the whole programme. Easing is never held back.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace
from datetime import date
from functools import cache

from haleward.dose.evidence import Evidence, evidence_for, same_walking
from haleward.dose.gentle import bout_step_most, gentler
from haleward.dose.log import WALK, Proposal, SessionLog
from haleward.dose.model import Exercise, Prescription, Programme
from haleward.dose.obstacles import obstacles_for
from haleward.dose.options import options_for
from haleward.dose.prescription import prescribe
from haleward.dose.progress_events import medicine_changed_on
from haleward.dose.progress_machine import Signal, decide
from haleward.dose.progress_stagnant import stagnant_for
from haleward.dose.progress_told import Finding
from haleward.dose.progress_walking import WalkGround
from haleward.dose.review import Line, Review, eased, review_of
from haleward.dose.review_walking import WalkReview, walk_eased, walk_review_of
from haleward.dose.words import words
from haleward.errors import Inconsistent
from haleward.movement.library import Library
from haleward.record import Record
from haleward.safety.facts import facts_of
from haleward.safety.policy import ProgressionPolicy
from haleward.safety.protocol import Protocol

AnyReview = Review | WalkReview


def propose(
    programme: Programme,
    logs: tuple[SessionLog, ...],
    record: Record,
    *,
    protocol: Protocol,
    library: Library,
    today: date,
    earlier: tuple[Programme, ...] = (),
    settled: Collection[str] | None = None,
) -> tuple[Proposal, ...]:
    """The next step for every exercise and for walking: what stands against the whole first, then one a line.

    What the person can use, and the gate, are computed anew for ``today``, so a new restriction or lost kit shows at
    once. A proposal takes effect only when a lead accepts it (:func:`accept`). ``earlier`` are the signed versions
    before this one: sessions of them count for a line that has not changed since. ``settled`` are the ids of sessions
    whose symptoms and soreness somebody has looked at and closed (:func:`~haleward.dose.evidence.evidence_for`).
    """
    prescription = prescribe(record, protocol=protocol, library=library, today=today)
    facts = facts_of(record, today=today)
    step_most, protocol = bout_step_most(protocol, facts), gentler(protocol, facts)
    policies = protocol.policies
    evidence = evidence_for(
        programme,
        logs,
        repeat_days=policies.progression.gap_repeat_days,
        changed_on=medicine_changed_on(record, policies=policies, today=today),
        today=today,
        earlier=earlier,
        settled=settled,
    )
    against = obstacles_for(evidence, record, prescription, policies=policies, today=today)
    lines = _lines(programme, record, prescription, protocol, library)
    reviews: list[AnyReview] = [review_of(line, evidence) for line in lines]
    ground = WalkGround(programme, record, prescription, policies, bout_step_most=step_most)
    walk = walk_review_of(ground, evidence, library=library)
    reviews += [walk] if walk is not None else []
    found = _one_change(reviews, evidence, policies.progression, against)
    return (*against, *found, *stagnant_for(evidence, found, policies.progression))


def accept(programme: Programme, proposal: Proposal, *, version: int, made_on: date) -> Programme:
    """The next version with the accepted proposal in it, to be signed; ``programme`` itself stays as it is.

    Raises :class:`Inconsistent` when the proposal changes no dose, starts from another dose than the programme has, or
    ``version`` is not a later one.
    """
    if version <= programme.version:
        raise Inconsistent(f"The next version is {version}; it must be over {programme.version}.")
    if not proposal.changes:
        raise Inconsistent(words("prog_no_change"))
    unsigned = replace(programme, version=version, made_on=made_on, signed_by="", signed_on=None)
    if proposal.walking_after is not None:
        return _walking_accepted(unsigned, proposal)
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
    return replace(unsigned, parts=tuple(parts))


def ease_down(
    programme: Programme,
    part_key: str,
    exercise_index: int,
    record: Record,
    *,
    protocol: Protocol,
    library: Library,
    today: date,
) -> Proposal:
    """One step easier because the person wants it, for one exercise or (``part_key`` "walk") the walking.

    It asks for no log and nothing stands against it. Its kind is "ease", or "review" at the easiest dose there is.
    """
    prescription = prescribe(record, protocol=protocol, library=library, today=today)
    protocol = gentler(protocol, facts_of(record, today=today))
    reason, rule_id = words("prog_easier_wish"), "progression.easier_on_request"
    if part_key == WALK:
        plain = Proposal("ease", WALK, -1, "", None, None, reason, rule_id, today, walking_before=programme.walking)
        return walk_eased(WalkGround(programme, record, prescription, protocol.policies), plain)
    for line in _lines(programme, record, prescription, protocol, library):
        if (line.part_key, line.index) == (part_key, exercise_index):
            dose = line.exercise.dose
            plain = Proposal(
                "ease", part_key, line.index, line.exercise.movement_id, dose, None, reason, rule_id, today
            )
            return eased(line, plain)
    raise Inconsistent(f'Part "{part_key}" of version {programme.version} has no exercise {exercise_index}.')


def _lines(
    programme: Programme, record: Record, prescription: Prescription, protocol: Protocol, library: Library
) -> list[Line]:
    asked = programme.movement_ids
    options = options_for(record, prescription, protocol=protocol, library=library, only=asked)
    whole = cache(lambda: options_for(record, prescription, protocol=protocol, library=library))
    policies = protocol.policies
    return [
        Line(programme, part.key, index, exercise, record, prescription, options, policies, library, whole)
        for part in programme.parts
        for index, exercise in enumerate(part.exercises)
    ]


def _walking_accepted(programme: Programme, proposal: Proposal) -> Programme:
    walking, before, after = programme.walking, proposal.walking_before, proposal.walking_after
    if before is None or after is None or not same_walking(walking, before):
        raise Inconsistent(words("prog_stale", movement_id=walking.movement_id, part=WALK))
    return replace(programme, walking=replace(after, reasons=(*walking.reasons, proposal.reason)))


def _changed(exercise: Exercise, proposal: Proposal) -> Exercise:
    if proposal.replacement is not None:
        return proposal.replacement
    assert proposal.after is not None  # accept() has refused a proposal with neither
    return replace(exercise, dose=proposal.after, reasons=(*exercise.reasons, proposal.reason))


def _one_change(
    reviews: list[AnyReview], evidence: Evidence, policy: ProgressionPolicy, against: tuple[Proposal, ...]
) -> tuple[Proposal, ...]:
    """Decide every line twice: alone, and with what the others and the whole programme add to it.

    Nothing is raised beside an obstacle or an ease, step back or swap, nor before the last change was tried; of what is
    left, the line that felt easiest is raised and the others wait. A line waits for those of the same session, or of
    the whole programme, as the protocol says.
    """
    alone = [decide(review.findings) for review in reviews]
    whole: dict[Signal, Finding] = {}
    if against:
        whole["obstacle"] = Finding(words("prog_after_ease"))
    if any(row.verdict in ("swap", "step_back", "ease") for row in alone):
        whole["easing"] = Finding(words("prog_after_ease"))
    first: dict[str, AnyReview] = {}
    for review, row in sorted(zip(reviews, alone, strict=True), key=lambda pair: pair[0].effort):
        if row.verdict == "raise":
            first.setdefault(_scope(review, policy), review)
    found = []
    for review, row in zip(reviews, alone, strict=True):
        added = {}
        if row.verdict == "raise":
            added = whole | _unsettled(review, evidence, policy) | _not_first(review, first[_scope(review, policy)])
        found.append(review.proposal(decide({**review.findings, **added}), added))
    return tuple(found)


def _scope(review: AnyReview, policy: ProgressionPolicy) -> str:
    """What may have one raise of its own: the line, its part, or with "" the whole programme."""
    scopes = policy.one_raise_in or ("programme",)
    return {"programme": "", "session": review.part_key}.get(scopes[0], review.place)


def _unsettled(review: AnyReview, evidence: Evidence, policy: ProgressionPolicy) -> dict[Signal, Finding]:
    between = policy.sessions_between_raises
    if between is None or _since_change(review, evidence, policy) >= between:
        return {}
    return {"unsettled": Finding(words("prog_unsettled", count=between), remedy={"count": between})}


def _since_change(review: AnyReview, evidence: Evidence, policy: ProgressionPolicy) -> int:
    scope = _scope(review, policy)
    return evidence.since_change(scope) if scope in ("", review.part_key) else review.done


def _not_first(review: AnyReview, first: AnyReview) -> dict[Signal, Finding]:
    if review is first:
        return {}
    text = words("prog_one_change", movement_title=first.title)
    return {"not_first": Finding(text, remedy={"movement_title": first.title})}

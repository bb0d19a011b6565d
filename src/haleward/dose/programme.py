"""Draft a programme: two balanced resistance parts with a rest day between, and walking; every choice with reasons."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from haleward.dose.checks import check_programme
from haleward.dose.choosing import Picked, best_set, with_reasons
from haleward.dose.choosing_gaps import Asked, gaps_of
from haleward.dose.choosing_order import two_parts
from haleward.dose.choosing_score import Wanted
from haleward.dose.gentle import frail_regions, gentle_for, gentler, more_warm_up, why_gentle
from haleward.dose.loads import load_text
from haleward.dose.model import Dose, Exercise, LeftOut, Part, Prescription, Programme
from haleward.dose.options import Choice, Option, Options, options_for
from haleward.dose.week import resistance_days, walking_for
from haleward.dose.words import words
from haleward.movement.library import Library
from haleward.movement.model import Form
from haleward.record import Record
from haleward.safety.facts import facts_of
from haleward.safety.model import Placement
from haleward.safety.policy import DosePolicy
from haleward.safety.protocol import Protocol

__all__ = ["Choice", "Option", "Options", "check_programme", "draft_programme", "exercise_for", "options_for"]
PART_KEYS = ("one", "two")


def draft_programme(
    record: Record,
    prescription: Prescription,
    *,
    protocol: Protocol,
    library: Library,
    today: date,
    version: int,
    kept: frozenset[str] = frozenset(),
) -> Programme:
    """A programme for the lead to change and sign: the set of movements with the most points, in two parts.

    ``kept`` are the movements of the last signed programme that went well; they stay unless something speaks against
    them. A person who is new to exercise, or about whom this is not recorded, starts with few movements; the rest are
    named as gaps to be added one at a time.
    """
    facts = facts_of(record, today=today)
    told, more = why_gentle(protocol, facts), more_warm_up(protocol, facts)
    frail = gentle_for(facts, protocol).frail is not None
    policy = gentler(protocol, facts).policies.dose
    options = options_for(record, prescription, protocol=protocol, library=library)
    most, why_most = _most_a_part(record, policy, frail=frail)
    wanted = Wanted(policy, prescription.placement.balance_emphasis or frail, record.goal, kept)
    first = frail_regions(policy, options, most=2 * most) if frail else ()
    choosing = (
        replace(wanted, policy=replace(policy, required_regions=first), balance_emphasis=False) if first else wanted
    )
    chosen = with_reasons(best_set(options, choosing, most=2 * most), choosing)
    asked = Asked(record, prescription, protocol, library)
    uncovered = gaps_of(chosen, options, wanted, most_a_part=most, asked=asked)
    days, why_days, day_gap = resistance_days(record, policy=policy)
    parts = tuple(
        _part(
            key,
            days[i : i + 1],
            picked,
            prescription,
            library,
            policy,
            (*told, *why_most, *((why_days,) if why_days else ())),
        )
        for i, (key, picked) in enumerate(zip(PART_KEYS, two_parts(chosen, most_a_part=most), strict=True))
    )
    gaps: tuple[LeftOut, ...] = (*uncovered, *((day_gap,) if day_gap else ()))
    return Programme(
        person_id=record.person_id,
        version=version,
        made_on=today,
        protocol_id=protocol.id,
        protocol_version=protocol.version,
        parts=parts,
        walking=walking_for(record, prescription, facts, taken=days, protocol=protocol, library=library),
        left_out=(*gaps, *options.left_out),
        effort_low=policy.effort_low,
        effort_high=policy.effort_high,
        warm_up_more_minutes=more,
    )


def exercise_for(
    option: Option,
    choice: Choice,
    placement: Placement,
    *,
    library: Library,
    policy: DosePolicy,
    why: tuple[str, ...] = (),
) -> Exercise:
    """One line of a programme with the protocol's starting dose: for a draft, or when a lead swaps a movement in."""
    form = library.form(option.movement_id, choice.posture)
    dose = starting_dose(form, choice, policy=policy)
    return Exercise(
        movement_id=option.movement_id,
        posture=choice.posture,
        dose=dose,
        each_side=form.each_side and choice.side is None,
        region=option.region,
        reasons=(*why, *_why(choice, dose, placement), *option.notes),
        rung=choice.rung,
        side=choice.side,
        rule_ids=(*dict.fromkeys(("dose.sets", *placement.fired_rule_ids, *option.rule_ids)),),
    )


def starting_dose(form: Form, choice: Choice, *, policy: DosePolicy) -> Dose:
    """Sets, repetitions (or a hold) and rest from the protocol, tempo from the form, load from the rung."""
    return Dose(
        sets=policy.sets,
        repetitions=1 if form.hold else policy.repetitions,
        load=choice.load,
        out_s=form.out_s,
        pause_s=0.0 if form.hold else form.pause_s,
        back_s=form.back_s,
        rest_s=policy.rest_s,
        hold_s=policy.hold_s if form.hold else 0.0,
    )


def _part(
    key: str,
    days: tuple[str, ...],
    picked: tuple[Picked, ...],
    prescription: Prescription,
    library: Library,
    policy: DosePolicy,
    reasons: tuple[str, ...],
) -> Part:
    exercises = tuple(
        exercise_for(p.option, p.option.start, prescription.placement, library=library, policy=policy, why=p.reasons)
        for p in picked
    )
    return Part(key, days, exercises, reasons)


def _most_a_part(record: Record, policy: DosePolicy, *, frail: bool) -> tuple[int, tuple[str, ...]]:
    if frail:  # said by the rule
        return policy.new_movements_most, ()
    if record.new_to_exercise is False:
        return policy.movements_most, ()
    key = "why_new" if record.new_to_exercise else "why_new_unknown"
    return policy.new_movements_most, (words(key, count=policy.new_movements_most),)


def _why(choice: Choice, dose: Dose, placement: Placement) -> tuple[str, ...]:
    posture = words(f"posture_{choice.posture}").capitalize()
    if choice.posture == placement.posture:
        why_posture = words("why_posture", posture=posture, basis=placement.basis)
    else:
        placed = words(f"posture_{placement.posture}")
        why_posture = words("why_posture_easier", posture=posture, placed=placed)
    own = choice.load.kit == "own_weight"
    why_load = words("why_load_own") if own else words("why_load_light", load_text=load_text(choice.load))
    key = "why_dose_hold" if dose.hold_s else "why_dose"
    numbers = {"sets": dose.sets, "rest_s": dose.rest_s}
    amount: dict[str, object] = {"hold_s": dose.hold_s} if dose.hold_s else {"repetitions": dose.repetitions}
    return why_posture, why_load, words(key, **numbers, **amount)

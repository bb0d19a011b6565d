"""May a programme be signed? One sentence for each thing that stands against it."""

from __future__ import annotations

from datetime import date
from itertools import combinations

from haleward.dose.aerobic import forbidding
from haleward.dose.gentle import limits
from haleward.dose.loads import load_text, same_load
from haleward.dose.model import Exercise, Part, Prescription, Programme, Walking
from haleward.dose.options import Option, Options, options_for
from haleward.dose.refusals import cited
from haleward.dose.week import WEEK, clear_days, day_names
from haleward.dose.words import listed, title_of, words
from haleward.movement.library import Library
from haleward.record import Record
from haleward.safety.facts import facts_of
from haleward.safety.policy import DosePolicy
from haleward.safety.protocol import Protocol


def check_programme(
    programme: Programme,
    record: Record,
    prescription: Prescription,
    *,
    protocol: Protocol,
    library: Library,
) -> tuple[str, ...]:
    """What stands against signing, in the order of the programme; nothing means that it may be signed.

    Checked against what this person can use today: movement, posture, load, dose limits of the protocol, number of
    movements, rest days, effort range, person, protocol version and a gate that says "not today".
    """
    asked = programme.movement_ids
    options = options_for(record, prescription, protocol=protocol, library=library, only=asked)
    policy = limits(protocol, facts_of(record, today=prescription.made_on))
    found = [*_belongs(programme, prescription), *_effort(programme, policy)]
    for part in programme.parts:
        found += _part(part, options, policy, library)
    for one, two in combinations(programme.parts, 2):
        found += _rest_days(one, two, policy)
    walking = programme.walking
    return (*found, *_walking(walking, policy), *_restricted(walking, record, prescription.made_on, policy, library))


def _belongs(programme: Programme, prescription: Prescription) -> list[str]:
    found = []
    if programme.person_id != prescription.person_id:
        found.append(words("check_person", programme_person=programme.person_id, person=prescription.person_id))
    drafted = f"{programme.protocol_id}, {programme.protocol_version}"
    current = f"{prescription.protocol_id}, {prescription.protocol_version}"
    if drafted != current:
        found.append(words("check_protocol", programme_protocol=drafted, protocol=current))
    if prescription.gate.outcome == "not_today":
        rules = tuple(rule.rule_id for rule in prescription.gate.fired if rule.state == "fired")
        found.append(words("check_gate", rule_ids=listed(rules)))
    return found


def _effort(programme: Programme, policy: DosePolicy) -> list[str]:
    low, high = programme.effort_low, programme.effort_high
    if policy.effort_low <= low <= high <= policy.effort_high:
        return []
    limits = {"policy_low": policy.effort_low, "policy_high": policy.effort_high}
    return [words("check_effort", low=low, high=high, **limits)]


def _part(part: Part, options: Options, policy: DosePolicy, library: Library) -> list[str]:
    found = []
    if not part.exercises:
        found.append(words("check_empty", part=part.key))
    over = len(part.exercises) - policy.movements_most
    if over > 0:
        found.append(
            words("check_count", part=part.key, count=len(part.exercises), most=policy.movements_most, over=over)
        )
    seen: set[str] = set()
    for exercise in part.exercises:
        if exercise.movement_id in seen:
            title = title_of(library.movement(exercise.movement_id), exercise.posture)
            found.append(words("check_twice", movement_title=title, part=part.key))
        seen.add(exercise.movement_id)
        found += check_exercise(exercise, options, policy=policy, library=library)
    return found


def check_exercise(exercise: Exercise, options: Options, *, policy: DosePolicy, library: Library) -> list[str]:
    """What stands against one exercise for this person."""
    if exercise.movement_id not in library.movements:
        return [words("check_unknown", movement_id=exercise.movement_id)]
    option = options.find(exercise.movement_id)
    if option is None:
        left = options.why_not(exercise.movement_id)
        return [left.reason if left else words("check_unknown", movement_id=exercise.movement_id)]
    if exercise.posture not in option.postures:
        available = listed(tuple(words(f"posture_{posture}") for posture in option.postures))
        posture = words(f"posture_{exercise.posture}")
        return [words("err_posture", movement_title=option.title, posture=posture, available=available)]
    return [*_load(exercise, option), *_side(exercise, option), *_dose(exercise, option.title, policy, library)]


def _load(exercise: Exercise, option: Option) -> list[str]:
    there = [choice.load for choice in option.choices if choice.posture == exercise.posture]
    if any(same_load(load, exercise.dose.load) for load in there):
        return []
    return [
        words(
            "check_load_limit",
            movement_title=option.title,
            load_text=load_text(exercise.dose.load),
            kit_list=", ".join(load_text(load) for load in there),
        )
    ]


def _side(exercise: Exercise, option: Option) -> list[str]:
    """One arm where only one may, both where both may."""
    side = next(choice.side for choice in option.choices if choice.posture == exercise.posture)
    if side == exercise.side:
        return []
    if side is None:
        return [words("check_both_sides", movement_title=option.title)]
    return [words("check_side", movement_title=option.title, side=side)]


def _dose(exercise: Exercise, title: str, policy: DosePolicy, library: Library) -> list[str]:
    dose = exercise.dose
    hold = library.form(exercise.movement_id, exercise.posture).hold
    if hold and dose.hold_s <= 0:
        return [words("check_hold", movement_title=title)]
    if not hold and dose.hold_s > 0:
        return [words("check_no_hold", movement_title=title)]
    amount = (
        ("hold", dose.hold_s, policy.hold_s, policy.hold_high_s)
        if hold
        else ("repetitions", dose.repetitions, policy.repetitions_low, policy.repetitions_high)
    )
    rest = ("rest", dose.rest_s, policy.rest_low_s, policy.rest_high_s)
    return [
        words("check_range", movement_title=title, quantity=words(f"quantity_{name}"), value=value, low=low, high=high)
        for name, value, low, high in (("sets", dose.sets, 1, policy.sets_most), amount, rest)
        if not low <= value <= high
    ]


def _rest_days(one: Part, two: Part, policy: DosePolicy) -> list[str]:
    least = policy.rest_days_between_parts
    missing = [part.key for part in (one, two) if not part.days or not set(part.days) <= set(WEEK)]
    if missing:
        return [words("check_days", part=key, clear_days=least) for key in missing]
    return [
        words(
            "check_rest_day",
            part_a=one.key,
            part_b=two.key,
            day_a=day_names((day_a,)),
            day_b=day_names((day_b,)),
            clear_days=least,
        )
        for day_a in one.days
        for day_b in two.days
        if clear_days(day_a, day_b) < least
    ]


def _walking(walking: Walking, policy: DosePolicy) -> list[str]:
    found = []
    if len(walking.days) > policy.walking_days_most:
        found.append(words("check_walk_days", count=len(walking.days), most=policy.walking_days_most))
    if walking.bouts < 1 or walking.bout_minutes < 1:
        found.append(words("check_walk_minutes", bouts=walking.bouts, minutes=walking.bout_minutes))
    return found


def _restricted(walking: Walking, record: Record, today: date, policy: DosePolicy, library: Library) -> list[str]:
    """A walk that a restriction forbids, unless it has no days."""
    if not walking.days or walking.movement_id not in library.movements:
        return []
    found = forbidding(walking.movement_id, walking.posture, record, today=today, library=library, policy=policy)
    if not found:
        return []
    title = title_of(library.movement(walking.movement_id), walking.posture)
    return [words("check_walk_restricted", movement_title=title, cited=listed(tuple(cited(r, today) for r in found)))]

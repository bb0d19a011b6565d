"""When: days for two resistance parts with clear days between, and days, minutes and pace of walking."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from itertools import combinations
from math import floor

from haleward.capacity.model import Capacity
from haleward.dose.aerobic import WALK, aerobic_movement
from haleward.dose.gentle import gentle_for, gentler
from haleward.dose.model import LeftOut, Prescription, Walking
from haleward.dose.refusals import cited
from haleward.dose.words import listed, words
from haleward.errors import HalewardError
from haleward.formula import Range, find
from haleward.movement.library import Library
from haleward.physiology.metabolic import WALKING_SPEED, walking_speed_m_per_min_acsm
from haleward.record import Posture, Record, Restriction
from haleward.safety.conditions import evaluate
from haleward.safety.policy import DosePolicy
from haleward.safety.protocol import Protocol, Rule
from haleward.units import km_per_h_from_m_per_min, likely
from haleward.worksheet import Figure

WEEK = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")


def clear_days(day_a: str, day_b: str) -> int:
    """Days between two weekdays, the shorter way round the week: Monday and Thursday have two."""
    apart = abs(WEEK.index(day_a) - WEEK.index(day_b))
    return min(apart, len(WEEK) - apart) - 1


def resistance_days(record: Record, *, policy: DosePolicy) -> tuple[tuple[str, ...], str, LeftOut | None]:
    """Up to two days for the two parts, the sentence that says where they come from, and the gap if one is missing.

    The pair with the most clear days between is taken, the earliest in the week among equals.
    """
    for value in record.exercise_days:
        if value not in WEEK:
            return (), "", LeftOut("", "", words("gap_days_none", value=value))
    own = tuple(day for day in WEEK if day in record.exercise_days)
    least = policy.rest_days_between_parts
    pairs = [pair for pair in combinations(own or WEEK, 2) if clear_days(*pair) >= least]
    if not pairs:
        gap = words("gap_day", days=day_names(own), clear_days=least)
        return own[:1], "", LeftOut("", "", gap, "dose.rest_days_between_parts")
    best = max(pairs, key=lambda pair: clear_days(*pair))
    if own:
        return best, words("why_days", days=day_names(best), clear_days=least), None
    return best, words("why_days_default", days=day_names(best)), None


def walking_for(
    record: Record,
    prescription: Prescription,
    facts: Mapping[str, bool | float | str],
    *,
    taken: tuple[str, ...],
    protocol: Protocol,
    library: Library,
) -> Walking:
    """Minutes by capacity, days beside the resistance days ``taken``, and a pace where the equation holds.

    While a restriction forbids walking it is a march on the spot; it has no days while one forbids that too.
    """
    frail = gentle_for(facts, protocol).frail
    protocol = gentler(protocol, facts)
    policy, posture, today = protocol.policies.dose, prescription.placement.posture, prescription.made_on
    if frail is not None and policy.frail_march:
        posture = "seated"
    movement_id, against, left = aerobic_movement(posture, record, today=today, library=library, policy=policy)
    short, why_minutes, rule_ids = _frail_bouts(frail, policy) or _short_bouts(prescription, facts, protocol)
    days, why_days = _walking_days(record, taken, policy)
    if not left:
        days, why_days = (), []
    pace, why_pace = _pace(prescription, policy) if movement_id == WALK and left else (None, "")
    placed = posture == prescription.placement.posture
    why_not = _why_not_walking(posture if placed else "standing", against, left=left, today=today)
    minutes = policy.walking_minutes_low_capacity if short else policy.walking_minutes
    bout_minutes = min(policy.walking_bout_minutes_low_capacity, minutes) if short else minutes
    bouts = -(-minutes // bout_minutes)
    return Walking(
        days=days,
        bouts=bouts,
        bout_minutes=bout_minutes,
        rest_minutes=policy.walking_rest_minutes if bouts > 1 else 0,
        pace_km_per_h=pace.value if pace else None,
        reasons=tuple(why for why in (why_minutes, *why_days, *why_not, why_pace) if why),
        rule_ids=("dose.walking_minutes_low_capacity" if short else "dose.walking_minutes", *rule_ids),
        movement_id=movement_id,
        posture=posture,
        pace=pace,
    )


def _why_not_walking(posture: Posture, against: tuple[Restriction, ...], *, left: bool, today: date) -> tuple[str, ...]:
    seated = (words("why_walk_seated"),) if posture == "seated" else ()
    if not against:
        return seated
    cite = listed(tuple(cited(one, today) for one in against))
    return (*seated, words("why_walk_march" if left else "why_walk_none", cited=cite))


def day_names(days: tuple[str, ...]) -> str:
    """ "Monday and Thursday"."""
    return listed(tuple(day.capitalize() for day in days))


def _short_bouts(
    prescription: Prescription, facts: Mapping[str, bool | float | str], protocol: Protocol
) -> tuple[bool, str, tuple[str, ...]]:
    """Whether to walk in short bouts, why, and the rule of the protocol that asks for them."""
    policy = protocol.policies.dose
    bout = {"bout_minutes": policy.walking_bout_minutes_low_capacity}
    capacity = prescription.capacity
    if not isinstance(capacity, Capacity):
        return True, words("why_walk_no_capacity", reason=capacity.reason, **bout), ()
    met = capacity.energy_met.value
    told = likely(replace(capacity.energy_met, value=floor(10 * met) / 10))  # 4.96 never reads as "5, under 5"
    if met < policy.low_capacity_met:
        return True, words("why_walk_low", capacity=told, limit=policy.low_capacity_met, **bout), ()
    rule = next((one for one in protocol.rules if one.id == policy.short_bouts_rule), None)
    if rule is not None and evaluate(rule.condition, facts) is True:
        return True, words("why_walk_rule", rule_text=rule.wording, rule_id=rule.id, **bout), (rule.id,)
    failure = facts.get("chf_present")
    if failure is not False:
        return True, words("why_walk_failure_unknown" if failure is None else "why_walk_failure", **bout), ()
    return False, words("why_walk_minutes", minutes=policy.walking_minutes, capacity=told), ()


def _frail_bouts(rule: Rule | None, policy: DosePolicy) -> tuple[bool, str, tuple[str, ...]] | None:
    """The same for a frail person; ``None`` for everybody else."""
    if rule is None:
        return None
    numbers = {"bout": policy.walking_bout_minutes_low_capacity, "minutes": policy.walking_minutes_low_capacity}
    key = "why_walk_frail_seated" if policy.frail_march else "why_walk_frail"
    return True, words(key, rule_text=rule.wording, rule_id=rule.id, **numbers), (rule.id,)


def _walking_days(record: Record, taken: tuple[str, ...], policy: DosePolicy) -> tuple[tuple[str, ...], list[str]]:
    """Days without a resistance part first; few for a person who is new to exercise or not known to be used to it."""
    new = record.new_to_exercise is not False
    own = tuple(day for day in WEEK if day in record.exercise_days)
    free = [day for day in own or WEEK if day not in taken]
    most = policy.walking_days_new if new else policy.walking_days_most
    chosen = [*free, *(day for day in own or WEEK if day in taken)][:most]
    reasons = [words("why_walk_days_new" if new else "why_walk_days", count=len(chosen))]
    if not own:
        reasons.append(words("why_walk_days_default"))
    return tuple(day for day in WEEK if day in chosen), reasons


def _pace(prescription: Prescription, policy: DosePolicy) -> tuple[Figure | None, str]:
    """Level walking speed at the protocol's share of the estimated peak, inside the range the equation states.

    The error of the peak is carried through to the speed.
    """
    capacity = prescription.capacity
    if not isinstance(capacity, Capacity):
        return None, words("why_no_pace_capacity")
    method = find(walking_speed_m_per_min_acsm.__name__)
    share = policy.walking_fraction_of_peak
    try:
        speed = method.figure(vo2_ml_per_kg_min=_share(capacity.vo2_ml_per_kg_min, share), grade_fraction=0.0)
    except HalewardError:
        return None, words("why_no_pace_capacity")
    pace = _in_km_per_h(speed)
    low, high = _stated_km_per_h(WALKING_SPEED)
    told = {"pace": likely(pace), "fraction": 100 * share}
    if WALKING_SPEED.extrapolated(speed.value):
        return None, words("why_no_pace_range", low=low, high=high, **told)
    return pace, words("why_pace", formula=method.title, **told)


def _share(peak: Figure, fraction: float) -> Figure:
    low, high = (None if end is None else fraction * end for end in (peak.low, peak.high))
    return Figure(fraction * peak.value, peak.unit, low, high)


def _in_km_per_h(speed: Figure) -> Figure:
    low, high = (
        None if end is None else km_per_h_from_m_per_min(speed_m_per_min=end) for end in (speed.low, speed.high)
    )
    return Figure(km_per_h_from_m_per_min(speed_m_per_min=speed.value), "km/h", low, high)


def _stated_km_per_h(speed: Range) -> tuple[float, float]:
    low, high = speed.stated_low or speed.low, speed.stated_high or speed.high
    return km_per_h_from_m_per_min(speed_m_per_min=low), km_per_h_from_m_per_min(speed_m_per_min=high)

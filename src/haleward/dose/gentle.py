"""Who starts with less: frail people and people with a weak heart, by two rules that the protocol names.

While such a rule fires, the protocol's policies are read with the smaller figures that it gives for these people. They
hold for a new draft and for the next steps; a signed programme stays as it is. A rule that cannot be judged, because an
answer is missing, changes nothing: the reasons of the draft, the gate and the placement ask for the answer.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TypeVar

from haleward.dose.options import Options
from haleward.dose.words import words
from haleward.safety.conditions import evaluate, inputs_of
from haleward.safety.policy import DosePolicy, Policies
from haleward.safety.protocol import Protocol, Rule
from haleward.safety.words import labels

Facts = Mapping[str, bool | float | str]
N = TypeVar("N", int, float)


@dataclass(frozen=True)
class Gentle:
    """The rules that hold for one person, ``None`` where one does not."""

    frail: Rule | None
    weak_heart: Rule | None


def gentle_rules(protocol: Protocol) -> tuple[Rule, ...]:
    """The rules that the protocol names for this."""
    dose = protocol.policies.dose
    return tuple(rule for rule in protocol.rules if rule.id in (dose.frail_rule, dose.weak_heart_rule))


def gentle_for(facts: Facts, protocol: Protocol) -> Gentle:
    """Which of the two rules hold for these facts."""
    dose = protocol.policies.dose
    fired = {rule.id: rule for rule in gentle_rules(protocol) if evaluate(rule.condition, facts) is True}
    return Gentle(fired.get(dose.frail_rule or ""), fired.get(dose.weak_heart_rule or ""))


def gentler(protocol: Protocol, facts: Facts) -> Protocol:
    """The protocol with its policies as they hold for this person; the same protocol for everybody else."""
    found, policies = gentle_for(facts, protocol), protocol.policies
    if found.frail is not None:
        policies = _frail(policies)
    if found.weak_heart is not None:
        policies = _weak_heart(policies)
    return protocol if policies is protocol.policies else replace(protocol, policies=policies)


def limits(protocol: Protocol, facts: Facts) -> DosePolicy:
    """What may be signed for this person: the protocol's limits, and the repetitions of a weak heart beside them."""
    own, gentle = protocol.policies.dose, gentler(protocol, facts).policies.dose
    return replace(own, repetitions_high=max(own.repetitions_high, gentle.repetitions_high))


def why_gentle(protocol: Protocol, facts: Facts) -> tuple[str, ...]:
    """One sentence for each rule that holds: what it changes in the strength parts, and the rule with its id.

    Where it is not known whether somebody is frail, the sentence asks.
    """
    found, dose = gentle_for(facts, protocol), gentler(protocol, facts).policies.dose
    told = [*_frail_unknown(protocol, facts)]
    if found.frail is not None:
        most = dose.new_movements_most
        told.append(words("why_frail", count=most, rule_text=found.frail.wording, rule_id=found.frail.id))
    if found.weak_heart is not None:
        rule = found.weak_heart
        numbers = {"effort_low": dose.effort_low, "effort_high": dose.effort_high, "most": dose.repetitions_high}
        more = {"minutes": more_warm_up(protocol, facts), "repetitions": dose.repetitions}
        told.append(words("why_weak_heart", rule_text=rule.wording, rule_id=rule.id, **numbers, **more))
    return tuple(told)


def _frail_unknown(protocol: Protocol, facts: Facts) -> tuple[str, ...]:
    """What to ask for, where the rule on frailty cannot be judged."""
    rule = next((rule for rule in protocol.rules if rule.id == protocol.policies.dose.frail_rule), None)
    if rule is None or evaluate(rule.condition, facts) is not None:
        return ()
    missing = tuple(name for name in inputs_of(rule.condition) if name not in facts)
    return (words("why_frail_unknown", labels=labels(missing), rule_id=rule.id),)


def frail_regions(policy: DosePolicy, options: Options, *, most: int) -> tuple[str, ...]:
    """The first regions of a frail person that a movement can cover, as many as there are movements."""
    usable = {option.region for option in options.eligible}
    return tuple(region for region in policy.frail_regions or () if region in usable)[:most]


def bout_step_most(protocol: Protocol, facts: Facts) -> int | None:
    """By how many minutes a bout of walking may grow at a time; ``None`` where only the protocol's step limits it."""
    if gentle_for(facts, protocol).frail is None:
        return None
    return protocol.policies.dose.frail_walking_bout_minutes


def more_warm_up(protocol: Protocol, facts: Facts) -> int:
    """Minutes of warm-up beside those of everybody."""
    if gentle_for(facts, protocol).weak_heart is None:
        return 0
    return protocol.policies.dose.weak_heart_warm_up_more_minutes or 0


def _frail(policies: Policies) -> Policies:
    """Few movements, and walking in short bouts with their own rest."""
    dose = policies.dose
    rest = dose.frail_walking_rest_minutes
    smaller = replace(
        dose,
        new_movements_most=_least(dose.new_movements_most, dose.frail_movements_most),
        walking_minutes_low_capacity=_least(dose.walking_minutes_low_capacity, dose.frail_walking_minutes),
        walking_bout_minutes_low_capacity=_least(
            dose.walking_bout_minutes_low_capacity, dose.frail_walking_bout_minutes
        ),
        walking_rest_minutes=dose.walking_rest_minutes if rest is None else rest,
    )
    return replace(policies, dose=smaller)


def _weak_heart(policies: Policies) -> Policies:
    """Effort ends lower, and light repetitions come before more sets, a heavier load or finding the load."""
    dose, progression = policies.dose, policies.progression
    high = _least(dose.effort_high, dose.weak_heart_effort_high)
    changed = replace(progression, effort_at_most=min(progression.effort_at_most, high))
    most = dose.weak_heart_repetitions_high
    if most is not None:
        dose = replace(dose, repetitions_high=most)
        changed = replace(changed, repetitions_before_next=most, load_first_effort_at_most=None)
    return replace(policies, dose=replace(dose, effort_high=high), progression=changed)


def _least(usual: N, gentle: N | None) -> N:
    return usual if gentle is None else min(usual, gentle)

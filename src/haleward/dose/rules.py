"""The protocol's resistance rules, asked of one movement and one load."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from haleward.dose.words import listed, words
from haleward.movement.model import Movement
from haleward.safety.conditions import evaluate, inputs_of
from haleward.safety.protocol import Protocol, Rule

Facts = Mapping[str, bool | float | str]
STAGE = "resistance"
REFUSING = ("block", "clinician_decision")


@dataclass(frozen=True)
class Ruling:
    """What one rule says: ``refused``, ``unknown`` (an answer is missing) or ``caution``."""

    rule_id: str
    state: str
    text: str
    missing: tuple[str, ...] = ()


def rulings(movement: Movement, load_kg: float, facts: Facts, *, protocol: Protocol) -> tuple[Ruling, ...]:
    """What the resistance rules say to this movement with this load; nothing said means nothing against it.

    Rules on the breastbone concern arm work under load only; they count as refusing while the operation or its date is
    not recorded. Any other rule that cannot be judged is left to the gate and to :func:`unassessed`.
    """
    arms_only = protocol.policies.dose.upper_body_rules
    with_load = {**facts, "ext_load_kg": load_kg}
    found: list[Ruling] = []
    for rule in resistance_rules(protocol):
        scoped = rule.id in arms_only
        if scoped and not (movement.upper and load_kg > 0):
            continue
        answer = evaluate(rule.condition, with_load)
        if answer is True:
            found.append(Ruling(rule.id, "refused" if rule.level in REFUSING else "caution", rule.text))
        elif answer is None and scoped and rule.level in REFUSING:
            found.append(Ruling(rule.id, "unknown", rule.text, _missing(rule, with_load)))
    return tuple(found)


def breastbone_guarded(facts: Facts, *, protocol: Protocol) -> bool:
    """Whether the breastbone must be spared: its rule fires, or the operation or its date is not recorded."""
    guard = protocol.policies.dose.sternum_rule
    return any(evaluate(r.condition, facts) is not False for r in resistance_rules(protocol) if r.id == guard)


def unassessed(facts: Facts, *, protocol: Protocol) -> tuple[tuple[str, str], ...]:
    """Rule id and sentence of each resistance rule that cannot be judged because an answer is missing."""
    arms_only = protocol.policies.dose.upper_body_rules
    with_load = {**facts, "ext_load_kg": 0.0}
    return tuple(
        (rule.id, words("note_rule_unknown", rule_id=rule.id, missing_list=listed(_missing(rule, with_load))))
        for rule in resistance_rules(protocol)
        if rule.id not in arms_only and evaluate(rule.condition, with_load) is None
    )


def resistance_rules(protocol: Protocol) -> tuple[Rule, ...]:
    """The rules of the stage "resistance", in the protocol's order."""
    return tuple(rule for rule in protocol.rules if rule.stage == STAGE)


def _missing(rule: Rule, facts: Facts) -> tuple[str, ...]:
    return tuple(name for name in inputs_of(rule.condition) if name not in facts)

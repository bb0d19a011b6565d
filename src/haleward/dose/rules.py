"""The protocol's resistance rules, asked of one movement and one load."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from haleward.safety.conditions import evaluate, inputs_of
from haleward.safety.inputs import default_inputs
from haleward.safety.protocol import Protocol, Rule

Facts = Mapping[str, bool | float | str]
STAGE = "resistance"
OVERHEAD = "overhead_on_implant_side"  # the safety input that a movement itself answers
REFUSING = ("block", "clinician_decision")


@dataclass(frozen=True)
class Ruling:
    """What one rule says: ``refused``, ``unknown`` (an answer is missing) or ``caution``."""

    rule_id: str
    state: str
    text: str
    missing: tuple[str, ...] = ()


def rulings(facts: Facts, *, upper: bool, overhead: bool, load_kg: float, protocol: Protocol) -> tuple[Ruling, ...]:
    """What the resistance rules say to a movement with this load.

    ``upper`` says that the arms work or that the hands hold the load: both pull at the breastbone.
    ``overhead`` says that it goes above the shoulder and that there may be a device. Rules on the breastbone concern
    arm work under load only. They, and the rule on reaching up beside a new device, count as refusing while an answer
    is missing; what else cannot be judged is asked for by the gate. Nothing said means nothing against it.
    """
    asked = {**facts, "ext_load_kg": load_kg, OVERHEAD: overhead}
    found: list[Ruling] = []
    for rule in resistance_rules(protocol):
        arms_only = rule.id in protocol.policies.dose.upper_body_rules
        if arms_only and not (upper and (load_kg > 0 or rule.level not in REFUSING)):
            continue
        answer = evaluate(rule.condition, asked)
        if answer is True:
            refuses = rule.level in REFUSING
            text = rule.wording if refuses else f"{rule.wording} {rule.advice}"
            found.append(Ruling(rule.id, "refused" if refuses else "caution", text))
        elif answer is None and rule.level in REFUSING and (arms_only or OVERHEAD in inputs_of(rule.condition)):
            found.append(Ruling(rule.id, "unknown", rule.wording, _missing(rule, asked)))
    return tuple(found)


def breastbone_guard(facts: Facts, *, protocol: Protocol) -> Ruling | None:
    """The rule that spares the breastbone, when it fires or the operation or its date is not recorded."""
    for rule in resistance_rules(protocol):
        if rule.id == protocol.policies.dose.sternum_rule:
            answer = evaluate(rule.condition, facts)
            if answer is not False:
                return Ruling(rule.id, "refused" if answer else "unknown", rule.wording, _missing(rule, facts))
    return None


def resistance_rules(protocol: Protocol) -> tuple[Rule, ...]:
    """The rules of the stage "resistance", in the protocol's order."""
    return tuple(rule for rule in protocol.rules if rule.stage == STAGE)


def _missing(rule: Rule, facts: Facts) -> tuple[str, ...]:
    """What to ask for, in the words of the table of inputs."""
    inputs = default_inputs()
    return tuple(inputs[name].label for name in inputs_of(rule.condition) if name not in facts)

"""Which rules are asked together: by one gate, or on one occasion that no gate covers."""

from __future__ import annotations

from collections.abc import Mapping

from haleward.safety.conditions import inputs_of
from haleward.safety.parts import GateRules, Rule
from haleward.safety.protocol import Protocol

STOPPING = ("block", "clinician_decision")


def asked_by(gate: GateRules, protocol: Protocol) -> tuple[Rule, ...]:
    """The rules that a gate asks of somebody, resistance work and readings of the day included."""
    named = {*gate.also, *gate.strength}
    return tuple(
        rule
        for rule in protocol.rules
        if rule.stage in gate.stages
        or rule.id in named
        or (rule.stage == "session" and set(inputs_of(rule.condition)) & set(gate.readings))
    )


def occasions(protocol: Protocol) -> Mapping[str, tuple[Rule, ...]]:
    """The rules asked together: at each gate, and in each stage as a whole that no gate asks."""
    groups = {f"the {name} gate": asked_by(gate, protocol) for name, gate in protocol.gates.items()}
    at_gates = {stage for gate in protocol.gates.values() for stage in gate.stages}
    for stage in dict.fromkeys(rule.stage for rule in protocol.rules):
        if stage not in at_gates:
            groups[f"the stage {stage}"] = tuple(rule for rule in protocol.rules if rule.stage == stage)
    return groups

"""What the rules together make of everybody: a gate that nobody could pass, a level that nobody could have."""

from __future__ import annotations

from collections.abc import Iterator

from haleward.safety.analysis.asked import STOPPING, asked_by
from haleward.safety.analysis.finding import Finding
from haleward.safety.analysis.phrases import listed
from haleward.safety.analysis.space import Space
from haleward.safety.conditions import inputs_of, leaves
from haleward.safety.parts import Rule
from haleward.safety.protocol import Protocol


def gate_findings(protocol: Protocol, space: Space) -> Iterator[Finding]:
    """Gates that nobody could pass, whatever the answers, with rules that together bar everyone."""
    for name, gate in protocol.gates.items():
        rules = [rule for rule in asked_by(gate, protocol) if rule.level in STOPPING]
        answered = {f"answer {one}": space.known(one) for rule in rules for one in _needed_known(rule)}
        silent = {rule.id: space.solver.no(space.true(rule.condition)) for rule in rules}
        barred = tuple(one for one in space.solver.conflict({**answered, **silent}) if one in silent)
        if barred:
            said = f"{_bars(barred)}, so nobody could pass the {name} gate. Mend {_which(barred)}."
            yield Finding("contradiction", barred, ("rule", barred[0]), said)


def risk_findings(protocol: Protocol, space: Space) -> Iterator[Finding]:
    """A level that nobody could have, and low items that hold together with a worse item of the same domain."""
    items = protocol.stratification.items
    low = [item for item in items if item.band == "low"]
    worse = [item for item in items if item.band != "low"]
    formulas = {
        **{item.id: space.true(item.condition) for item in low},
        **{item.id: space.solver.no(space.true(item.condition)) for item in worse},
    }
    against = space.solver.conflict(formulas)
    if against:
        said = f"Nobody could ever be at low risk: {listed(against)} contradict each other. Mend one of the conditions."
        yield Finding("contradiction", against, ("risk_item", against[0]), said)
    for one in low:
        for other in worse:
            if one.domain == other.domain and space.possible(space.true(one.condition), space.true(other.condition)):
                said = f"Risk items {one.id} (low) and {other.id} ({other.band}) of {one.domain} can both be met by one"
                said += " person. Their conditions must exclude each other."
                yield Finding("contradiction", (one.id, other.id), ("risk_item", one.id), said)


def placement_findings(protocol: Protocol, space: Space) -> Iterator[Finding]:
    """Placement rules under which nobody could start free-standing."""
    supported = [rule for rule in protocol.placement.rules if rule.effect in ("seated", "hand_supported")]
    known = {f"test {one}": space.known(one) for rule in supported for one in inputs_of(rule.condition)}
    silent = {rule.id: space.solver.no(space.true(rule.condition)) for rule in supported}
    barred = tuple(one for one in space.solver.conflict({**known, **silent}) if one in silent)
    if barred:
        said = f"Placement rules {listed(barred)} contradict each other: at least one always applies, so nobody could"
        said += " start free-standing. Mend one of the conditions."
        yield Finding("contradiction", barred, ("placement_rule", barred[0]), said)


def _needed_known(rule: Rule) -> tuple[str, ...]:
    """The inputs of a rule that are taken as answered: not those of which it asks whether they are known."""
    asked = {leaf["input"] for leaf in leaves(rule.condition) if "known" in leaf}
    return tuple(name for name in inputs_of(rule.condition) if name not in asked)


def _bars(ids: tuple[str, ...]) -> str:
    if len(ids) == 1:
        return f"Rule {ids[0]} always fires when every question is answered"
    return f"Rules {listed(ids)} contradict each other: with every question answered, at least one always fires"


def _which(ids: tuple[str, ...]) -> str:
    return "one of the conditions" if len(ids) > 1 else "its condition"

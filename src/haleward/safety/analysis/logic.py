"""Rules against what is possible and against each other: never true, never false, contradicted, repeated, dead."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from haleward.safety.analysis.asked import STOPPING, occasions
from haleward.safety.analysis.branches import branches
from haleward.safety.analysis.finding import Finding
from haleward.safety.analysis.phrases import quoted, title
from haleward.safety.analysis.space import Space
from haleward.safety.conditions import Condition, inputs_of
from haleward.safety.parts import RULE_LEVELS, URGENCIES, Rule
from haleward.safety.protocol import Protocol

Conditions = Mapping[tuple[str, ...], Condition]  # by section and id


def conditions_of(protocol: Protocol) -> Conditions:
    """Every condition that decides something, by section and id."""
    return {
        **{("rule", rule.id): rule.condition for rule in protocol.rules},
        **{("risk_item", item.id): item.condition for item in protocol.stratification.items},
        **{("placement_rule", rule.id): rule.condition for rule in protocol.placement.rules},
        **{("check", check.wording): check.ask_when for check in protocol.checks if check.ask_when is not None},
        **{
            ("gates", name, need.input): need.when
            for name, gate in protocol.gates.items()
            for need in gate.needs
            if need.when is not None
        },
    }


def truth_findings(protocol: Protocol, space: Space) -> Iterator[Finding]:
    """Conditions, or parts of them, that can never be true, and conditions that can never be false."""
    for place, condition in conditions_of(protocol).items():
        ids = place[1:]
        named = title(place)
        if not space.can_be(condition):
            said = f"{named} can never apply: no values make this true: {quoted(condition)}. Mend a limit or drop it."
            yield Finding("unreachable", ids, place, said)
            continue
        if not space.can_be(condition, wanted=False):
            said = f"{named} asks nothing: whatever is known makes this true: {quoted(condition)}. Mend it or drop it."
            yield Finding("always", ids, place, said)
        for part in _impossible(condition, space):
            said = f"{named}: one part can never be true: {quoted(part)}. Mend the limit or drop that part."
            yield Finding("unreachable-part", ids, place, said)


def pair_findings(protocol: Protocol, space: Space) -> Iterator[Finding]:
    """Rules that another rule contradicts, repeats or makes dead wherever they are asked."""
    groups = [{rule.id for rule in rules} for rules in occasions(protocol).values()]
    read = [{*inputs_of(rule.condition)} for rule in protocol.rules]
    for place, rule in enumerate(protocol.rules):
        asked = [group for group in groups if rule.id in group]
        for other_place, other in enumerate(protocol.rules):
            related = other_place != place and read[place] & read[other_place]
            if related and asked and all(other.id in group for group in asked):
                yield from _against(rule, other, space, later=other_place < place)


def _against(rule: Rule, other: Rule, space: Space, *, later: bool) -> Iterator[Finding]:
    """What ``other`` does to ``rule``; of two rules that are alike, the later one is told."""
    place = ("rule", rule.id)
    if space.implies(rule.condition, other.condition):
        same = space.implies(other.condition, rule.condition)
        if same and not later:
            return
        if same:
            yield _alike(rule, other)
        elif _as_strict(other, rule):
            said = f"Rule {rule.id} is dead: whenever it fires, {other.id} fires too and is as strict or stricter"
            said += f" ({_outcome(other)} against {_outcome(rule)}). Change its limit, make it stricter, or drop it."
            yield Finding("dead", (rule.id, other.id), place, said)
    elif _as_strict(other, rule):
        for part in branches(rule.condition):
            if len(branches(rule.condition)) > 1 and space.can_be(part) and space.implies(part, other.condition):
                said = f"Rule {rule.id}: the part {quoted(part)} changes nothing, since {other.id} fires then too and"
                said += f" is as strict or stricter ({_outcome(other)})."
                yield Finding("dead-part", (rule.id, other.id), place, said, serious=False)


def _alike(rule: Rule, other: Rule) -> Finding:
    ids, place = (rule.id, other.id), ("rule", rule.id)
    if (rule.level, rule.urgency) != (other.level, other.urgency):
        said = f"Rules {other.id} and {rule.id} contradict each other: both fire in exactly the same situation,"
        said += f" {other.id} says {_outcome(other)} and {rule.id} says {_outcome(rule)}. Keep one of them."
        return Finding("contradiction", ids, place, said)
    if rule.topic != other.topic:
        said = f"Rules {other.id} and {rule.id} contradict each other: both fire in exactly the same situation and show"
        said += f' different topics, "{other.topic}" and "{rule.topic}". Give both the same topic, or keep one.'
        return Finding("contradiction", ids, place, said)
    said = (
        f"Rules {other.id} and {rule.id} say the same: they fire in exactly the same situation, with the same outcome"
    )
    return Finding("duplicate", ids, place, f"{said} ({_outcome(rule)}). Keep one of them.")


def _as_strict(other: Rule, rule: Rule) -> bool:
    """Whether ``other`` settles all that ``rule`` would: a caution is settled only by a rule that stops the session."""
    sooner = URGENCIES.index(other.urgency) <= URGENCIES.index(rule.urgency)
    if rule.level in STOPPING:
        return sooner and RULE_LEVELS.index(other.level) <= RULE_LEVELS.index(rule.level)
    return sooner and other.level == "block"


def _impossible(condition: Condition, space: Space) -> Iterator[Condition]:
    parts = branches(condition)
    if len(parts) > 1:
        yield from (part for part in parts if not space.can_be(part))


def _outcome(rule: Rule) -> str:
    urgency = "" if rule.urgency == "none" else f", {rule.urgency.replace('_', ' ')}"
    return f"{rule.level.replace('_', ' ')}{urgency}"

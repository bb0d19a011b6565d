"""The gate: may this person exercise today? Missing information never gives "go ahead".

A rule that blocks gives "not today"; one that asks for a clinician's decision gives "check first"; so does every input
the gate needs and does not have, and every such rule that is half answered. Cautions go along with "go ahead".

Places: a session in the hall needs the readings and answers of the day; a session at home needs the answers of the
day, and uses a reading only when one was taken (rule R123 covers a plan that asks for one).
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

from haleward.safety.conditions import Facts, evaluate, inputs_of
from haleward.safety.model import FiredRule, Gate, Outcome
from haleward.safety.parts import RULE_LEVELS, URGENCIES, GateRules, Rule
from haleward.safety.protocol import Protocol
from haleward.safety.rules import assess, soonest

_STOPPING = ("block", "clinician_decision")
_COMPLETE = {"entry": "screening_complete", "hall": "session_complete", "home": "session_complete"}
Place = Literal["hall", "home"]


def entry_gate(facts: Facts, protocol: Protocol) -> Gate:
    """Whether a prescription may be built.

    Blood pressure and heart rate are not needed for it, but a reading of today outside the session's limits counts.
    """
    gate = protocol.gates["entry"]
    return _decide(gate, gate.stages, gate.also, facts, protocol)


def session_gate(
    facts: Facts,
    protocol: Protocol,
    *,
    place: Place = "hall",
    strength: bool = True,
    stages: tuple[str, ...] | None = None,
) -> Gate:
    """Whether the person may exercise today, at this place.

    ``strength``: the session has resistance work, so the rules that bar resistance work apply as well. ``stages``
    replaces the stages whose rules are asked; with "home" among them the place is home.
    """
    if stages is not None and "home" in stages:
        place = "home"
    gate = protocol.gates[place]
    also = (*gate.also, *(gate.strength if strength else ()))
    return _decide(gate, gate.stages if stages is None else stages, also, facts, protocol)


def _decide(gate: GateRules, stages: tuple[str, ...], also: tuple[str, ...], facts: Facts, protocol: Protocol) -> Gate:
    needed, moot, later = _needs(gate, facts)
    missing = [name for name in needed if facts.get(name) is None]
    complete = _COMPLETE[gate.name]
    with_completeness = {**facts, complete: not missing and facts.get(complete) is not False}
    rules = tuple(rule for rule in protocol.rules if rule.stage in stages or rule.id in also or _on_reading(rule, gate))
    found = assess(rules, with_completeness)
    fired = tuple(one for one in found if one.state == "fired")
    open_rules = tuple(one for one in found if one.state == "unknown" and _matters(one, rules, missing, moot, facts))
    asked = {*missing, *(name for one in open_rules for name in one.missing if name not in moot | later)}
    return Gate(
        outcome=_outcome(fired, unsettled=bool(asked)),
        urgency=soonest(one.urgency for one in fired),
        fired=fired,
        missing=_most_useful_first(asked, rules, with_completeness),
        protocol_id=protocol.id,
        protocol_version=protocol.version,
        not_assessed=open_rules,
    )


def _on_reading(rule: Rule, gate: GateRules) -> bool:
    """Whether it is a session rule on one of the gate's readings; without the reading it cannot fire."""
    return rule.stage == "session" and bool(set(inputs_of(rule.condition)) & set(gate.readings))


def _needs(gate: GateRules, facts: Facts) -> tuple[list[str], set[str], set[str]]:
    """The inputs needed for these facts, those that do not matter (their condition is false), and those to ask later.

    An input whose own condition is unknown is asked later: the loader makes sure that what it depends on is needed.
    """
    answers = {need.input: True if need.when is None else evaluate(need.when, facts) for need in gate.needs}
    needed = [name for name, answer in answers.items() if answer]
    moot = {name for name, answer in answers.items() if answer is False}
    return needed, moot, {name for name, answer in answers.items() if answer is None}


def _matters(one: FiredRule, rules: tuple[Rule, ...], missing: list[str], moot: set[str], facts: Facts) -> bool:
    """Whether a rule that cannot be assessed holds the gate: it could stop, and it is half answered or lacks a need."""
    if one.level not in _STOPPING or not set(one.missing) - moot:
        return False
    condition = next(rule.condition for rule in rules if rule.id == one.rule_id)
    half_answered = any(facts.get(name) is not None for name in inputs_of(condition))
    return half_answered or bool(set(one.missing) & set(missing))


def _outcome(fired: tuple[FiredRule, ...], *, unsettled: bool) -> Outcome:
    levels = {one.level for one in fired}
    if "block" in levels:
        return "not_today"
    return "check_first" if unsettled or "clinician_decision" in levels else "go_ahead"


def _most_useful_first(names: Iterable[str], rules: tuple[Rule, ...], facts: Facts) -> tuple[str, ...]:
    """Inputs that could bring the strictest outcome come first, the most urgent before the rest."""
    worst: dict[str, tuple[int, int]] = {}
    for rule in rules:
        if evaluate(rule.condition, facts) is not None:
            continue
        for name in inputs_of(rule.condition):
            rank = (RULE_LEVELS.index(rule.level), URGENCIES.index(rule.urgency))
            worst[name] = min(worst.get(name, rank), rank)
    last = (len(RULE_LEVELS), len(URGENCIES))
    return tuple(sorted(names, key=lambda name: (worst.get(name, last), name)))

"""The gate: may this person exercise today? Missing information never gives "go ahead".

A rule that blocks gives "not today"; one that asks for a clinician's decision gives "check first"; so does every input
the gate needs and does not have, and every such rule that is half answered. Where every possible answer to what is
missing stops the session, it is "not today" at once. Cautions go along with "go ahead".

A fact given as ``None`` was asked for and is not known: it holds the gate wherever a rule that could stop reads it. A
name that is absent was not asked for; it holds the gate when the gate needs it.

Places: a session in the hall needs the readings and answers of the day; a session at home needs the answers of the
day, and uses a reading only when one was taken (rule R123 covers a plan that asks for one).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import reduce
from typing import Literal

from haleward.safety.conditions import Facts, evaluate, inputs_of
from haleward.safety.deciding import OUTCOMES, Answer, answer_of, effect_of, stricter
from haleward.safety.model import FiredRule, Gate, Outcome, Question
from haleward.safety.parts import URGENCIES, GateRules, Rule
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
    by_id = {rule.id: rule for rule in rules}
    lasting = {one.rule_id for one in fired if facts.get(complete) is False or complete not in dict(one.inputs)}
    weighed = _weigh(
        asked=[name for name in _in_order(gate, asked)],
        gate=gate,
        later=later,
        open_rules=tuple(by_id[one.rule_id] for one in found if one.state == "unknown" and set(one.missing) - moot),
        already=answer_of(by_id[rule_id] for rule_id in lasting),
        facts=facts,
    )
    return Gate(
        outcome=_outcome(fired, unsettled=bool(asked), certain=weighed.certain),
        urgency=soonest([*(one.urgency for one in fired), URGENCIES[weighed.certain.urgency]]),
        fired=fired,
        missing=tuple(one.input for one in weighed.questions),
        protocol_id=protocol.id,
        protocol_version=protocol.version,
        not_assessed=open_rules,
        questions=weighed.questions,
        no_effect=tuple(name for name in _in_order(gate, asked) if name not in {q.input for q in weighed.questions}),
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
    moot = {name for name, answer in answers.items() if answer is False and name not in _asked_in_vain(facts)}
    return needed, moot, {name for name, answer in answers.items() if answer is None}


def _matters(one: FiredRule, rules: tuple[Rule, ...], missing: list[str], moot: set[str], facts: Facts) -> bool:
    """Whether a rule that cannot be assessed holds the gate.

    It could stop, and it is half answered, lacks a need, or lacks an answer that was asked for and is not known.
    """
    open_inputs = set(one.missing) - moot
    if one.level not in _STOPPING or not open_inputs:
        return False
    condition = next(rule.condition for rule in rules if rule.id == one.rule_id)
    half_answered = any(facts.get(name) is not None for name in inputs_of(condition))
    return half_answered or bool(open_inputs & (set(missing) | _asked_in_vain(facts)))


def _asked_in_vain(facts: Facts) -> set[str]:
    """The inputs that were asked for and are not known."""
    return {name for name, value in facts.items() if value is None}


def _outcome(fired: tuple[FiredRule, ...], *, unsettled: bool, certain: Answer) -> Outcome:
    levels = {one.level for one in fired}
    if "block" in levels or OUTCOMES[certain.outcome] == "not_today":
        return "not_today"
    return "check_first" if unsettled or "clinician_decision" in levels else "go_ahead"


@dataclass(frozen=True)
class _Weighed:
    """The questions that could change the answer, most useful first, and what is certain without them."""

    questions: tuple[Question, ...]
    certain: Answer


def _weigh(
    *,
    asked: list[str],
    gate: GateRules,
    later: set[str],
    open_rules: tuple[Rule, ...],
    already: Answer,
    facts: Facts,
) -> _Weighed:
    """Try out every missing input that is asked about.

    An answer can also change the gate by bringing another question: that one's effect counts as its own.
    """
    stopping = tuple(rule for rule in open_rules if rule.level in _STOPPING or rule.urgency != "none")
    effects = {name: effect_of(name, stopping, facts, already=already) for name in {*asked, *later}}
    may_clear = OUTCOMES[already.outcome] == "go_ahead"
    certain = reduce(stricter, (one.certain for one in effects.values()), already)
    questions = []
    for name in asked:
        own = [effects[one] for one in (name, *_brought_questions(name, gate, later))]
        if not may_clear and not any(one.changes for one in own):
            continue
        strictest = reduce(stricter, (one.strictest for one in own))
        questions.append(
            Question(
                input=name,
                outcome=OUTCOMES[strictest.outcome],
                urgency=URGENCIES[strictest.urgency],
                rule_ids=tuple(dict.fromkeys(rule_id for one in own if one.changes for rule_id in one.rule_ids)),
                needed=may_clear,
            )
        )
    order = {one: (OUTCOMES.index(one.outcome), URGENCIES.index(one.urgency)) for one in questions}
    return _Weighed(tuple(sorted(questions, key=order.__getitem__)), certain)


def _brought_questions(name: str, gate: GateRules, later: set[str]) -> tuple[str, ...]:
    """The inputs that are asked only once the answer to ``name`` is known."""
    return tuple(
        need.input
        for need in gate.needs
        if need.input in later and need.when is not None and name in inputs_of(need.when)
    )


def _in_order(gate: GateRules, names: Iterable[str]) -> tuple[str, ...]:
    """Names in the order in which the protocol's gate lists them, the rest by name."""
    listed = [need.input for need in gate.needs]
    return tuple(sorted(names, key=lambda name: (listed.index(name) if name in listed else len(listed), name)))

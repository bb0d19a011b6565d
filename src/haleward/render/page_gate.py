"""What the page needs to decide, without a network, whether today's session may start.

The page asks the protocol's questions and evaluates the protocol's own rules, but only those that today's answers can
change. What is settled in the record was decided by whoever signed the programme and is not asked again here.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from haleward.record import Record
from haleward.safety.checks import questions
from haleward.safety.conditions import Facts, evaluate, inputs_of
from haleward.safety.facts import facts_of
from haleward.safety.parts import Check, Need, Rule
from haleward.safety.protocol import Protocol
from haleward.wording import Wording


@dataclass(frozen=True)
class Cautions:
    """Rules that let a session start with care, and the facts they read besides today's answers."""

    rules: tuple[Rule, ...]
    facts: Facts


_STOPPING = ("block", "clinician_decision")
_HOLDING = ("emergency", "same_day")  # whoever must be seen today does not exercise until they were
_DERIVED = {"weight_today_kg": "weight_gain_kg_3d"}  # computed on the page, as haleward.safety.facts does


def day_questions(record: Record, *, protocol: Protocol, today: date) -> tuple[Check, ...]:
    """The questions this person is asked at home."""
    return questions(facts_of(record, today=today), protocol, place="home")


def day_gate(
    record: Record, asked: Iterable[Check], *, protocol: Protocol, today: date, strength: bool
) -> tuple[tuple[Rule, ...], tuple[Need, ...], dict[str, bool | float | str]]:
    """The rules and needs that today's answers can change, and the facts they read besides.

    A rule for a clinician's decision that fires on the record alone is left out: it was decided when the programme
    was signed. One that blocks is kept whatever the record says.
    """
    names = _answered(asked)
    facts = {name: value for name, value in facts_of(record, today=today).items() if name not in names}
    gate = protocol.gates["home"]
    also = (*gate.also, *(gate.strength if strength else ()))
    rules = tuple(
        rule
        for rule in protocol.rules
        if (rule.stage in gate.stages or rule.id in also)
        and rule.level in _STOPPING
        and names & set(inputs_of(rule.condition))
        and not (rule.level == "clinician_decision" and evaluate(rule.condition, facts) is True)
    )
    read = {name for rule in rules for name in inputs_of(rule.condition)}
    needs = tuple(need for need in gate.needs if need.input in names | read or names & set(_when_inputs(need)))
    read |= {name for need in needs for name in (need.input, *_when_inputs(need))} | {"weight_earlier_kg"}
    read |= {name for check in asked for one in check.topic_when for name in inputs_of(one.when)}
    return rules, needs, {name: value for name, value in facts.items() if name in read}


def day_cautions(record: Record, asked: Iterable[Check], *, protocol: Protocol, today: date) -> Cautions:
    """The rules that let a session start with care and say what: those that today's answers can change.

    They never stop a session. Without a topic a rule has nothing to show, and is left out.
    """
    names = _answered(asked)
    stages = protocol.gates["home"].stages
    rules = tuple(
        rule
        for rule in protocol.rules
        if rule.level == "caution" and rule.stage in stages and rule.topic and names & set(inputs_of(rule.condition))
    )
    read = {name for rule in rules for name in inputs_of(rule.condition)} - names
    return Cautions(rules, {name: value for name, value in facts_of(record, today=today).items() if name in read})


def plain_gate(
    rules: tuple[Rule, ...], needs: tuple[Need, ...], facts: Facts, cautions: Cautions | None = None
) -> dict[str, Any]:
    """The gate as JSON-able values for the page."""
    with_care = cautions or Cautions((), {})
    return {
        "cautions": [_plain_rule(rule) for rule in with_care.rules],
        "rules": [_plain_rule(rule) for rule in rules],
        "needs": [{"input": need.input, "when": need.when} for need in needs],
        "facts": {**with_care.facts, **facts},
    }


def _plain_rule(rule: Rule) -> dict[str, Any]:
    holds = {"holds": True} if rule.urgency in _HOLDING else {}
    return {
        "id": rule.id,
        "level": rule.level,
        "condition": rule.condition,
        "topic": rule.topic,
        "inputs": list(inputs_of(rule.condition)),
        **holds,
    }


def plain_questions(asked: Iterable[Check], *, wording: Wording, values: Mapping[str, str]) -> list[dict[str, Any]]:
    """The questions as JSON-able values; one that lacks a value is an error, for it could not be asked."""
    return [
        {
            "wording": check.wording,
            "text": wording.text(check.wording, values),
            "kind": check.kind,
            "answers_yes": dict(check.answers_yes),
            "answers_no": dict(check.answers_no),
            "input": check.input,
            "unit": check.unit,
            "topic": check.topic,
            "topic_when": [{"topic": one.topic, "when": one.when} for one in check.topic_when],
        }
        for check in asked
    ]


def _answered(asked: Iterable[Check]) -> set[str]:
    names: set[str] = set()
    for check in asked:
        names |= {*check.answers_yes, *check.answers_no} | ({check.input} if check.input else set())
    return names | {derived for name, derived in _DERIVED.items() if name in names}


def _when_inputs(need: Need) -> tuple[str, ...]:
    return () if need.when is None else inputs_of(need.when)

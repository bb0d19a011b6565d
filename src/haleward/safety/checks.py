"""The day's questions: which are asked, what their answers mean as facts, and which rules an answer brings."""

from __future__ import annotations

from collections.abc import Mapping

from haleward.safety.concerns import topic_for
from haleward.safety.conditions import Facts, evaluate, inputs_of
from haleward.safety.gate import Place
from haleward.safety.model import FiredRule
from haleward.safety.parts import Check
from haleward.safety.protocol import Protocol
from haleward.safety.rules import assess

Given = Mapping[str, bool | float | None]


def questions(facts: Facts, protocol: Protocol, *, place: Place) -> tuple[Check, ...]:
    """The questions to ask this person at this place, in order; asked too when it is unknown whether they apply."""
    return tuple(
        check
        for check in protocol.checks
        if place in check.places and (check.ask_when is None or evaluate(check.ask_when, facts) is not False)
    )


def answers_of(asked: tuple[Check, ...], given: Given) -> dict[str, bool | float | str]:
    """What the answers say, by input name; ``given`` holds them by wording key, a blank one missing or ``None``.

    Where two questions answer one input, a yes to either counts and a no needs both.
    """
    said: dict[str, list[bool | None]] = {}
    numbers: dict[str, bool | float | str] = {}
    for check in asked:
        answer = given.get(check.wording)
        if check.kind == "number":
            if answer is not None:
                numbers[check.input] = answer
            continue
        for name in check.answers_yes.keys() | check.answers_no.keys():
            value = meaning(check, answer).get(name)
            said.setdefault(name, []).append(None if value is None else bool(value))
    facts: dict[str, bool | float | str] = {}
    for name, values in said.items():
        if True in values:
            facts[name] = True
        elif all(value is False for value in values):
            facts[name] = False
    return {**facts, **numbers}


def meaning(check: Check, answer: bool | float | None) -> Mapping[str, bool | float]:
    """The inputs that one answer sets; empty for a blank."""
    if answer is None:
        return {}
    if check.kind == "number":
        return {check.input: answer}
    return check.answers_yes if answer else check.answers_no


def brought_by(check: Check, answer: bool | float | None, facts: Facts, protocol: Protocol) -> tuple[FiredRule, ...]:
    """The session's rules that fire because of this one answer, strictest first; empty when it is reassuring."""
    set_now = meaning(check, answer)
    gate = protocol.gates["home"]
    rules = [
        rule
        for rule in protocol.rules
        if (rule.stage in gate.stages or rule.id in gate.also) and set(inputs_of(rule.condition)) & set_now.keys()
    ]
    return tuple(one for one in assess(rules, {**facts, **set_now}) if one.state == "fired")


def check_topic(check: Check, facts: Facts) -> str:
    """The safety topic to show when this question's answer stops the session."""
    return topic_for(check.topic, check.topic_when, facts)

"""Asks rules of facts: which fire, which do not, which cannot be assessed, and which of several is strictest."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

from haleward.safety.conditions import Condition, Facts, evaluate, inputs_of
from haleward.safety.model import FiredRule
from haleward.safety.parts import RULE_LEVELS, URGENCIES, Rule

State = Literal["fired", "unknown", "not_fired"]


def state_of(condition: Condition, facts: Facts) -> State:
    """Fired, not fired, or unknown."""
    answer = evaluate(condition, facts)
    return "unknown" if answer is None else "fired" if answer else "not_fired"


def assess(rules: Iterable[Rule], facts: Facts) -> tuple[FiredRule, ...]:
    """The rules that fire and those that cannot be assessed, strictest first, each with the inputs it used."""
    found = [_result(rule, facts) for rule in rules]
    return strictest_first(one for one in found if one is not None)


def strictest_first(rules: Iterable[FiredRule]) -> tuple[FiredRule, ...]:
    """By level, then by how soon; rules that are alike keep their order."""
    return tuple(sorted(rules, key=lambda one: (RULE_LEVELS.index(one.level), URGENCIES.index(one.urgency))))


def soonest(urgencies: Iterable[str]) -> str:
    """The most urgent of several; "none" when there is none."""
    order: list[str] = [*URGENCIES]
    return min(urgencies, key=order.index, default="none")


def used_inputs(condition: Condition, facts: Facts) -> tuple[tuple[str, str], ...]:
    """Name and value, as text, of every known input that a condition reads."""
    return tuple((name, value_text(facts[name])) for name in inputs_of(condition) if facts.get(name) is not None)


def missing_inputs(condition: Condition, facts: Facts) -> tuple[str, ...]:
    """The unknown inputs that a condition reads."""
    return tuple(name for name in inputs_of(condition) if facts.get(name) is None)


def value_text(value: object) -> str:
    """A fact as staff read it: yes, no, a number or a code."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:g}" if isinstance(value, int | float) else str(value).replace("_", " ")


def _result(rule: Rule, facts: Facts) -> FiredRule | None:
    state = state_of(rule.condition, facts)
    if state == "not_fired":
        return None
    return FiredRule(
        rule_id=rule.id,
        state=state,
        level=rule.level,
        urgency=rule.urgency,
        text=rule.text,
        source=", ".join(rule.sources),
        trust=rule.trust,
        inputs=used_inputs(rule.condition, facts),
        missing=missing_inputs(rule.condition, facts) if state == "unknown" else (),
        topic=rule.topic,
    )

"""Which missing answers could change what the gate says, and the strictest that each could bring.

Nothing is guessed from the list of missing inputs: each one is tried out. The limits of the rules cut the values of an
input into finitely many cases (below a limit, at it, between two, above), so every value behaves like one of them. For
one missing input, the rules that read it are asked in every case of it, together with every case of the other missing
inputs they read. An input whose cases all end alike cannot change the answer.

The same cases show what is already certain: where every possible answer stops the session, it is stopped now.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import pairwise, product
from math import prod
from typing import NamedTuple

from haleward.safety.conditions import COMPARISONS, Facts, evaluate, inputs_of, leaves
from haleward.safety.inputs import default_inputs
from haleward.safety.model import Outcome
from haleward.safety.parts import URGENCIES, Rule

OUTCOMES: tuple[Outcome, ...] = ("not_today", "check_first", "go_ahead")  # strictest first
CASES_AT_MOST = 5000  # beyond this an input counts as able to bring whatever its strictest rule says
_OUTCOME_OF: Mapping[str, Outcome] = {"block": "not_today", "clinician_decision": "check_first"}
_ELSEWHERE = 100.0  # any value will do for an input that no rule compares with a number of its own

Value = bool | float | str


class Answer(NamedTuple):
    """What a gate says, as two ranks: 0 is the strictest outcome and the soonest urgency."""

    outcome: int
    urgency: int


@dataclass(frozen=True)
class Effect:
    """What one missing input can do: change the answer or not, at its strictest how, and by which rules."""

    changes: bool
    strictest: Answer
    certain: Answer  # what holds whatever is answered, as far as the rules that read this input go
    rule_ids: tuple[str, ...]


def answer_of(rules: Iterable[Rule]) -> Answer:
    """What these rules say when all of them fire."""
    fired = tuple(rules)
    return Answer(
        min((OUTCOMES.index(_OUTCOME_OF.get(rule.level, "go_ahead")) for rule in fired), default=len(OUTCOMES) - 1),
        min((URGENCIES.index(rule.urgency) for rule in fired), default=len(URGENCIES) - 1),
    )


def stricter(first: Answer, second: Answer) -> Answer:
    """The stricter outcome and the sooner urgency of two answers."""
    return Answer(min(first.outcome, second.outcome), min(first.urgency, second.urgency))


def effect_of(name: str, rules: tuple[Rule, ...], facts: Facts, *, already: Answer) -> Effect:
    """What the missing input ``name`` can do beyond what is ``already`` decided.

    ``rules`` are the gate's rules that can stop or hurry and cannot be assessed yet.
    """
    reading = [rule for rule in rules if name in inputs_of(rule.condition)]
    others = [one for one in _missing(reading, facts) if one != name]
    known = {name, *others}
    asked = [rule for rule in rules if set(_missing([rule], facts)) <= known]
    cases = {one: cases_of(one, asked, facts) for one in (name, *others)}
    if prod(map(len, cases.values())) > CASES_AT_MOST:
        worst = stricter(already, answer_of(reading))
        return Effect(worst != already, worst, already, tuple(rule.id for rule in reading))
    return _tried(name, others, asked, cases, facts, already)


def _tried(
    name: str,
    others: list[str],
    rules: list[Rule],
    cases: Mapping[str, tuple[Value, ...]],
    facts: Facts,
    already: Answer,
) -> Effect:
    """The rules asked in every case of the missing inputs."""
    strictest, mildest, changes = already, Answer(0, 0), False
    bringing: dict[str, None] = {}
    for given in product(*(cases[other] for other in others)):
        context = {**facts, **dict(zip(others, given, strict=True))}
        fired = [[rule for rule in rules if evaluate(rule.condition, {**context, name: one})] for one in cases[name]]
        answers = [stricter(already, answer_of(found)) for found in fired]
        changes = changes or len(set(answers)) > 1
        for found, answer in zip(fired, answers, strict=True):
            strictest = stricter(strictest, answer)
            mildest = Answer(max(mildest.outcome, answer.outcome), max(mildest.urgency, answer.urgency))
            bringing |= dict.fromkeys(rule.id for rule in found if name in inputs_of(rule.condition))
    exact = not any(_compares_two_missing(rule, facts) for rule in rules)
    return Effect(changes, strictest, mildest if exact else already, tuple(bringing))


def cases_of(name: str, rules: Iterable[Rule], facts: Facts) -> tuple[Value, ...]:
    """Values of one input, one for each case that the rules can tell apart."""
    item = default_inputs()[name]
    if item.kind == "bool":
        return (True, False)
    if item.kind == "text":
        return item.values or ("",)
    limits = sorted(set(_limits(name, rules, facts)))
    if not limits:
        return (_ELSEWHERE,)
    if item.unit in ("count", "NYHA class"):
        return tuple(sorted({value for limit in limits for value in (limit - 1, limit, limit + 1)}))
    between = [(low + high) / 2 for low, high in pairwise(limits)]
    return tuple(sorted({limits[0] - 1, *limits, *between, limits[-1] + 1}))


def _limits(name: str, rules: Iterable[Rule], facts: Facts) -> list[float]:
    """The numbers at which a rule may change its mind about ``name``."""
    found: list[float] = []
    for leaf in (leaf for rule in rules for leaf in leaves(rule.condition)):
        for test in COMPARISONS:
            limit = leaf.get(test)
            if isinstance(limit, Mapping):
                found += _relative(name, leaf["input"], limit, facts)
            elif limit is not None and leaf["input"] == name:
                found.append(float(limit))
        if leaf["input"] == name and isinstance(leaf.get("is"), int | float) and not isinstance(leaf["is"], bool):
            found.append(float(leaf["is"]))
    return found


def _relative(name: str, left: str, limit: Mapping[str, float | str], facts: Facts) -> list[float]:
    """The limit of a comparison of two inputs, seen from either side."""
    right, times, plus = str(limit["input"]), float(limit.get("times", 1)), float(limit.get("plus", 0))
    if name == left:
        return [_number(facts.get(right)) * times + plus]
    return [(_number(facts.get(left)) - plus) / times] if name == right and times else []


def _number(value: object) -> float:
    return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else _ELSEWHERE


def _compares_two_missing(rule: Rule, facts: Facts) -> bool:
    return any(
        isinstance(leaf.get(test), Mapping)
        and facts.get(leaf["input"]) is None
        and facts.get(leaf[test]["input"]) is None
        for leaf in leaves(rule.condition)
        for test in COMPARISONS
    )


def _missing(rules: Iterable[Rule], facts: Facts) -> list[str]:
    """The unknown inputs that rules read, each once."""
    return [*dict.fromkeys(one for rule in rules for one in inputs_of(rule.condition) if facts.get(one) is None)]

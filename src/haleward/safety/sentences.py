"""A condition in plain English for staff."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from haleward.safety.inputs import SafetyInput, default_inputs
from haleward.safety.words import code_words, unit_words

_PHRASES = {"over": "over", "under": "under", "at_least": "at least", "at_most": "at most"}


def to_sentence(condition: Mapping[str, Any]) -> str:
    """The condition as one sentence, e.g. "Resting systolic blood pressure is over 180 mmHg."."""
    phrase = _phrase(condition, nested=False)
    return f"{phrase[:1].upper()}{phrase[1:]}."


def _phrase(condition: Mapping[str, Any], *, nested: bool) -> str:
    for group, word in (("all", " and "), ("any", " or ")):
        if group in condition:
            joined = word.join(_phrase(part, nested=True) for part in condition[group])
            return f"({joined})" if nested and len(condition[group]) > 1 else joined
    if "not" in condition:
        return f"it is not so that {_phrase(condition['not'], nested=True)}"
    found = default_inputs()[condition["input"]]
    return " and ".join(
        _test(found, test, wanted) for test, wanted in condition.items() if test not in ("input", "unit")
    )


def _test(found: SafetyInput, test: str, wanted: Any) -> str:
    label = found.label
    if test == "known":
        return f"{label} is {'known' if wanted else 'not known'}"
    if test == "one_of":
        return f"{label} is {' or '.join(_code(value) for value in wanted)}"
    if test == "is":
        return f"{label}: {'yes' if wanted else 'no'}" if found.kind == "bool" else f"{label} is {_code(wanted)}"
    return f"{label} is {_PHRASES[test]} {_limit(found, wanted)}"


def _limit(found: SafetyInput, wanted: Any) -> str:
    if not isinstance(wanted, Mapping):
        return amount(found, wanted)
    words = default_inputs()[wanted["input"]].label
    if wanted.get("times", 1) != 1:
        words = f"{wanted['times']:g} times {words}"
    plus = wanted.get("plus", 0)
    if plus:
        words += f" {'plus' if plus > 0 else 'minus'} {amount(found, abs(plus))}"
    return words


def amount(found: SafetyInput, number: float) -> str:
    """A number with its unit as staff read it."""
    unit = unit_words(found.unit)
    return f"{number:g}{unit if unit == '%' else f' {unit}'.rstrip()}"


def _code(value: object) -> str:
    return f"{value:g}" if isinstance(value, float) else code_words(str(value))

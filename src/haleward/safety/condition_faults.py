"""What is wrong with a written condition: unknown words or inputs, wrong kinds of value, wrong units."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from haleward.safety.conditions import COMPARISONS, TESTS
from haleward.safety.inputs import Inputs, SafetyInput
from haleward.strict_toml import is_number

_GROUPS = ("all", "any", "not")
DEEPEST = 10  # groups within groups; nobody can read more


def condition_faults(condition: Any, inputs: Inputs) -> tuple[str, ...]:
    """One sentence for each fault of ``condition``; empty when it is well formed."""
    return tuple(_faults(condition, inputs))


def _faults(condition: Any, inputs: Inputs, depth: int = 0) -> Iterator[str]:
    if depth > DEEPEST:
        yield f"groups stand more than {DEEPEST} deep in each other; write the condition more simply"
        return
    if not isinstance(condition, dict) or not condition:
        yield f"a condition is a table such as {{input = ..., is = true}}, not {condition!r}"
        return
    group = next((word for word in _GROUPS if word in condition), None)
    if group is None:
        yield from _leaf_faults(condition, inputs)
        return
    if len(condition) > 1:
        yield f'"{group}" stands alone in its table; also found: {", ".join(k for k in condition if k != group)}'
    parts = [condition["not"]] if group == "not" else condition[group]
    if not isinstance(parts, list) or not parts:
        yield f'"{group}" needs a list of conditions'
        return
    for part in parts:
        yield from _faults(part, inputs, depth + 1)


def _leaf_faults(leaf: dict[str, Any], inputs: Inputs) -> Iterator[str]:
    unknown = [word for word in leaf if word not in ("input", "unit", *TESTS)]
    if unknown:
        yield f"unknown word {', '.join(unknown)} in a condition; the words are input, unit, {', '.join(TESTS)}"
    found = inputs.get(str(leaf.get("input")))
    if found is None:
        yield f'unknown input "{leaf.get("input")}"; the inputs are listed in data/tables/inputs.csv'
        return
    tests = [test for test in TESTS if test in leaf]
    if not tests:
        yield f"nothing is asked of {found.name}; use one of {', '.join(TESTS)}"
    for test in tests:
        yield from _test_faults(test, leaf[test], found, inputs)
    compares = any(test in COMPARISONS for test in tests)
    if compares and leaf.get("unit") != found.unit:
        yield f'the unit of {found.name} is "{found.unit}", not "{leaf.get("unit", "")}"'
    if not compares and "unit" in leaf:
        yield f"{found.name} is not compared with a number here, so it takes no unit"


def _test_faults(test: str, wanted: Any, found: SafetyInput, inputs: Inputs) -> Iterator[str]:
    if test == "known":
        if not isinstance(wanted, bool):
            yield f'"known" of {found.name} is true or false, not {wanted!r}'
    elif test in COMPARISONS:
        if found.kind != "number":
            yield f'{found.name} is not a number, so "{test}" cannot be asked of it'
        yield from _limit_faults(wanted, found, inputs)
    elif test == "one_of" and (not isinstance(wanted, list) or not wanted):
        yield f'"one_of" of {found.name} needs a list of values'
    else:
        for value in wanted if test == "one_of" else [wanted]:
            yield from _value_faults(value, found)


def _limit_faults(wanted: Any, found: SafetyInput, inputs: Inputs) -> Iterator[str]:
    if is_number(wanted):
        return
    if not isinstance(wanted, dict):
        yield f"{found.name} is compared with {wanted!r}; it must be a number or {{input = ..., plus = ...}}"
        return
    unknown = [word for word in wanted if word not in ("input", "times", "plus")]
    if unknown:
        yield f"unknown word {', '.join(unknown)} in a limit; the words are input, times, plus"
    other = inputs.get(str(wanted.get("input")))
    if other is None or other.kind != "number":
        yield f'"{wanted.get("input")}" is not an input with a number'
    elif other.unit != found.unit:
        yield f"{found.name} is in {found.unit} and {other.name} in {other.unit}; they cannot be compared"
    if not all(is_number(wanted.get(word, 0)) for word in ("times", "plus")):
        yield f"times and plus in the limit of {found.name} must be numbers"


def _value_faults(value: Any, found: SafetyInput) -> Iterator[str]:
    if found.kind == "bool" and not isinstance(value, bool):
        yield f"{found.name} is true or false, not {value!r}"
    elif found.kind == "number" and not is_number(value):
        yield f"{found.name} is a number, not {value!r}"
    elif found.kind == "text" and (not isinstance(value, str) or (found.values and value not in found.values)):
        yield f"{found.name} is one of {', '.join(found.values) or 'texts'}, not {value!r}"

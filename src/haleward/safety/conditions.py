"""Structured conditions in three-valued logic: true, false, unknown (``None``). Text is never evaluated as code.

The whole grammar, the same in TOML, JSON and on a page:

    condition  = {"all": [condition, ...]}      true if every one is true, false if any one is false, else unknown
               | {"any": [condition, ...]}      true if any one is true, false if every one is false, else unknown
               | {"not": condition}             true and false exchanged; unknown stays unknown
               | comparison
    comparison = {"input": NAME, one or more of the tests below; several mean all of them}
        "over", "under", "at_least", "at_most": limit   the input is a number; "unit" must name its unit
        "is": value                                     yes/no, number or code
        "one_of": [value, ...]
        "known": true | false                           the only test whose answer is never unknown
    limit      = number | {"input": NAME, "times": number (1 if left out), "plus": number (0 if left out)}

Facts are a mapping from input name to value. A name that is missing, or whose value is ``None``, is unknown, and so is
every comparison that needs it (except "known"). The names and units are those of data/tables/inputs.csv.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from operator import ge, gt, le, lt
from typing import Any

from haleward.errors import Inconsistent
from haleward.safety.sentences import to_sentence

__all__ = [
    "COMPARISONS",
    "TESTS",
    "Condition",
    "Facts",
    "evaluate",
    "inputs_of",
    "leaves",
    "numbers_of",
    "to_sentence",
]

Condition = Mapping[str, Any]
Facts = Mapping[str, bool | float | str | None]

COMPARISONS: dict[str, Callable[[float, float], bool]] = {"over": gt, "under": lt, "at_least": ge, "at_most": le}
TESTS = (*COMPARISONS, "is", "one_of", "known")


def evaluate(condition: Condition, facts: Facts) -> bool | None:
    """Whether ``condition`` holds for ``facts``: true, false, or ``None`` when the facts cannot tell.

    Raises :class:`Inconsistent` when a fact is text or yes/no where a number is compared.
    """
    if "all" in condition:
        return all_of([evaluate(part, facts) for part in condition["all"]])
    if "any" in condition:
        return any_of([evaluate(part, facts) for part in condition["any"]])
    if "not" in condition:
        return not_of(evaluate(condition["not"], facts))
    return all_of([_test(condition, test, facts) for test in TESTS if test in condition])


def all_of(answers: list[bool | None]) -> bool | None:
    """Three-valued "and"."""
    if False in answers:
        return False
    return None if None in answers else True


def any_of(answers: list[bool | None]) -> bool | None:
    """Three-valued "or"."""
    return not_of(all_of([not_of(answer) for answer in answers]))


def not_of(answer: bool | None) -> bool | None:
    """Three-valued "not"."""
    return None if answer is None else not answer


def inputs_of(condition: Condition) -> tuple[str, ...]:
    """The names of the inputs a condition reads, each once, in the order they are written."""
    names: dict[str, None] = {}
    for leaf in leaves(condition):
        names[leaf["input"]] = None
        for test in COMPARISONS:
            limit = leaf.get(test)
            if limit is not None and not isinstance(limit, float | int):
                names[limit["input"]] = None
    return tuple(names)


def leaves(condition: Condition) -> list[Condition]:
    """The comparisons a condition is made of, in the order they are written."""
    parts = [*condition.get("all", ()), *condition.get("any", ())]
    if "not" in condition:
        parts.append(condition["not"])
    if not parts:
        return [condition] if "input" in condition else []
    return [leaf for part in parts for leaf in leaves(part)]


def numbers_of(condition: Condition) -> set[float]:
    """Every number a condition compares with, without its sign (a margin is written as plus = -10)."""
    found: set[float] = set()
    for leaf in leaves(condition):
        for test in (*COMPARISONS, "is"):
            limit = leaf.get(test)
            for one in (limit.get("plus"), limit.get("times")) if isinstance(limit, Mapping) else (limit,):
                if isinstance(one, int | float) and not isinstance(one, bool):
                    found.add(abs(float(one)))
    return found


def _test(leaf: Condition, test: str, facts: Facts) -> bool | None:
    value = facts.get(leaf["input"])
    wanted = leaf[test]
    if test == "known":
        return (value is not None) is wanted
    if value is None:
        return None
    if test == "is":
        return _same(value, wanted)
    if test == "one_of":
        return any(_same(value, one) for one in wanted)
    limit = _limit(wanted, facts)
    return None if limit is None else COMPARISONS[test](_number(leaf["input"], value), limit)


def _same(value: object, wanted: object) -> bool:
    """Equality in which yes/no never equals a number (in Python, ``True == 1``)."""
    return isinstance(value, bool) == isinstance(wanted, bool) and value == wanted


def _limit(wanted: Any, facts: Facts) -> float | None:
    if isinstance(wanted, float | int):
        return float(wanted)
    value = facts.get(wanted["input"])
    if value is None:
        return None
    return _number(wanted["input"], value) * float(wanted.get("times", 1)) + float(wanted.get("plus", 0))


def _number(name: str, value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise Inconsistent(f"{name} is {value!r}; it must be a number.")
    return float(value)

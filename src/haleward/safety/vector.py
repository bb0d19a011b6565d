"""Conditions asked of many people at once: the same three-valued logic as :mod:`haleward.safety.conditions`, by column.

A column holds one input of everybody. Each comparison becomes two arrays of yes/no: where it is true, and where it is
false; where neither, it is unknown. :func:`evaluate_all` says for each person what ``evaluate`` says of that person's
facts alone.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from functools import reduce
from typing import Any

import numpy as np
from numpy.typing import NDArray

from haleward.errors import Inconsistent
from haleward.safety.conditions import COMPARISONS, TESTS, Condition, Facts

Flags = NDArray[np.bool_]
Numbers = NDArray[np.float64]


@dataclass(frozen=True)
class Truth:
    """Where a condition is true and where it is false; unknown where neither."""

    true: Flags
    false: Flags

    @property
    def unknown(self) -> Flags:
        """Where the facts cannot tell."""
        return ~(self.true | self.false)

    def at(self, place: int) -> bool | None:
        """The answer for one person, as ``evaluate`` gives it."""
        return True if self.true[place] else False if self.false[place] else None


@dataclass(frozen=True)
class Column:
    """One input of everybody. ``values`` are as given; the arrays say where it is known, yes/no or a number."""

    values: list[Any]
    known: Flags
    yes_no: Flags
    numeric: Flags
    number: Numbers  # also 0 and 1 of a yes/no; 0 where there is none


class Columns:
    """The facts of many people by input. A column is made when it is first asked for."""

    def __init__(self, facts: Sequence[Facts], *, blank: Collection[str] = ()) -> None:
        """``blank`` names inputs that count as unknown for everybody, whatever the facts say."""
        self._facts = facts
        self._blank = blank
        self._made: dict[str, Column] = {}

    def __len__(self) -> int:
        return len(self._facts)

    def column(self, name: str) -> Column:
        """The column of one input; unknown for everybody if no facts have it."""
        if name not in self._made:
            given = [None] * len(self) if name in self._blank else [facts.get(name) for facts in self._facts]
            self._made[name] = _column(given)
        return self._made[name]


def evaluate_all(condition: Condition, columns: Columns) -> Truth:
    """Whether ``condition`` holds for each person.

    Raises :class:`Inconsistent` when for anybody a fact is text or yes/no where a number is compared.
    """
    if "all" in condition:
        return _all_of([evaluate_all(part, columns) for part in condition["all"]], len(columns))
    if "any" in condition:
        return _not(_all_of([_not(evaluate_all(part, columns)) for part in condition["any"]], len(columns)))
    if "not" in condition:
        return _not(evaluate_all(condition["not"], columns))
    return _all_of([_test(condition, test, columns) for test in TESTS if test in condition], len(columns))


def _all_of(parts: list[Truth], count: int) -> Truth:
    if not parts:
        return Truth(np.ones(count, np.bool_), np.zeros(count, np.bool_))
    return Truth(reduce(np.logical_and, [part.true for part in parts]), reduce(np.logical_or, [p.false for p in parts]))


def _not(truth: Truth) -> Truth:
    return Truth(truth.false, truth.true)


def _test(leaf: Condition, test: str, columns: Columns) -> Truth:
    column = columns.column(leaf["input"])
    wanted = leaf[test]
    if test == "known":
        holds = column.known == wanted
        return Truth(holds, ~holds)
    if test in COMPARISONS:
        return _compared(leaf["input"], COMPARISONS[test], wanted, columns)
    wished = wanted if test == "one_of" else [wanted]
    holds = reduce(np.logical_or, [_same(column, one) for one in wished], np.zeros(len(columns), np.bool_))
    return Truth(column.known & holds, column.known & ~holds)


def _compared(name: str, compare: Any, wanted: Any, columns: Columns) -> Truth:
    column = columns.column(name)
    limit: Numbers | np.float64
    if not isinstance(wanted, float | int):
        other = columns.column(wanted["input"])
        asked = column.known & other.known
        _need_numbers(wanted["input"], other, asked)
        with np.errstate(invalid="ignore", over="ignore"):
            limit = other.number * float(wanted.get("times", 1)) + float(wanted.get("plus", 0))
    else:
        asked, limit = column.known, np.float64(wanted)
    _need_numbers(name, column, asked)
    holds = compare(column.number, limit)
    return Truth(asked & holds, asked & ~holds)


def _need_numbers(name: str, column: Column, asked: Flags) -> None:
    wrong = asked & ~column.numeric
    if wrong.any():
        raise Inconsistent(f"{name} is {column.values[int(wrong.argmax())]!r}; it must be a number.")


def _same(column: Column, wanted: object) -> Flags:
    """Equality in which yes/no never equals a number."""
    if isinstance(wanted, bool | int | float):
        kind = column.yes_no if isinstance(wanted, bool) else column.numeric
        holds: Flags = np.equal(column.number, float(wanted))
        return kind & holds
    return np.fromiter((value == wanted for value in column.values), np.bool_, len(column.values))


class _Kinds(dict[type, int]):
    """A number for the kind of each value; anything that is neither yes/no nor a number is text."""

    def __missing__(self, kind: type) -> int:
        return _TEXT


_MISSING, _YES_NO, _NUMERIC, _TEXT = range(4)
_KINDS = _Kinds({type(None): _MISSING, bool: _YES_NO, int: _NUMERIC, float: _NUMERIC})


def _column(values: list[Any]) -> Column:
    kinds = np.fromiter(map(_KINDS.__getitem__, map(type, values)), np.int8, len(values))
    known = kinds != _MISSING
    text = kinds == _TEXT
    counted = [0.0 if other else value for value, other in zip(values, text, strict=True)] if text.any() else values
    number = np.array(counted, np.float64)  # what is missing becomes "not a number"
    number[~known] = 0.0
    return Column(values=values, known=known, yes_no=kinds == _YES_NO, numeric=kinds == _NUMERIC, number=number)

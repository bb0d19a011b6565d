"""Every set of facts there could be, and when a condition is true or false in it.

Each input is a value with its type and range (data/tables/input_ranges.csv) and, apart from it, known or unknown. As in
:mod:`haleward.safety.conditions`, a comparison whose input is unknown is neither true nor false.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from haleward.physiology.tables import rows
from haleward.safety.analysis.solver import Formula, Solver, Term
from haleward.safety.conditions import COMPARISONS, TESTS, Condition
from haleward.safety.inputs import default_inputs


@dataclass(frozen=True)
class Span:
    """The numbers an input can take: from ``low`` to ``high``, whole ones only if ``whole``."""

    low: float
    high: float
    whole: bool


@cache
def spans() -> Mapping[str, Span]:
    """The range of every input that is a number."""
    return {row["name"]: Span(float(row["low"]), float(row["high"]), bool(row["step"])) for row in rows("input_ranges")}


class Space:
    """Conditions as formulas of one solver; the same input is the same variable in all of them."""

    def __init__(self) -> None:
        self.solver = Solver()
        self._values: dict[str, Term] = {}
        self._codes: dict[str, dict[str, int]] = {}
        self._said: dict[tuple[str, bool], Formula] = {}
        self._can: dict[tuple[str, bool], bool] = {}
        self._implied: dict[tuple[str, str], bool] = {}

    def possible(self, *formulas: Formula) -> bool:
        """Whether some set of facts makes all ``formulas`` true."""
        return self.solver.possible(*formulas)

    def can_be(self, condition: Condition, *, wanted: bool = True) -> bool:
        """Whether some set of facts makes ``condition`` true (or false, if that is ``wanted``)."""
        key = (_key(condition), wanted)
        if key not in self._can:
            self._can[key] = self.possible(self._told(condition, wanted=wanted))
        return self._can[key]

    def implies(self, one: Condition, other: Condition) -> bool:
        """Whether ``other`` is true whenever ``one`` is."""
        pair = (_key(one), _key(other))
        if pair not in self._implied:
            self._implied[pair] = not self.possible(self.true(one), self.solver.no(self.true(other)))
        return self._implied[pair]

    def true(self, condition: Condition) -> Formula:
        """When ``condition`` is true."""
        return self._told(condition, wanted=True)

    def false(self, condition: Condition) -> Formula:
        """When ``condition`` is false, which is not the same as not true: it may be unknown."""
        return self._told(condition, wanted=False)

    def known(self, name: str) -> Formula:
        """That the input is known."""
        self._value(name)
        return self.solver.flag(f"known {name}")

    def _told(self, condition: Condition, *, wanted: bool) -> Formula:
        """The formula, made once: the same condition stands in several gates and jurisdictions."""
        key = (_key(condition), wanted)
        if key not in self._said:
            self._said[key] = self._says(condition, wanted=wanted)
        return self._said[key]

    def _says(self, condition: Condition, *, wanted: bool) -> Formula:
        every, some = self.solver.every, self.solver.some
        if "not" in condition:
            return self._says(condition["not"], wanted=not wanted)
        for group, joined in (("all", every if wanted else some), ("any", some if wanted else every)):
            if group in condition:
                return joined([self._says(part, wanted=wanted) for part in condition[group]])
        tests = [self._test(condition, test, wanted=wanted) for test in TESTS if test in condition]
        return every(tests) if wanted else some(tests)

    def _test(self, leaf: Condition, test: str, *, wanted: bool) -> Formula:
        name, solver = leaf["input"], self.solver
        known = self.known(name)
        if test == "known":
            return known if leaf[test] is wanted else solver.no(known)
        needs = [known]
        if test in COMPARISONS:
            limit, other = self._limit(leaf[test])
            needs += [self.known(other)] if other else []
            holds = COMPARISONS[test](self._value(name), limit)
        else:
            values = leaf[test] if test == "one_of" else [leaf[test]]
            holds = solver.some(self._is(name, value) for value in values)
        return solver.every([*needs, holds if wanted else solver.no(holds)])

    def _limit(self, wanted: Any) -> tuple[Term, str]:
        number = self.solver.number
        if not isinstance(wanted, Mapping):
            return number(wanted), ""
        value = self._value(wanted["input"])
        return value * number(wanted.get("times", 1)) + number(wanted.get("plus", 0)), wanted["input"]

    def _is(self, name: str, value: bool | float | str) -> Formula:
        variable = self._value(name)
        if isinstance(value, bool):
            return variable if value else self.solver.no(variable)
        if isinstance(value, str):
            codes = self._codes.setdefault(name, {})
            return variable == codes.setdefault(value, len(codes))
        return variable == self.solver.number(value)

    def _value(self, name: str) -> Term:
        """The input's variable, made with its range when it is first used."""
        if name not in self._values:
            self._values[name] = self._new(name)
        return self._values[name]

    def _new(self, name: str) -> Term:
        found, solver = default_inputs()[name], self.solver
        if found.kind == "bool":
            return solver.flag(name)
        if found.kind == "text":
            code = solver.whole(name)
            self._codes[name] = {value: place for place, value in enumerate(found.values)}
            if found.values:
                solver.always(solver.every([code >= 0, code < len(found.values)]))
            return code
        span = spans()[name]
        number = solver.whole(name) if span.whole else solver.real(name)
        solver.always(solver.every([number >= solver.number(span.low), number <= solver.number(span.high)]))
        return number


def _key(condition: Condition) -> str:
    return json.dumps(condition, sort_keys=True)

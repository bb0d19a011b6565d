"""The solver behind the analysis: z3, imported when it is first needed, behind a few typed words.

Every :class:`Solver` has its own context, so that several may work at once in different threads.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from fractions import Fraction
from importlib import import_module
from typing import Any, TypeAlias

Formula: TypeAlias = Any  # a yes/no expression of the solver
Term: TypeAlias = Any  # a number expression of the solver


class Solver:
    """Yes/no and number variables, and the question whether formulas can all be true at once."""

    def __init__(self) -> None:
        self._z3: Any = import_module("z3")
        self._context = self._z3.Context()
        self._solver = self._z3.Solver(ctx=self._context)

    def flag(self, name: str) -> Formula:
        """A yes/no variable."""
        return self._z3.Bool(name, self._context)

    def real(self, name: str) -> Term:
        """A number variable."""
        return self._z3.Real(name, self._context)

    def whole(self, name: str) -> Term:
        """A whole-number variable."""
        return self._z3.Int(name, self._context)

    def number(self, value: float) -> Term:
        """A number as written: 0.1 is a tenth."""
        return self._z3.RealVal(str(Fraction(str(value))), self._context)

    def every(self, formulas: Iterable[Formula]) -> Formula:
        """All of them; true for none."""
        found = tuple(formulas)
        return found[0] if len(found) == 1 else self._z3.And(*found, *self._neutral(True, found))

    def some(self, formulas: Iterable[Formula]) -> Formula:
        """Any of them; false for none."""
        found = tuple(formulas)
        return found[0] if len(found) == 1 else self._z3.Or(*found, *self._neutral(False, found))

    def no(self, formula: Formula) -> Formula:
        """The contrary."""
        return self._z3.Not(formula)

    def always(self, formula: Formula) -> None:
        """Take ``formula`` for granted from now on."""
        self._solver.add(formula)

    def possible(self, *formulas: Formula) -> bool:
        """Whether all ``formulas`` can be true at once, with what is taken for granted."""
        self._solver.push()
        self._solver.add(*formulas)
        answer = self._solver.check()
        self._solver.pop()
        return bool(answer != self._z3.unsat)

    def conflict(self, formulas: Mapping[str, Formula]) -> tuple[str, ...]:
        """The names of formulas that cannot all be true at once, as few as the solver finds; empty if they can."""
        self._solver.push()
        for name, formula in formulas.items():
            self._solver.assert_and_track(formula, self.flag(f"named {name}"))
        found = self._solver.check()
        core = self._solver.unsat_core() if found == self._z3.unsat else ()
        names = {str(one).strip("|").removeprefix("named ") for one in core}
        self._solver.pop()
        return tuple(name for name in formulas if name in names)

    def _neutral(self, value: bool, found: tuple[Formula, ...]) -> tuple[Formula, ...]:
        """What stands for nothing at all, where there is nothing to join."""
        return () if found else (self._z3.BoolVal(value, self._context),)

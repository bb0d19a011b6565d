"""Named formulas: a plain function with its unit, ranges, source, error and population, reachable by name.

A formula is a keyword-only function of floats or NumPy arrays (the same kind comes back; an array result has the
broadcast shape). The decorator checks every argument before the function runs, so a formula never guesses and never
returns a number made from nonsense. The signatures say ``float``; :meth:`Formula.over` is the typed way to use arrays.
"""

from __future__ import annotations

import difflib
import functools
import inspect
import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Literal, ParamSpec, TypeAlias

import numpy as np
from numpy.typing import NDArray

from haleward.errors import HalewardError, OutOfRange
from haleward.units import shown
from haleward.worksheet import Input, Step, Worksheet

P = ParamSpec("P")
FloatArray: TypeAlias = NDArray[np.float64]
Argument: TypeAlias = float | FloatArray | str
# How far a coefficient was checked; carried from the reference, shown with every worksheet.
Trust = Literal[
    "source seen", "seen second-hand", "from memory, unverified", "definition", "common practice, no source", "computed"
]


@dataclass(frozen=True)
class Range:
    """What a numeric argument may be. Both ends are allowed.

    Outside ``low`` to ``high`` the formula refuses. Outside ``stated_low`` to ``stated_high`` (what the source states
    for its sample or equation) it answers, and :meth:`Formula.cautions` says that the answer is extrapolated.
    """

    low: float
    high: float
    unit: str
    label: str
    stated_low: float | None = None
    stated_high: float | None = None
    whole: bool = False

    def check(self, value: object) -> None:
        """Raise :class:`OutOfRange` or :class:`HalewardError` unless every number in ``value`` is allowed."""
        numbers = self._numbers(value)
        outside = (numbers < self.low) | (numbers > self.high)
        if outside.any():
            first = float(numbers[outside].flat[0])
            raise OutOfRange(self.label, f"{first:g}", self.low, self.high, self.unit)
        if self.whole and (numbers != np.floor(numbers)).any():
            raise HalewardError(f"{self.label} must be a whole number, not {_listed(value)}.")

    def _numbers(self, value: object) -> FloatArray:
        wanted = f"give a number from {self.low:g} to {self.high:g}{'' if self.unit == '1' else ' ' + self.unit}"
        if value is None:
            raise HalewardError(f"{self.label} is missing; {wanted}.")
        kind = np.asarray(value).dtype.kind
        if kind not in "iuf":  # whole or decimal numbers; not truth values, text, dates or objects
            raise HalewardError(f"{self.label} is {_listed(value)}, which is not a number; {wanted}.")
        numbers = np.asarray(value, dtype=np.float64)
        if np.isnan(numbers).any():
            raise HalewardError(f"{self.label} is not a number (NaN); {wanted}.")
        return numbers

    def extrapolated(self, value: object) -> bool:
        """Whether any number in ``value`` lies outside what the source states."""
        numbers = np.asarray(value, dtype=np.float64)
        low = -math.inf if self.stated_low is None else self.stated_low
        high = math.inf if self.stated_high is None else self.stated_high
        return bool(((numbers < low) | (numbers > high)).any())

    def described(self) -> str:
        """The range in words, for the docstring and for lists."""
        unit = "" if self.unit == "1" else f" {self.unit}"
        text = f"{self.low:g} to {self.high:g}{unit}"
        if self.stated_low is None and self.stated_high is None:
            return text
        return f"{text}; the source states {_stated(self)}"


@dataclass(frozen=True)
class Choice:
    """What a named argument may be, for example ``Choice(("female", "male"), "Sex")``."""

    options: tuple[str, ...]
    label: str
    unit: str = ""

    def check(self, value: object) -> None:
        """Raise :class:`HalewardError` unless ``value`` is one of the options."""
        if value not in self.options:
            state = "is missing" if value is None else f"is {value!r}"
            raise HalewardError(f"{self.label} {state}; it must be {' or '.join(self.options)}.")

    def extrapolated(self, value: object) -> bool:  # noqa: ARG002 - same face as Range
        """A choice is never extrapolated."""
        return False

    def described(self) -> str:
        """The options in words."""
        return " or ".join(self.options)


def _listed(value: object) -> str:
    return repr(value) if not isinstance(value, np.ndarray) else "an array of " + str(value.dtype)


def _stated(limits: Range) -> str:
    unit = "" if limits.unit == "1" else f" {limits.unit}"
    if limits.stated_low is None:
        return f"{limits.stated_high:g}{unit} or less"
    if limits.stated_high is None:
        return f"{limits.stated_low:g}{unit} or more"
    return f"{limits.stated_low:g} to {limits.stated_high:g}{unit}"


@dataclass(frozen=True)
class Formula:
    """A registered formula and what a reader of its result must know."""

    name: str
    title: str
    equation: str
    unit: str
    ranges: Mapping[str, Range | Choice]
    source: str
    trust: Trust
    error: str
    population: str
    standard_error: float | None
    function: Callable[..., float]

    def call(self, **arguments: float | str) -> float:
        """The result for one set of arguments. Raises :class:`HalewardError` naming the first fault."""
        self._check(arguments)
        return float(self.function(**arguments))

    def over(self, **arguments: Argument) -> FloatArray:
        """The results over arrays of arguments, broadcast together."""
        self._check(arguments)
        return np.asarray(self.function(**arguments), dtype=np.float64)

    def cautions(self, **arguments: Argument) -> tuple[str, ...]:
        """A sentence for each argument outside what the source states: the answer is then extrapolated."""
        return tuple(
            f"{limits.label} {shown_input(arguments[key])} is outside the {_stated(limits)} that the source states: "
            "the result is extrapolated."
            for key, limits in self.ranges.items()
            if isinstance(limits, Range) and limits.extrapolated(arguments[key])
        )

    def step(
        self, title: str = "", *, origins: Mapping[str, str] | None = None, rule_id: str = "", **arguments: float | str
    ) -> Step:
        """One worksheet step: the inputs with where each came from (by argument name), and the unrounded result."""
        result = self.call(**arguments)
        inputs = tuple(
            Input(limits.label, arguments[key], "" if limits.unit == "1" else limits.unit, (origins or {}).get(key, ""))
            for key, limits in self.ranges.items()
        )
        return Step(title or self.title, self.equation, inputs, result, self.unit, self.cited, rule_id)

    def worksheet(
        self,
        title: str = "",
        *,
        origins: Mapping[str, str] | None = None,
        rule_id: str = "",
        cautions: tuple[str, ...] = (),
        **arguments: float | str,
    ) -> Worksheet:
        """A worksheet of this one formula: result as shown, one step, its error, population and cautions."""
        step = self.step(title, origins=origins, rule_id=rule_id, **arguments)
        known = tuple(text for text in (self.error, self.population and f"Made from: {self.population}.") if text)
        result = shown(float(step.result), self.unit)
        return Worksheet(title or self.title, result, (step,), (*self.cautions(**arguments), *known, *cautions))

    @property
    def cited(self) -> str:
        """Source with its mark of trust."""
        return f"{self.source} [{self.trust}]"

    def _check(self, arguments: Mapping[str, object]) -> None:
        for key in arguments:
            if key not in self.ranges:
                raise HalewardError(
                    f"{self.name} has no argument {key!r}{_near(key, self.ranges)}; it takes {', '.join(self.ranges)}."
                )
        missing = [key for key in self.ranges if key not in arguments]
        if missing:
            raise HalewardError(f"{self.name} also needs {', '.join(f'{key}' for key in missing)}.")


REGISTRY: dict[str, Formula] = {}


def formula(
    *,
    title: str,
    equation: str,
    unit: str,
    ranges: Mapping[str, Range | Choice],
    source: str,
    trust: Trust,
    error: str = "",
    population: str = "",
    standard_error: float | None = None,
) -> Callable[[Callable[P, float]], Callable[P, float]]:
    """Register a keyword-only function as a formula and check its arguments at every call.

    ``standard_error`` is the error for one person in the result's own unit, where the source gives one; ``error`` says
    it in words. The docstring gains Parameters, Returns, Raises, Sources and Check values from these metadata.
    """

    def register(function: Callable[P, float]) -> Callable[P, float]:
        name = function.__name__
        parameters = inspect.signature(function).parameters
        if list(parameters) != list(ranges) or any(p.kind is not p.KEYWORD_ONLY for p in parameters.values()):
            raise TypeError(f"{name}: the ranges must name its keyword-only arguments in order.")
        if name in REGISTRY and REGISTRY[name].function.__module__ != function.__module__:
            raise TypeError(f"{name} is registered twice.")

        @functools.wraps(function)
        def checked(*args: P.args, **kwargs: P.kwargs) -> float:
            for key, value in kwargs.items():
                if key in ranges:
                    ranges[key].check(value)
            result = function(*args, **kwargs)
            return result if isinstance(result, np.ndarray) and result.ndim else float(result)

        registered = Formula(
            name, title, equation, unit, dict(ranges), source, trust, error, population, standard_error, checked
        )
        checked.__doc__ = _docstring(registered, inspect.getdoc(function) or title)
        REGISTRY[name] = registered
        return checked

    return register


def _docstring(known: Formula, written: str) -> str:
    parameters = "\n".join(
        f"{key} : {limits.label}. [{limits.unit or 'name'}], {limits.described()}"
        for key, limits in known.ranges.items()
    )
    notes = "\n".join(text for text in (known.error, known.population and f"Population: {known.population}.") if text)
    return (
        f"{written}\n\n{known.equation}\n\nParameters\n----------\n{parameters}\n\n"
        f"Returns\n-------\nfloat : {known.title}, not rounded. [{known.unit}]\n\n"
        "Raises\n------\nOutOfRange : an argument lies outside its range (plausibility limits where the source gives "
        f"none).\nHalewardError : an argument is missing or is not a number.\n\nNotes\n-----\n{notes}\n\n"
        f"Sources\n-------\n{known.cited}\n\nCheck values\n------------\ntests/checks, rows of {known.name}.\n"
    )


def find(name: str) -> Formula:
    """The registered formula of that name. Raises :class:`HalewardError` with the nearest name for a wrong one."""
    if name not in REGISTRY:
        hint = _near(name, REGISTRY) or "; the list of formulas shows every name"
        raise HalewardError(f"There is no formula {name!r}{hint}.")
    return REGISTRY[name]


def parse_arguments(words: list[str]) -> dict[str, str]:
    """``["age_y=60", ...]`` as a dictionary. Raises :class:`HalewardError` for a word of another form or a repeat."""
    pairs: dict[str, str] = {}
    for word in words:
        key, equals, value = word.partition("=")
        if not equals or not key.strip() or not value.strip():
            raise HalewardError(f"{word!r} is not of the form name=value, for example age_y=60.")
        if key.strip() in pairs:
            raise HalewardError(f"{key.strip()} is given twice; give it once.")
        pairs[key.strip()] = value.strip()
    return pairs


def calculate(name: str, texts: Mapping[str, str]) -> Worksheet:
    """The worksheet of formula ``name`` for arguments typed as text. Raises :class:`HalewardError`."""
    chosen = find(name)
    chosen._check(texts)
    arguments: dict[str, Any] = {
        key: texts[key] if isinstance(limits, Choice) else number_of(key, texts[key])
        for key, limits in chosen.ranges.items()
    }
    return chosen.worksheet(**arguments)


def number_of(key: str, text: str) -> float:
    """The number written in ``text``. Raises :class:`HalewardError` for anything but a plain decimal number."""
    if not re.fullmatch(r"[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d+)?", text.strip(), flags=re.ASCII):
        raise HalewardError(f"{key}={text} is not a number; write for example {key}=60 or {key}=1.75.")
    return float(text)


def shown_input(value: Argument) -> str:
    """An input as typed: short, without trailing noise."""
    return value if isinstance(value, str) else f"{value:g}" if np.ndim(value) == 0 else "(array)"


def _near(word: str, known: Mapping[str, object]) -> str:
    close = difflib.get_close_matches(word, list(known), n=1, cutoff=0.6)
    return f"; did you mean {close[0]}?" if close else ""


__all__ = [
    "REGISTRY",
    "Argument",
    "Choice",
    "FloatArray",
    "Formula",
    "Range",
    "calculate",
    "find",
    "formula",
    "number_of",
    "parse_arguments",
]

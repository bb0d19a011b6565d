"""What an argument of a formula may be: a number within limits, or one of a few named options."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, cast

import numpy as np

from haleward.errors import HalewardError, OutOfRange
from haleward.formula.arrays import BoolArray, FloatArray, many, place
from haleward.formula.meant import Limits, question
from haleward.formula.near import near

MOST_LISTED = 12  # options beyond this are not all listed in one sentence
EXAMPLES = 2


@dataclass(frozen=True)
class Range:
    """What a numeric argument may be. Both ends are allowed.

    Outside ``low`` to ``high`` the formula refuses. Outside ``stated_low`` to ``stated_high`` (what the source states
    for its sample or equation) it answers, and :meth:`Formula.cautions` says that the answer is extrapolated.
    ``quantity`` names the substance where the unit alone does not tell how to convert it ("glucose", "cholesterol").
    """

    low: float
    high: float
    unit: str
    label: str
    stated_low: float | None = None
    stated_high: float | None = None
    whole: bool = False
    quantity: str = ""

    def check(self, value: object) -> None:
        """Raise :class:`OutOfRange` or :class:`HalewardError` unless every number in ``value`` is allowed."""
        numbers = self._numbers(value)
        outside = (numbers < self.low) | (numbers > self.high)
        if outside.any():
            first = _first(numbers, outside)
            asked = question(first, self.limits)
            raise OutOfRange(
                self.label, f"{first:g}", self.low, self.high, self.unit, where=place(outside), question=asked
            )
        broken = numbers != np.floor(numbers)
        if self.whole and broken.any():
            first = _first(numbers, broken)
            raise HalewardError(f"{self.label} must be a whole number, not {first:g}{place(broken)}.")

    @property
    def limits(self) -> Limits:
        """The same limits for asking what was meant; a substance is known by its label where it is not named."""
        named = (word for word in ("glucose", "cholesterol") if word in self.label.lower())
        return Limits(self.low, self.high, self.unit, self.quantity or next(named, ""))

    def plain(self, value: object) -> Any:
        """``value`` as the function takes it: a number as it is, anything longer as an array of decimal numbers."""
        return np.asarray(value, dtype=np.float64) if many(value) else value

    def _numbers(self, value: object) -> FloatArray:
        wanted = f"give a number from {self.low:g} to {self.high:g}{'' if self.unit == '1' else ' ' + self.unit}"
        if value is None:
            raise HalewardError(f"{self.label} is missing; {wanted}.")
        if np.ma.is_masked(value):
            absent = np.asarray(np.ma.getmaskarray(cast(Any, value)))
            raise HalewardError(f"{self.label} is missing{place(absent)}; {wanted}.")
        kind = np.asarray(value).dtype.kind
        if kind not in "iuf":  # whole or decimal numbers; not truth values, text, dates or objects
            raise HalewardError(f"{self.label} is {_listed(value)}, which is not a number; {wanted}.")
        numbers = np.asarray(value, dtype=np.float64)
        absent = np.isnan(numbers)
        if absent.any():
            raise HalewardError(f"{self.label} is not a number (NaN){place(absent)}; {wanted}.")
        return numbers

    def extrapolated(self, value: object) -> bool:
        """Whether any number in ``value`` lies outside what the source states."""
        return bool(self.beyond(value).any())

    def beyond(self, value: object) -> BoolArray:
        """Which numbers in ``value`` lie outside what the source states."""
        numbers = np.asarray(value, dtype=np.float64)
        low = -math.inf if self.stated_low is None else self.stated_low
        high = math.inf if self.stated_high is None else self.stated_high
        return np.asarray((numbers < low) | (numbers > high))

    def described(self) -> str:
        """The range in words, for the docstring and for lists."""
        unit = "" if self.unit == "1" else f" {self.unit}"
        text = f"{self.low:g} to {self.high:g}{unit}"
        if self.stated_low is None and self.stated_high is None:
            return text
        return f"{text}; the source states {self.stated()}"

    def stated(self) -> str:
        """What the source states, in words; call it only where the source states something."""
        unit = "" if self.unit == "1" else f" {self.unit}"
        if self.stated_low is None:
            return f"{self.stated_high:g}{unit} or less"
        if self.stated_high is None:
            return f"{self.stated_low:g}{unit} or more"
        return f"{self.stated_low:g} to {self.stated_high:g}{unit}"


@dataclass(frozen=True)
class Choice:
    """What a named argument may be, for example ``Choice(("female", "male"), "Sex")``."""

    options: tuple[str, ...]
    label: str
    unit: str = ""

    def check(self, value: object) -> None:
        """Raise :class:`HalewardError` unless ``value``, or every word of an array, is one of the options."""
        words = np.asarray(value)
        if words.ndim and words.dtype.kind == "U":
            wrong = ~np.isin(words, self.options)
        else:  # one word, or a column of objects in which anything may stand
            words = np.asarray(value, dtype=object)
            wrong = np.array([word not in self.options for word in words.flat], dtype=bool).reshape(words.shape)
        if wrong.any():
            first = words[wrong].flat[0]
            state = "is missing" if first is None else f"is {str(first)!r}"
            close = near(str(first), self.options) if len(self.options) > MOST_LISTED else self._begun(str(first))
            raise HalewardError(f"{self.label} {state}{place(wrong)}; it must be {self.described()}{close}")

    def _begun(self, word: str) -> str:
        """The end of a sentence: a question naming the one option that begins as ``word`` does, or a full stop."""
        begun = [one for one in self.options if one.startswith(word.strip().lower())] if word.strip() else []
        return f"; did you mean {begun[0]}?" if len(begun) == 1 else "."

    def plain(self, value: object) -> Any:
        """``value`` as the function takes it: a word as it is, anything longer as an array of words."""
        return np.asarray(value, dtype=np.str_) if many(value) else value

    def extrapolated(self, value: object) -> bool:  # noqa: ARG002 - same face as Range
        """A choice is never extrapolated."""
        return False

    def described(self) -> str:
        """The options in words; of very many only the first."""
        if len(self.options) <= MOST_LISTED:
            return " or ".join(self.options)
        return f"one of {len(self.options)} names, for example {' or '.join(self.options[:EXAMPLES])}"


def _first(numbers: FloatArray, wrong: BoolArray) -> float:
    return float(numbers[wrong].flat[0])


def _listed(value: object) -> str:
    return repr(value) if not isinstance(value, np.ndarray) else "an array of " + str(value.dtype)

"""A table in which every key must be there unless a default is given: the product's own files."""

from __future__ import annotations

from datetime import date
from typing import Any, TypeVar

from haleward.strict_toml.section import REQUIRED, Section

LARGEST = 1e15  # whole numbers up to here are exact as floats; "nan" is not under it either
Choice = TypeVar("Choice", bound=str)


class Table(Section):
    """Typed access. A missing or wrong key is noted as a fault and read as a harmless value of its type."""

    named_by = ("id", "key", "name", "finding")

    def wrong(self, key: str, problem: str) -> None:
        """Note what is wrong with this table at ``key``; the sentence begins with the table's own name."""
        self.fault(key, f"{self.title}: {problem}.")

    def text(self, key: str, default: str | None = None) -> str:
        """A text."""
        return str(self._get(key, "a text in quotes", _is_text, "", default))

    def flag(self, key: str, default: bool | None = None) -> bool:
        """True or false."""
        return bool(self._get(key, "true or false", _is_flag, False, default))

    def choice(self, key: str, allowed: tuple[Choice, ...], default: Choice | None = None) -> Choice:
        """One of ``allowed``."""
        words = ", ".join(one or '""' for one in allowed)
        found = self._get(key, f"one of {words}", lambda v: v in allowed, allowed[0], default)
        return next(one for one in allowed if one == found)

    def number(self, key: str, default: float | None = None) -> float:
        """A number."""
        return float(self._get(key, "a number", is_number, 0.0, default))

    def whole(self, key: str) -> int:
        """A whole number from 1."""
        return int(self._get(key, "a whole number from 1", _is_counted, 1, None))

    def texts(self, key: str, default: tuple[str, ...] | None = None) -> tuple[str, ...]:
        """A list of texts."""
        return tuple(self._get(key, "a list of texts in quotes", is_texts, (), default))

    def numbers(self, key: str, count: int) -> tuple[float, ...]:
        """A list of exactly ``count`` numbers."""
        found = self._get(key, "a list of numbers", _is_numbers, (0.0,) * count, None)
        if len(found) != count:
            self.fault(key, f"{self.label(key)} has {len(found)} numbers; it must have {count}.")
            return (0.0,) * count
        return tuple(float(one) for one in found)

    def day(self, key: str) -> date | None:
        """A date written as 2026-03-01, or "" for none."""
        found = self._get(key, 'a date such as 2026-03-01, or ""', lambda v: v == "" or type(v) is date, "", None)
        return found if isinstance(found, date) else None

    def tables(self, key: str, *, required: bool = True) -> tuple[Table, ...]:
        """Every ``[[key]]``, at least one if ``required``."""
        if required and self._data is not None and not self.raw(key):
            self.fault(key, f"there is no [{self._bracketed(key)}].")
            return ()
        return self.every(key) or ()

    def _get(self, key: str, wanted: str, fits: Any, harmless: Any, default: Any) -> Any:
        found = self.value(key, wanted, fits, REQUIRED if default is None else default)
        return harmless if found is None else found


def is_number(value: Any) -> bool:
    """A number that can be computed with: not true or false, not infinite, not longer than 15 digits."""
    return isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < LARGEST


def is_texts(value: Any) -> bool:
    """A list of texts."""
    return isinstance(value, list) and all(isinstance(one, str) for one in value)


def _is_counted(value: Any) -> bool:
    return isinstance(value, int) and is_number(value) and value >= 1


def _is_numbers(value: Any) -> bool:
    return isinstance(value, list) and all(map(is_number, value))


def _is_text(value: Any) -> bool:
    return isinstance(value, str)


def _is_flag(value: Any) -> bool:
    return isinstance(value, bool)

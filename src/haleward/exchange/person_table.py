"""A table of a person's file: whatever is not written stays unknown, whatever is written must be plausible."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime
from difflib import get_close_matches
from typing import Any, TypeVar

from haleward.errors import HalewardError
from haleward.exchange.guards import check_birth, check_date, check_range, parse_date
from haleward.strict_toml import Section, TomlFile
from haleward.strict_toml.lines import Path

T = TypeVar("T")
_LARGEST = 1e300
_WANTED: Mapping[type, str] = {
    bool: "true or false",
    float: "a number",
    str: "text in quotes",
    list: "a list in [ ]",
    date: "a date",
    datetime: "a date with a time (2026-11-24T09:30:00)",
}
_ACCEPTED: Mapping[type, tuple[type, ...]] = {float: (int, float), date: (date, datetime, str)}


class PersonTable(Section):
    """Typed access for which a missing key is ``None`` unless it is ``required``."""

    def __init__(self, file: TomlFile, path: Path, data: Mapping[str, Any] | None, today: date) -> None:
        super().__init__(file, path, data)
        self.today = today

    def part(self, path: Path, data: Mapping[str, Any] | None) -> PersonTable:
        """A table of the same kind at ``path`` below this one."""
        return PersonTable(self.file, (*self.path, *path), data, self.today)

    def text(self, key: str, *, required: bool = False, most: int = 400) -> str:
        """Text, without line breaks; "" if it is not written."""
        value = self._read(key, str, required=required)
        line = " ".join(value.split()) if value else ""
        if required and value is not None and not line:
            self.fault(key, f"{self.label(key)} is empty; write it.")
        if len(line) > most:
            self.fault(key, f"{self.label(key)} has {len(line)} letters; at most {most} are read.")
        return line

    def flag(self, key: str) -> bool | None:
        """true or false; ``None`` if it is not written."""
        value: bool | None = self._read(key, bool)
        return value

    def number(self, key: str, quantity: str, *, required: bool = False) -> float | None:
        """A number in the unit its key names, within the plausible range of ``quantity``."""
        value = self._read(key, float, required=required)
        if value is None:
            return None
        return self.guard(key, lambda: check_range(as_float(value), quantity=quantity, field=self.label(key)))

    def whole(self, key: str, quantity: str) -> int | None:
        """A whole number within the plausible range of ``quantity``."""
        value = self.number(key, quantity)
        if value is not None and value != int(value):
            self.fault(key, f"{self.label(key)} is {value:g}; write a whole number.")
        return None if value is None else int(value)

    def choice(self, key: str, choices: Sequence[str], *, required: bool = False) -> str | None:
        """One of ``choices``; ``None`` if it is not written or is another word."""
        value = self._read(key, str, required=required)
        return None if value is None else self.one_of(key, value, choices)

    def one_of(self, key: str, value: str, choices: Sequence[str]) -> str | None:
        """``value`` if it is one of ``choices``; else a fault with the nearest one first."""
        if value in choices:
            return value
        near = get_close_matches(value.lower(), choices, n=1)
        hint = f'did you mean "{near[0]}"? ' if near else ""
        self.fault(key, f'{self.label(key)}: "{value}" is not known; {hint}Write one of: {", ".join(choices)}.')
        return None

    def day(self, key: str, *, required: bool = False, future_ok: bool = False, birth: bool = False) -> date | None:
        """A date, as a TOML date or in words; never two readings, never in the future unless ``future_ok``."""
        value = self._read(key, date, required=required)
        if value is None:
            return None
        if birth:
            return self.guard(key, lambda: check_birth(self._date(key, value, future_ok=True), self.today))
        return self.guard(key, lambda: self._date(key, value, future_ok=future_ok))

    def moment(self, key: str, *, required: bool = False) -> datetime | None:
        """A date with a time, written like 2026-11-24T09:30:00; never in the future."""
        value: datetime | None = self._read(key, datetime, required=required)
        if value is None or self.guard(key, lambda: self._date(key, value, future_ok=False)) is None:
            return None
        return value

    def quantity(self, key: str, parse: Callable[[str], T], *, example: str, required: bool = False) -> T | None:
        """A quantity written with its unit, such as "172 cm"; a bare number is asked about."""
        bare = self.raw(key)
        if type(bare) in (int, float):
            return self.guard(key, lambda: parse(f"{as_float(bare):g}"))
        value = self._read(key, str, required=required, wanted=f'text with a unit, for example "{example}"')
        return None if value is None else self.guard(key, lambda: parse(value))

    def words(self, key: str) -> tuple[str, ...] | None:
        """A list of texts; ``None`` if it is not written, empty if it is written empty."""
        value = self._read(key, list)
        if value is None:
            return None
        if any(type(item) is not str for item in value):
            self.fault(key, f"{self.label(key)} holds something that is not text; put each item in quotes.")
            return None
        return tuple(value)

    def guard(self, key: str, read: Callable[[], T]) -> T | None:
        """What ``read`` gives; its error becomes a fault at ``key``."""
        try:
            return read()
        except HalewardError as error:
            self.fault(key, str(error))
            return None

    def _date(self, key: str, value: date | str, *, future_ok: bool) -> date:
        if isinstance(value, str):
            return parse_date(value, self.today, field=self.label(key), future_ok=future_ok)
        plain = value.date() if isinstance(value, datetime) else value
        return check_date(plain, self.today, field=self.label(key), future_ok=future_ok)

    def _read(self, key: str, kind: type, *, required: bool = False, wanted: str = "") -> Any:
        if not required and not self.has(key):
            return None
        return self.value(key, wanted or _WANTED[kind], lambda v: type(v) in _ACCEPTED.get(kind, (kind,)))


def as_float(value: float) -> float:
    """A TOML number as a float; one too large for a float is infinite, and so outside every range."""
    return float(value) if abs(value) < _LARGEST else math.inf

"""One table of a person's file, read key by key; every fault is kept, so that one pass reports them all."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from difflib import get_close_matches
from typing import Any, TypeVar

from haleward.errors import HalewardError
from haleward.exchange.guards import check_birth, check_date, check_range, parse_date
from haleward.exchange.toml_lines import Path, line_of

T = TypeVar("T")
_LARGEST = 1e300
_KIND_WORDS: Mapping[type, str] = {
    bool: "true or false",
    int: "a number",
    float: "a number",
    str: "text in quotes",
    list: "a list in [ ]",
    dict: "a table",
    date: "a date",
    datetime: "a date with a time (2026-11-24T09:30:00)",
}


@dataclass
class Faults:
    """The faults of one file, in the order of their lines."""

    file: str
    lines: Mapping[Path, int]
    found: list[tuple[int, str]] = field(default_factory=list)

    def add(self, path: Path, sentence: str) -> None:
        """Note one fault at ``path``."""
        self.found.append((line_of(self.lines, path), sentence))

    def sentences(self) -> list[str]:
        """All faults by line, each naming file and line."""
        return [f"{self.file}, line {line}: {sentence}" for line, sentence in sorted(self.found)]


class Table:
    """A table whose keys are read once each; :meth:`close` then names the keys that nothing reads."""

    def __init__(self, data: Mapping[str, Any], path: Path, faults: Faults, today: date) -> None:
        self._data, self.path, self._faults, self.today = data, path, faults, today
        self._asked: list[str] = []

    @property
    def name(self) -> str:
        """The table as written in the file, for sentences."""
        return ".".join(str(part) for part in self.path if isinstance(part, str))

    @property
    def written(self) -> bool:
        """Whether the table holds anything."""
        return bool(self._data)

    def label(self, key: str) -> str:
        """A key with its table: ``person.height``."""
        return f"{self.name}.{key}" if self.name else key

    def has(self, key: str) -> bool:
        """Whether the key is written at all."""
        self._ask(key)
        return key in self._data

    def fault(self, key: str, sentence: str) -> None:
        """Note a fault at ``key``."""
        self._faults.add((*self.path, key) if key else self.path, sentence)

    def text(self, key: str, *, required: bool = False, most: int = 400) -> str:
        """Text, without line breaks; "" if it is not written."""
        value = self._value(key, str, required=required)
        line = " ".join(value.split()) if value else ""
        if required and value is not None and not line:
            self.fault(key, f"{self.label(key)} is empty; write it.")
        if len(line) > most:
            self.fault(key, f"{self.label(key)} has {len(line)} letters; at most {most} are read.")
        return line

    def flag(self, key: str) -> bool | None:
        """true or false; ``None`` if it is not written."""
        value: bool | None = self._value(key, bool)
        return value

    def number(self, key: str, quantity: str, *, required: bool = False) -> float | None:
        """A number in the unit its key names, within the plausible range of ``quantity``."""
        value = self._value(key, float, required=required)
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
        value = self._value(key, str, required=required)
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
        value = self._value(key, date, required=required)
        if value is None:
            return None
        if birth:
            return self.guard(key, lambda: check_birth(self._date(key, value, future_ok=True), self.today))
        return self.guard(key, lambda: self._date(key, value, future_ok=future_ok))

    def moment(self, key: str, *, required: bool = False) -> datetime | None:
        """A date with a time, written like 2026-11-24T09:30:00; never in the future."""
        value: datetime | None = self._value(key, datetime, required=required)
        if value is None or self.guard(key, lambda: self._date(key, value, future_ok=False)) is None:
            return None
        return value

    def quantity(self, key: str, parse: Callable[[str], T], *, example: str, required: bool = False) -> T | None:
        """A quantity written with its unit, such as "172 cm"; a bare number is asked about."""
        if key in self._data and type(self._data[key]) in (int, float):
            self._ask(key)
            return self.guard(key, lambda: parse(f"{as_float(self._data[key]):g}"))
        value = self._value(key, str, required=required, wanted=f'text with a unit, for example "{example}"')
        return None if value is None else self.guard(key, lambda: parse(value))

    def words(self, key: str) -> tuple[str, ...] | None:
        """A list of texts; ``None`` if it is not written, empty if it is written empty."""
        value = self._value(key, list)
        if value is None:
            return None
        if any(type(item) is not str for item in value):
            self.fault(key, f"{self.label(key)} holds something that is not text; put each item in quotes.")
            return None
        return tuple(value)

    def table(self, key: str, *, required: bool = False) -> Table:
        """The table ``[key]``; an empty one if it is not written."""
        value = self._value(key, dict, required=required)
        return Table(value or {}, (*self.path, key), self._faults, self.today)

    def tables(self, key: str) -> tuple[Table, ...] | None:
        """Every ``[[key]]``; ``None`` if there is none, empty for ``key = []``."""
        value = self._value(key, list)
        if value is None:
            return None
        if any(not isinstance(item, dict) for item in value):
            self.fault(key, f"{self.label(key)} must be written as [[{self.label(key)}]], once for each.")
            return None
        return tuple(Table(item, (*self.path, key, n), self._faults, self.today) for n, item in enumerate(value))

    def rest(self) -> Mapping[str, Any]:
        """Keys nothing has asked for yet, for tables whose keys are themselves data."""
        left = {key: value for key, value in self._data.items() if key not in self._asked}
        self._asked.extend(left)
        return left

    def close(self, *, known: Sequence[str] = ()) -> None:
        """Name every key that nothing reads, with the nearest one that is read."""
        for key in self._data:
            if key not in self._asked:
                near = get_close_matches(key, [*self._asked, *known], n=1)
                hint = f'did you mean "{near[0]}"?' if near else f"The keys read here: {', '.join(self._asked)}."
                where = f"[{self.name}]" if self.name else "the file"
                self.fault(key, f'"{key}" is not a key of {where}; {hint}')

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

    def _ask(self, key: str) -> None:
        if key not in self._asked:
            self._asked.append(key)

    def _value(self, key: str, kind: type, *, required: bool = False, wanted: str = "") -> Any:
        self._ask(key)
        if key not in self._data:
            if required:
                self.fault("", f"{self.label(key)} is missing; write it.")
            return None
        value = self._data[key]
        accepted: tuple[type, ...] = {float: (int, float), date: (date, datetime, str)}.get(kind, (kind,))
        if type(value) in accepted:
            return value
        found = _KIND_WORDS.get(type(value), "something else")
        self.fault(key, f"{self.label(key)} must be {wanted or _KIND_WORDS[kind]}, not {found}.")
        return None


def as_float(value: float) -> float:
    """A TOML number as a float; one too large for a float is infinite, and so outside every range."""
    return float(value) if abs(value) < _LARGEST else math.inf

"""Strict reading of TOML tables: every key typed, no key unknown, every fault with its file and line.

The standard TOML reader gives values without their lines; :func:`line_numbers` finds those with a small scan.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, fields
from datetime import date
from pathlib import Path
from typing import Any, Literal, TypeVar, get_args, get_origin, get_type_hints

from haleward.errors import FileFault

_HEADER = re.compile(r"^\s*\[+\s*([\w.\-]+)\s*\]+")
_KEY = re.compile(r"^\s*([\w\-]+)\s*=")
T = TypeVar("T")
C = TypeVar("C", bound=str)

Place = tuple[str, int]  # table name, and its place in the file among tables of that name


def line_numbers(text: str) -> dict[tuple[str, int, str], int]:
    """Line of every header (key "") and of every key at the start of a line, by table name and place."""
    lines: dict[tuple[str, int, str], int] = {}
    seen: dict[str, int] = {}
    name, place = "", 0
    for number, line in enumerate(text.splitlines(), start=1):
        if header := _HEADER.match(line):
            name = header[1]
            place = seen.get(name, -1) + 1
            seen[name] = place
            lines[name, place, ""] = number
        elif key := _KEY.match(line):
            lines.setdefault((name, place, key[1]), number)
    return lines


@dataclass
class TomlFile:
    """A TOML file being read: its values, its lines and the faults found so far."""

    name: str
    values: dict[str, Any]
    lines: dict[tuple[str, int, str], int]
    faults: list[tuple[int, str]] = field(default_factory=list)

    @classmethod
    def open(cls, path: Path) -> TomlFile:
        """Read the file; text that is not TOML raises :class:`FileFault` at once."""
        text = path.read_text(encoding="utf-8")
        try:
            return cls(path.name, tomllib.loads(text), line_numbers(text))
        except tomllib.TOMLDecodeError as error:
            raise FileFault([f"{path.name}: this is not valid TOML: {error}."]) from error

    def table(self, name: str) -> Table:
        """The one table ``[name]``; a missing one is a fault and reads as empty."""
        value: Any = self.values
        for part in name.split("."):
            value = value.get(part) if isinstance(value, dict) else None
        if not isinstance(value, dict):
            self.fault((name, 0), "", f"the section [{name}] is missing")
            value = None
        return Table(self, name, 0, value)

    def tables(self, name: str) -> list[Table]:
        """Every ``[[name]]`` in order."""
        rows = self.values.get(name, [])
        if not isinstance(rows, list) or not rows:
            self.fault((name, 0), "", f"there is no [[{name}]]")
            return []
        return [Table(self, name, place, row) for place, row in enumerate(rows)]

    def only(self, names: set[str]) -> None:
        """Report every top-level section that is not one of ``names``."""
        for name in self.values.keys() - names:
            self.fault((name, 0), "", f"unknown section [{name}]; the sections are {', '.join(sorted(names))}")

    def fault(self, place: Place, key: str, message: str) -> None:
        """Keep a fault with the best line known for it."""
        line = self.lines.get((*place, key)) or self.lines.get((*place, "")) or 0
        self.faults.append((line, message))

    def finish(self) -> None:
        """Raise :class:`FileFault` with every fault in the order of the file, if there is one."""
        if self.faults:
            raise FileFault([f"{self.name}, line {line}: {message}." for line, message in sorted(self.faults)])


@dataclass
class Table:
    """One table being read. A reader of a missing or wrong key records the fault and returns a harmless value."""

    file: TomlFile
    name: str
    place: int
    values: dict[str, Any] | None
    used: set[str] = field(default_factory=set)

    def fault(self, key: str, message: str) -> None:
        """Record a fault of this table at the line of ``key``."""
        self.file.fault((self.name, self.place), key, f"{self.title}: {message}")

    @property
    def title(self) -> str:
        """How a fault names this table."""
        own = (self.values or {}).get("id") or (self.values or {}).get("key") or (self.values or {}).get("name")
        return f"[{self.name}]" if own is None else f"{self.name} {own}"

    def has(self, key: str) -> bool:
        """Whether the key is written."""
        return self.values is not None and key in self.values

    def text(self, key: str, default: str | None = None) -> str:
        """A text."""
        return str(self.get(key, "a text in quotes", lambda v: isinstance(v, str), "", default))

    def flag(self, key: str, default: bool | None = None) -> bool:
        """True or false."""
        return bool(self.get(key, "true or false", lambda v: isinstance(v, bool), False, default))

    def choice(self, key: str, allowed: tuple[C, ...]) -> C:
        """One of ``allowed``."""
        found = self.get(key, f"one of {', '.join(allowed)}", lambda v: v in allowed, allowed[0])
        return next(one for one in allowed if one == found)

    def texts(self, key: str, default: tuple[str, ...] | None = None) -> tuple[str, ...]:
        """A list of texts."""
        return tuple(self.get(key, "a list of texts in quotes", _is_texts, (), default))

    def day(self, key: str) -> date | None:
        """A date written as 2026-03-01, or "" for none."""
        value = self.get(key, 'a date such as 2026-03-01, or ""', lambda v: v == "" or type(v) is date, "")
        return value if isinstance(value, date) else None

    def get(self, key: str, wanted: str, fits: Callable[[Any], bool], harmless: Any, default: Any = None) -> Any:
        """The value of ``key`` if it ``fits``; otherwise the default, or a fault and the harmless value."""
        self.used.add(key)
        if self.values is None:
            return harmless
        if key not in self.values:
            if default is None:
                self.fault("", f"{key} is missing; it must be {wanted}")
                return harmless
            return default
        if not fits(self.values[key]):
            self.fault(key, f"{key} is {self.values[key]!r}; it must be {wanted}")
            return harmless
        return self.values[key]

    def done(self) -> None:
        """Report every key that nothing read."""
        for key in (self.values or {}).keys() - self.used:
            self.fault(key, f'unknown key "{key}"')


def read_dataclass(table: Table, kind: type[T]) -> T:
    """``kind`` with every field read from the table; no field has a default.

    A missing or wrong field is recorded as a fault and left ``None``: :meth:`TomlFile.finish` raises before any use.
    """
    hints = get_type_hints(kind)
    values: dict[str, Any] = {}
    for item in fields(kind):  # type: ignore[arg-type]
        wanted, fits = _fits(hints[item.name])
        values[item.name] = table.get(item.name, wanted, fits, None)
    table.done()
    return kind(**{key: tuple(value) if isinstance(value, list) else value for key, value in values.items()})


def _fits(hint: Any) -> tuple[str, Callable[[Any], bool]]:
    if get_origin(hint) is Literal:
        return f"one of {', '.join(get_args(hint))}", lambda v: v in get_args(hint)
    if get_origin(hint) is tuple:
        return "a list of texts in quotes", _is_texts
    simple: Mapping[Any, tuple[str, Callable[[Any], bool]]] = {
        bool: ("true or false", lambda v: isinstance(v, bool)),
        int: ("a whole number", lambda v: isinstance(v, int) and not isinstance(v, bool)),
        float: ("a number", is_number),
        str: ("a text in quotes", lambda v: isinstance(v, str)),
    }
    return simple[hint]


def is_number(value: Any) -> bool:
    """A number, and not true or false."""
    return isinstance(value, int | float) and not isinstance(value, bool)


def _is_texts(value: Any) -> bool:
    return isinstance(value, list) and all(isinstance(one, str) for one in value)

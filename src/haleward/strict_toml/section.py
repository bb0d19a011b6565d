"""A table whose keys are read once each: what every reader of a TOML table shares, whatever it makes of the values."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from difflib import get_close_matches
from typing import Any, Self

from haleward.strict_toml.file import TomlFile
from haleward.strict_toml.lines import Path

REQUIRED = object()  # the default of a key that has none
_LONGEST_SHOWN = 40


class Section:
    """One table of a file, or the file's top. :meth:`close` names the keys that nothing has read.

    ``data`` is ``None`` where the table is missing or is no table: that was told, so its keys are not missed again.
    """

    named_by: tuple[str, ...] = ()  # keys that name one of many tables in sentences: "rule R017"

    def __init__(self, file: TomlFile, path: Path, data: Mapping[str, Any] | None) -> None:
        self.file, self.path, self._data = file, path, data
        self._asked: list[str] = []

    def part(self, path: Path, data: Mapping[str, Any] | None) -> Self:
        """A table of the same kind at ``path`` below this one."""
        return type(self)(self.file, (*self.path, *path), data)

    @property
    def name(self) -> str:
        """The table's name as written in the file, without the index of an array of tables."""
        return ".".join(str(key) for key in self.path if isinstance(key, str))

    @property
    def title(self) -> str:
        """How a sentence names this table."""
        own = self._own_name
        if own is not None:
            return f"{self.name} {own}"
        return f"[{self.name}]" if self.name else "the file"

    def label(self, key: str) -> str:
        """How a sentence names a key: ``dose.sets``, or ``rule R017: level``."""
        if self._own_name is not None:
            return f"{self.title}: {key}"
        return f"{self.name}.{key}" if self.name else key

    @property
    def written(self) -> bool:
        """Whether the table holds anything."""
        return bool(self._data)

    @property
    def names(self) -> tuple[str, ...]:
        """All keys, in file order."""
        return tuple(self._data or ())

    def has(self, key: str) -> bool:
        """Whether the key is written."""
        self._ask(key)
        return key in (self._data or ())

    def raw(self, key: str) -> Any:
        """The value as written, of whatever type; ``None`` if it is not written."""
        self._ask(key)
        return (self._data or {}).get(key)

    def rest(self) -> Mapping[str, Any]:
        """Keys nothing has asked for yet, for tables whose keys are themselves data."""
        left = {key: value for key, value in (self._data or {}).items() if key not in self._asked}
        self._asked.extend(left)
        return left

    def fault(self, key: str, sentence: str) -> None:
        """Note a fault at ``key``, or at the table itself for ""."""
        self.file.fault((*self.path, key) if key else self.path, sentence)

    def value(self, key: str, wanted: str, fits: Callable[[Any], bool], default: Any = REQUIRED) -> Any:
        """The value of ``key`` if it ``fits``, the default if it is not written; else ``None`` with a fault noted."""
        self._ask(key)
        if self._data is None:
            return None
        if key not in self._data:
            if default is REQUIRED:
                self.fault("", f"{self.label(key)} is missing; it must be {wanted}.")
                return None
            return default
        if not fits(self._data[key]):
            self.fault(key, f"{self.label(key)} is {shown(self._data[key])}; it must be {wanted}.")
            return None
        return self._data[key]

    def table(self, key: str, *, required: bool = True) -> Self:
        """The table ``[key]``; one without keys if it is not written."""
        self._ask(key)
        if self._data is not None and key not in self._data:
            if not required:
                return self.part((key,), {})
            self.fault(key, f"the section {self._bracketed(key)} is missing.")
            return self.part((key,), None)
        return self.part((key,), self.value(key, "a table", lambda v: isinstance(v, dict)))

    def every(self, key: str) -> tuple[Self, ...] | None:
        """Every ``[[key]]``; ``None`` if there is none, empty for ``key = []``."""
        found = self.value(key, f"written as [{self._bracketed(key)}], once for each", is_tables, None)
        return None if found is None else tuple(self.part((key, place), one) for place, one in enumerate(found))

    def close(self, *, known: Sequence[str] = ()) -> None:
        """Name every key that nothing has read, with the nearest one that is read or ``known``."""
        for key in self.names:
            if key not in self._asked:
                near = get_close_matches(key, [*self._asked, *known], n=1)
                hint = f'did you mean "{near[0]}"?' if near else f"the keys read here are {', '.join(self._asked)}."
                self.fault(key, f'"{key}" is not a key of {self.title}; {hint}')

    @property
    def _own_name(self) -> Any:
        data = (self._data or {}) if self.path else {}
        return next((data[key] for key in self.named_by if key in data), None)

    def _bracketed(self, key: str) -> str:
        return f"[{self.name}.{key}]" if self.name else f"[{key}]"

    def _ask(self, key: str) -> None:
        if key not in self._asked:
            self._asked.append(key)


def shown(value: object) -> str:
    """A value of a file as a sentence shows it: short, and in the words of the file."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return "a list"
    text = value.isoformat() if isinstance(value, date) else repr(value)
    return text if len(text) <= _LONGEST_SHOWN else f"{text[:_LONGEST_SHOWN]}..."


def is_tables(value: Any) -> bool:
    """A list of tables."""
    return isinstance(value, list) and all(isinstance(one, dict) for one in value)

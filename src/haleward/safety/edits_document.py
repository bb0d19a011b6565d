"""A protocol file as an open document: comments and order stay, one value at a time is read or set by its path."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from itertools import zip_longest
from typing import Any

import tomlkit
from tomlkit.exceptions import ParseError
from tomlkit.items import Float

from haleward.errors import FileFault, Inconsistent
from haleward.physiology.tables import texts
from haleward.safety.edits_fields import Typed
from haleward.safety.edits_view import row_name
from haleward.strict_toml import is_number

_ROWS = ("rule", "risk_item", "placement_rule", "symptom", "setting", "number", "wording")


class Document:
    """An open protocol file. ``str()`` gives its text, changed only where a value was set."""

    def __init__(self, text: str) -> None:
        """Raises :class:`FileFault` with one sentence when the text is not TOML."""
        try:
            self._open = tomlkit.parse(text)
        except ParseError as error:
            raise FileFault([f"The protocol cannot be read as TOML: {error}."]) from error

    def __str__(self) -> str:
        return tomlkit.dumps(self._open)

    @property
    def values(self) -> Mapping[str, Any]:
        """The plain values as they stand now."""
        return dict(self._open.unwrap())

    def set(self, path: str, value: Typed) -> None:
        """Write one value; a comment beside it stays. Raises :class:`Inconsistent` for a path that is not there."""
        table, key = self._place(path)
        table[key] = _like(table[key], value)

    def set_head(self, key: str, value: str | date) -> None:
        """Write a value of ``[protocol]``, whether or not it is there."""
        head = self._at(["protocol"], "protocol")
        head[key] = value

    def get(self, path: str) -> Any:
        """The plain value at ``path``; :class:`Inconsistent` when it is not there."""
        table, key = self._place(path)
        found = table[key]
        return found.unwrap() if hasattr(found, "unwrap") else found

    def add_row(self, section: str, row: Mapping[str, Any]) -> None:
        """Write one more ``[[section]]`` after the others."""
        table = tomlkit.table()
        for key, value in row.items():
            table.add(key, value)
        if section not in self._open:
            self._open.add(tomlkit.nl())
            self._open.add(section, tomlkit.aot())
        rows: Any = self._open[section]
        rows.append(table)

    def _place(self, path: str) -> tuple[Any, str | int]:
        *steps, last = path.split("/")
        table = self._at(steps, path)
        key = _step(table, last)
        if key is None or not _holds(table, key):
            raise _nowhere(path)
        return table, key

    def _at(self, steps: list[str], path: str) -> Any:
        here: Any = self._open
        if len(steps) >= 2 and steps[0] in _ROWS:
            rows: Any = here.get(steps[0]) or ()
            here = next((row for row in rows if row_name(steps[0], row) == steps[1]), None)
            steps = steps[2:]
        for step in steps:
            key = _step(here, step)
            if key is None or not _holds(here, key):
                raise _nowhere(path)
            here = here[key]
        if not isinstance(here, Mapping | list):
            raise _nowhere(path)
        return here


def _holds(here: Any, key: str | int) -> bool:
    if isinstance(key, int):
        return isinstance(here, list) and 0 <= key < len(here)
    return isinstance(here, Mapping) and key in here


def _step(here: Any, step: str) -> str | int | None:
    """A key of a table, or a place in a list: by number, or of a gate's needs by the input's name."""
    if not isinstance(here, list):
        return step
    if step.isdecimal():
        return int(step)
    return next((place for place, one in enumerate(here) if one.get("input") == step), None)


def _like(old: Any, value: Any) -> Any:
    """A number stays written as it was: with a point, or without one where it is whole."""
    if isinstance(value, list):
        before = list(old) if isinstance(old, list) else []
        return [_like(was, one) for was, one in zip_longest(before[: len(value)], value)]
    if not is_number(value):
        return value
    number = float(str(value))
    return number if isinstance(old, Float) or not number.is_integer() else int(number)


def _nowhere(path: str) -> Inconsistent:
    return Inconsistent(texts("edit_wording")["no_path"].format(path=path))

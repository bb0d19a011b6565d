"""What a form needs to know about one value of a protocol file, and reading what was typed into it."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Literal

from haleward.errors import Inconsistent

FieldKind = Literal["number", "whole", "numbers", "flag", "choice", "text", "texts", "day"]
Keeps = Literal["set", "order", "one"]
Typed = bool | int | float | str | date | list[float] | list[str]


@dataclass(frozen=True)
class Field:
    """One value that can be changed. ``path`` names it for good: ``rule/R023/condition/any/0/over``.

    A limit inside a condition has ``input`` and ``comparison`` ("over", "under", "at_least", "at_most", "is", "plus",
    "times"). ``sentence`` says in words what the value does, where the tables have such a sentence. ``moves_with`` are
    the paths of the same figure elsewhere: one change moves them all.
    """

    path: str
    label: str
    kind: FieldKind
    value: Typed
    unit: str = ""
    choices: tuple[str, ...] = ()
    input: str = ""
    comparison: str = ""
    sentence: str = ""
    moves_with: tuple[str, ...] = ()
    choice_words: Mapping[str, str] = dataclasses.field(default_factory=dict)
    keeps: Keeps = "set"


@dataclass(frozen=True)
class Entry:
    """One rule, item, symptom, setting or section: what it says, and the values that can be changed."""

    path: str
    id: str
    title: str
    sentence: str
    fields: tuple[Field, ...]
    limits: tuple[Field, ...] = ()
    jurisdiction: str = "ALL"


@dataclass(frozen=True)
class Group:
    """Entries that stand under one heading of the page: ``key`` is "rules.session", "dose", "symptoms" ..."""

    key: str
    title: str
    entries: tuple[Entry, ...]


@dataclass(frozen=True)
class Sections:
    """A protocol file as forms show it."""

    groups: tuple[Group, ...]

    def group(self, key: str) -> Group:
        """The group of that key; ``KeyError`` if there is none."""
        return {group.key: group for group in self.groups}[key]

    def entries(self) -> Iterator[Entry]:
        """Every entry, in the order of the page."""
        for group in self.groups:
            yield from group.entries

    def fields(self) -> Iterator[Field]:
        """Every value that can be changed, limits included."""
        for entry in self.entries():
            yield from entry.fields
            yield from entry.limits

    def find(self, path: str) -> Field | None:
        """The value at ``path``, or ``None``."""
        return next((field for field in self.fields() if field.path == path), None)


_WANTED = {
    "number": "a number",
    "whole": "a whole number",
    "numbers": "numbers with commas between, as many as before",
    "flag": "yes or no",
    "text": "a text",
    "texts": "texts, one on each line or with commas between",
    "day": "a date such as 2026-03-01",
}
_FLAGS = {"true": True, "yes": True, "false": False, "no": False}


def typed(field: Field, value: object) -> Typed:
    """``value`` as the kind of ``field``; a text is read as a form sends it.

    Raises :class:`Inconsistent` with one sentence when it is of another kind, or names what is not among the choices.
    """
    if field.kind == "texts" and field.choices:
        _refuse_strangers(field, value)
    found = _READERS[field.kind](value, field)
    if found is None:
        wanted = f"one of {', '.join(field.choices)}" if field.kind == "choice" else _WANTED[field.kind]
        counted = field.kind in ("number", "whole") and field.unit not in ("", "count")
        unit = f" in {field.unit}" if counted else ""
        shown = value.strip() if isinstance(value, str) else value
        raise Inconsistent(f'"{shown}" does not fit "{field.label}": it must be {wanted}{unit}.')
    return found


def _refuse_strangers(field: Field, value: object) -> None:
    """A list of choices names each of them once, and nothing else."""
    given = _texts(value, field) or []
    strange = next((one for one in given if one not in field.choices), None)
    if strange is not None:
        raise Inconsistent(f'"{strange}" is not among the choices of "{field.label}"; choose from those offered there.')
    twice = next((one for one in given if given.count(one) > 1), None)
    if twice is not None:
        words = field.choice_words.get(twice, twice)
        raise Inconsistent(f'"{words}" stands more than once in "{field.label}"; choose it once.')


def _number(value: object, _field: Field) -> Typed | None:
    if isinstance(value, bool):
        return None
    if isinstance(value, str):
        try:
            value = float(value.strip().replace("−", "-"))
        except ValueError:
            return None
    if not isinstance(value, int | float) or not math.isfinite(value):
        return None
    return int(value) if float(value).is_integer() else float(value)


def _whole(value: object, field: Field) -> Typed | None:
    found = _number(value, field)
    return found if isinstance(found, int) else None


def _numbers(value: object, field: Field) -> Typed | None:
    parts = value.split(",") if isinstance(value, str) else list(value) if isinstance(value, list | tuple) else [value]
    found = [_number(part, field) for part in parts]
    wanted = len(field.value) if isinstance(field.value, list) else 1
    if len(found) != wanted or not all(isinstance(one, int | float) for one in found):
        return None
    return [one for one in found if isinstance(one, int | float)]


def _flag(value: object, _field: Field) -> Typed | None:
    if isinstance(value, str):
        return _FLAGS.get(value.strip().lower())
    return value if isinstance(value, bool) else None


def _choice(value: object, field: Field) -> Typed | None:
    return value.strip() if isinstance(value, str) and value.strip() in field.choices else None


def _text(value: object, _field: Field) -> Typed | None:
    return " ".join(value.split()) if isinstance(value, str) else None


def _texts(value: object, _field: Field) -> list[str] | None:
    parts = value.replace("\n", ",").split(",") if isinstance(value, str) else value
    if not isinstance(parts, list | tuple) or not all(isinstance(one, str) for one in parts):
        return None
    return [one.strip() for one in parts if one.strip()]


def _day(value: object, _field: Field) -> Typed | None:
    if isinstance(value, date):
        return value
    if not isinstance(value, str):
        return None
    if not value.strip():
        return ""
    try:
        return date.fromisoformat(value.strip())
    except ValueError:
        return None


_READERS = {
    "number": _number,
    "whole": _whole,
    "numbers": _numbers,
    "flag": _flag,
    "choice": _choice,
    "text": _text,
    "texts": _texts,
    "day": _day,
}

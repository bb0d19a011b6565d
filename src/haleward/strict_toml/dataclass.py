"""A dataclass read from a table: one key for each field; only a field that may be ``None`` can be left out."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import fields
from types import NoneType, UnionType
from typing import Any, Literal, TypeVar, get_args, get_origin, get_type_hints

from haleward.strict_toml.table import Table, is_number, is_texts

T = TypeVar("T")
Kind = tuple[str, Callable[[Any], bool]]  # what the value must be, in words and as a test

_KINDS: Mapping[Any, Kind] = {
    bool: ("true or false", lambda v: isinstance(v, bool)),
    int: ("a whole number", lambda v: isinstance(v, int) and is_number(v)),
    float: ("a number", is_number),
    str: ("a text in quotes", lambda v: isinstance(v, str)),
}


def read_dataclass(table: Table, kind: type[T]) -> T:
    """``kind`` with every field read from the table.

    A missing or wrong field is noted as a fault and left ``None``: ``TomlFile.finish`` raises before any use. A field
    whose type allows ``None`` may be missing: the rule is then not in the file.
    """
    hints = get_type_hints(kind)
    values = {
        item.name: table.value(item.name, *_fits(hints[item.name]))
        for item in fields(kind)  # type: ignore[arg-type]
        if not (may_be_missing(hints[item.name]) and table.raw(item.name) is None)
    }
    table.close()
    return kind(**{key: tuple(value) if isinstance(value, list) else value for key, value in values.items()})


def may_be_missing(hint: Any) -> bool:
    """Whether a field of this type can be left out of the file."""
    return get_origin(hint) is UnionType and NoneType in get_args(hint)


def present(hint: Any) -> Any:
    """The type of a field that is there: without its ``None``."""
    return next(one for one in get_args(hint) if one is not NoneType) if may_be_missing(hint) else hint


def _fits(hint: Any) -> Kind:
    hint = present(hint)
    if get_origin(hint) is Literal:
        return f"one of {', '.join(get_args(hint))}", lambda v: v in get_args(hint)
    if get_origin(hint) is tuple:
        return "a list of texts in quotes", is_texts
    return _KINDS[hint]

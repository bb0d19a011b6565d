"""How the values outside the rules of a protocol are named and read out, from data/tables/protocol_fields.csv."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any

from haleward.physiology.tables import rows
from haleward.safety.words import code_words


@dataclass(frozen=True)
class FieldWords:
    """How a policy's field is named and read out; ``unit`` is "" where the value has none."""

    key: str
    label: str
    unit: str
    sentence: str

    def filled(self, value: Any) -> str:
        """The sentence with the value in it; that nothing is set, where it is so."""
        if value is None:
            return f"{self.label[:1].upper()}{self.label[1:]}: not set."
        percent = f"{value:.0%}" if isinstance(value, int | float) else ""
        return self.sentence.format(value=value_words(value), percent=percent)


@cache
def field_words() -> dict[str, FieldWords]:
    """The words of every policy field, by ``section.field``."""
    return {row["key"]: FieldWords(**row) for row in rows("protocol_fields")}


def value_words(value: Any) -> str:
    """A policy's value as staff read it: codes in words, "none" for an empty list."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return f"{value:g}"
    if isinstance(value, tuple):
        return ", ".join(code_words(one) for one in value) or "none"
    return code_words(value)


def setting_label(name: str) -> str:
    """What a setting is, as staff call it."""
    found = field_words().get(f"setting.{name}")
    return found.label if found else name.replace("_", " ")


def number_meaning(name: str) -> str:
    """What one of the service's own numbers is, from data/tables/service.csv."""
    return _meanings()[name]


@cache
def _meanings() -> dict[str, str]:
    return {row["key"]: row["meaning"] for row in rows("service")}

"""Careful access to FHIR JSON: a wrong shape is one sentence that names the place; unknown extras are passed over."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from datetime import date
from typing import Any

from haleward.errors import HalewardError

LONGEST_TEXT = 200
LARGEST_NUMBER = 1e15  # no reading comes near it; keeps out infinity and digits without end
_TAG = re.compile(r"<[^<>]*>")
_FHIR_DATE = re.compile(r"(\d{4})(?:-(\d{2})(?:-(\d{2})(?:T\d{2}:\d{2}.*)?)?)?")
_KINDS = {dict: "an object in { }", list: "a list in [ ]", str: "text", bool: "true or false"}


def plain_text(text: str, most: int = LONGEST_TEXT) -> str:
    """Text fit to show anywhere: no mark-up, no control or direction characters, one line, at most ``most`` letters."""
    bare = _TAG.sub(" ", text)
    kept = "".join(" " if c.isspace() else c for c in bare if c.isspace() or unicodedata.category(c)[0] != "C")
    line = " ".join(kept.replace("<", " ").replace(">", " ").split())
    return line if len(line) <= most else f"{line[: most - 1]}…"


@dataclass(frozen=True)
class PartialDate:
    """A FHIR date: ``on`` is None when only a year or a month is given; ``text`` is as written."""

    on: date | None
    text: str


@dataclass(frozen=True)
class Node:
    """One JSON object and the place where it stands, for sentences and for ``came_from``."""

    data: dict[str, Any]
    path: str

    def at(self, key: str) -> str:
        """The place of one of its members."""
        return f"{self.path}.{key}"

    def has(self, key: str) -> bool:
        """Whether the member is there with a value."""
        return self.data.get(key) is not None

    def text(self, key: str) -> str:
        """A text member as safe plain text; "" if it is not there."""
        value = self._typed(key, str)
        return "" if value is None else plain_text(value)

    def flag(self, key: str) -> bool | None:
        """A true or false member."""
        value: bool | None = self._typed(key, bool)
        return value

    def number(self, key: str) -> float | None:
        """A finite number member."""
        value = self.data.get(key)
        if value is None:
            return None
        if isinstance(value, bool) or not isinstance(value, (int, float)) or not abs(value) < LARGEST_NUMBER:
            raise HalewardError(f"{self.at(key)} must be a number of usual size, not {_kind(value)}.")
        return float(value)

    def child(self, key: str) -> Node:
        """An object member; an empty one if it is not there."""
        return Node(self._typed(key, dict) or {}, self.at(key))

    def children(self, key: str) -> tuple[Node, ...]:
        """A list of objects; empty if it is not there."""
        items = self._typed(key, list) or []
        for number, item in enumerate(items):
            if not isinstance(item, dict):
                raise HalewardError(f"{self.at(key)}[{number}] must be {_KINDS[dict]}, not {_kind(item)}.")
        return tuple(Node(item, f"{self.at(key)}[{number}]") for number, item in enumerate(items))

    def texts(self, key: str) -> tuple[str, ...]:
        """A list of texts; FHIR allows null among them where only an extension is given."""
        items = self._typed(key, list) or []
        for number, item in enumerate(items):
            if item is not None and not isinstance(item, str):
                raise HalewardError(f"{self.at(key)}[{number}] must be text, not {_kind(item)}.")
        return tuple(text for item in items if item and (text := plain_text(item)))

    def day(self, key: str) -> PartialDate | None:
        """A date or dateTime member; the day is the local one, as written."""
        text = self.text(key)
        if not text:
            return None
        match = _FHIR_DATE.fullmatch(text)
        if not match:
            raise HalewardError(f'{self.at(key)}: "{plain_text(text, 30)}" is not a FHIR date such as 2026-02-10.')
        try:
            full = date(int(match[1]), int(match[2] or 1), int(match[3] or 1))
        except ValueError as error:
            raise HalewardError(f'{self.at(key)}: "{plain_text(text, 30)}" is no day of the calendar.') from error
        return PartialDate(full if match[3] else None, text[:10])

    def _typed(self, key: str, kind: type) -> Any:
        value = self.data.get(key)
        if value is not None and not isinstance(value, kind):
            raise HalewardError(f"{self.at(key)} must be {_KINDS[kind]}, not {_kind(value)}.")
        return value


def concept_text(node: Node, key: str) -> tuple[str, str]:
    """The words of a CodeableConcept and what was assumed to get them ("" if its own text was there)."""
    concept = node.child(key)
    if text := concept.text("text"):
        return text, ""
    codings = concept.children("coding")
    for coding in codings:
        if display := coding.text("display"):
            return display, "The words are those of a code."
    code = next((found for coding in codings if (found := coding.text("code"))), "")
    return (f"code {code}", "Only a code is given; ask what it stands for.") if code else ("", "")


def codes(node: Node, key: str, system: str) -> tuple[str, ...]:
    """The codes of one system in a CodeableConcept."""
    return tuple(c.text("code") for c in node.child(key).children("coding") if c.text("system") == system)


def _kind(value: object) -> str:
    if isinstance(value, bool):
        return "true or false"
    return next((words for kind, words in _KINDS.items() if isinstance(value, kind)), "a number")

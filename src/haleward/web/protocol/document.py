"""A protocol as a document: every rule and policy as a plain sentence with its source, in the order of care."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cache

from haleward.physiology.tables import rows
from haleward.safety.words import words_of
from haleward.web.project.templatetags.show import urgency

LEVELS = words_of("level")  # a rule's level as the gate reads it
SOON = words_of("urgency")
TRUST_MARKS = (
    ("seen at the source", "seen"),
    ("cut-off seen at the source", "seen"),
    ("seen on a secondary page", "second"),
)


@dataclass(frozen=True)
class Line:
    """One rule, item or policy: what it is about, what follows, and where it comes from.

    ``anchors`` are the ids by which worksheets, checks and concerns point here; the first is the one shown.
    """

    anchors: tuple[str, ...]
    when: str
    then: str = ""
    level: str = ""
    soon: str = ""
    sources: tuple[str, ...] = ()
    trust: str = ""
    shown_id: bool = True

    @property
    def anchor(self) -> str:
        """The id shown."""
        return self.anchors[0]

    @property
    def level_words(self) -> str:
        """The level as the gate reads it."""
        return LEVELS.get(self.level, self.level.replace("_", " "))

    @property
    def soon_words(self) -> str:
        """How soon, in words; "" when nobody needs to act on a day."""
        return SOON.get(self.soon, urgency(self.soon) if self.soon else "")

    @property
    def mark(self) -> str:
        """``seen``, ``second`` or ``open``: how far the source was checked."""
        return next((mark for start, mark in TRUST_MARKS if self.trust.startswith(start)), "open")

    def has(self, words: Iterable[str]) -> bool:
        """Whether every word stands somewhere in the line."""
        text = " ".join((*self.anchors, self.when, self.then, self.level_words, self.trust, *self.sources)).casefold()
        return all(word in text for word in words)


@dataclass(frozen=True)
class Part:
    """A group of lines under one small heading."""

    title: str
    lines: tuple[Line, ...]
    about: str = ""


@dataclass(frozen=True)
class Section:
    """One step of care."""

    key: str
    title: str
    about: str
    parts: tuple[Part, ...]

    @property
    def count(self) -> int:
        """How many lines it has."""
        return sum(len(part.lines) for part in self.parts)

    def filtered(self, query: str) -> Section:
        """The section with only the lines that hold every word of ``query``."""
        words = query.casefold().split()
        parts = (replace(part, lines=tuple(line for line in part.lines if line.has(words))) for part in self.parts)
        return replace(self, parts=tuple(part for part in parts if part.lines))


@dataclass(frozen=True)
class Source:
    """One source of the list at the end of the document."""

    id: str
    title: str
    verification: str


@cache
def _all_sources() -> dict[str, Source]:
    return {row["id"]: Source(row["id"], row["source"], row["verification"]) for row in rows("sources")}


def sources_of(sections: Iterable[Section]) -> tuple[Source, ...]:
    """The sources that these sections cite, in the order of the table."""
    cited = {one for section in sections for part in section.parts for line in part.lines for one in line.sources}
    return tuple(source for key, source in _all_sources().items() if key in cited)

"""Which texts a person reads: the rows of the wording tables that every language has to give."""

from __future__ import annotations

import csv
import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache

from haleward.wording import WORDING_FOLDER, Wording, default_wording

MOVEMENTS = "movements"
SYMPTOMS = "symptoms"  # what a person may choose when telling of a session, as the protocol words it
# Tables that a person reads. Of those that also speak to staff or clinicians only the rows for the person count.
TABLES = (
    "values", "session", "safety", "diary", "calendar", "print", "film", "telling", "library", "reasons", "letters",
    SYMPTOMS, MOVEMENTS,
)  # fmt: skip
_FOR_PERSON_ONLY = frozenset({"reasons", "letters"})
_NOT_TEXT = frozenset({"movement_id", "posture", "effort_phase"})


@dataclass(frozen=True)
class Text:
    """One English text of one table and where it stands: keys, or movement, posture and column with slashes."""

    table: str
    english: str
    references: tuple[str, ...]


@cache
def tables_of_keys() -> dict[str, str]:
    """The table of each key that a person reads."""
    return {
        row["key"]: table
        for table in TABLES
        if table not in (MOVEMENTS, SYMPTOMS)
        for row in _rows(table)
        if table not in _FOR_PERSON_ONLY or row["audience"] == "person"
    }


def person_texts(wording: Wording | None = None, symptoms: Mapping[str, str] | None = None) -> tuple[Text, ...]:
    """Every text to translate, in the order of the tables; a text that stands twice in a table comes once.

    ``wording`` has a service's own lines in place of the usual ones; ``symptoms`` are the labels of its protocol.
    """
    worded = wording or default_wording()
    found: dict[tuple[str, str], list[str]] = {}
    for key, table in tables_of_keys().items():
        found.setdefault((table, worded.template(key)), []).append(key)
    for key, label in (symptoms or {}).items():
        found.setdefault((SYMPTOMS, label), []).append(key)
    for reference, english in _movement_texts(worded):
        found.setdefault((MOVEMENTS, english), []).append(reference)
    return tuple(Text(table, english, tuple(references)) for (table, english), references in found.items())


def digest_of(texts: Iterable[Text]) -> str:
    """A short mark that changes when one of the English texts does."""
    joined = "\x1f".join(text.english for text in texts)
    return hashlib.sha256(joined.encode()).hexdigest()[:16]


def _movement_texts(wording: Wording) -> list[tuple[str, str]]:
    found = []
    for row in _rows(MOVEMENTS):
        words = wording.movement(row["movement_id"], row["posture"])
        for column in row:
            if column not in _NOT_TEXT and (english := getattr(words, column)):
                found.append((f"{row['movement_id']}/{row['posture']}/{column}", english))
    return found


@cache
def _rows(table: str) -> tuple[dict[str, str], ...]:
    with (WORDING_FOLDER / f"{table}.csv").open(encoding="utf-8", newline="") as file:
        return tuple(csv.DictReader(file))

"""The small tables a referral is read with: medicine names, event words, codes of readings. All are suggestions."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import cast

from haleward.physiology.tables import rows
from haleward.record import DrugClass, EventType


@dataclass(frozen=True)
class ReadingCode:
    """How one LOINC code is read: the reading, its range, its unit, the factor of each unit it may have."""

    reading: str
    quantity: str
    shown_unit: str
    factors: Mapping[str, float]


def medicines_in(text: str) -> tuple[tuple[str, DrugClass], ...]:
    """The generic names in ``text`` with their class, in order; a longer name wins over one inside it."""
    return cast(tuple[tuple[str, DrugClass], ...], _found(text, _words("drug_names", "name", "drug_class")))


def events_in(text: str) -> tuple[tuple[str, EventType], ...]:
    """The event words in ``text`` with their event type, in order."""
    return cast(tuple[tuple[str, EventType], ...], _found(text, _words("event_words", "words", "event_type")))


@cache
def reading_codes() -> Mapping[str, ReadingCode]:
    """Every LOINC code that is read, with its units."""
    codes: dict[str, ReadingCode] = {}
    for row in rows("fhir_readings"):
        known = codes.get(row["loinc"])
        factors = {**(known.factors if known else {}), row["unit"]: float(row["factor"])}
        codes[row["loinc"]] = ReadingCode(row["reading"], row["quantity"], row["shown_unit"], factors)
    return codes


def _found(text: str, words: Mapping[str, str]) -> tuple[tuple[str, str], ...]:
    hits: list[tuple[int, int, str]] = []
    for word in sorted(words, key=len, reverse=True):
        match = re.search(rf"\b{re.escape(word)}s?\b", text.lower())
        if match and not any(start <= match.start() < end for start, end, _word in hits):
            hits.append((match.start(), match.end(), word))
    return tuple((word, words[word]) for _start, _end, word in sorted(hits))


@cache
def _words(table: str, key: str, value: str) -> Mapping[str, str]:
    return {row[key]: row[value] for row in rows(table)}

"""Writes a catalogue as the PO files that a translator works on: every English text, with its translation if any."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import polib

from haleward.languages.catalogue import Catalogue, Direction
from haleward.languages.texts import MOVEMENTS, Text, digest_of

REVIEW = "needs review by a qualified translator"
_WIDTH = 100
_HINTS: Mapping[str, str] = {
    "cue": "Said while the person moves: keep it as short as the English.",
    "values": "Stands inside other sentences.",
}
_CUE_COLUMNS = ("move_out", "move_back", "hold")


@dataclass(frozen=True)
class Head:
    """What the head of each file says about the language."""

    tag: str
    name: str
    english_name: str
    direction: Direction
    decimal: Literal[".", ","] = "."


def head_of(catalogue: Catalogue) -> Head:
    """The head of a catalogue's files."""
    decimal: Literal[".", ","] = "," if catalogue.decimal == "," else "."
    return Head(catalogue.tag, catalogue.name, catalogue.english_name, catalogue.direction, decimal)


def po_files(head: Head, texts: tuple[Text, ...], catalogue: Catalogue | None = None) -> dict[str, str]:
    """The files by name, one for each table."""
    tables = dict.fromkeys(text.table for text in texts)
    return {f"{table}.po": _po(head, [text for text in texts if text.table == table], catalogue) for table in tables}


def _po(head: Head, texts: list[Text], catalogue: Catalogue | None) -> str:
    file = polib.POFile(wrapwidth=_WIDTH)
    file.metadata = {
        "Project-Id-Version": "haleward",
        "Language": head.tag,
        "MIME-Version": "1.0",
        "Content-Type": "text/plain; charset=UTF-8",
        "Content-Transfer-Encoding": "8bit",
        "X-Native-Name": head.name,
        "X-English-Name": head.english_name,
        "X-Direction": head.direction,
        "X-Decimal": head.decimal,
        "X-Review": REVIEW,
        "X-Wording-Digest": digest_of(texts),
    }
    for text in texts:
        file.append(_entry(text, text.table, catalogue))
        for key in text.references:
            if catalogue and (key, text.english) in catalogue.texts:
                file.append(_entry(text, key, catalogue))
    return f"{file}\n"


def _entry(text: Text, context: str, catalogue: Catalogue | None) -> polib.POEntry:
    """One text; ``context`` is its table, or a key that has a translation of its own."""
    return polib.POEntry(
        msgid=text.english,
        msgstr=catalogue.texts.get((context, text.english), "") if catalogue else "",
        msgctxt=None if context == text.table else context,
        occurrences=[(key, "") for key in (text.references if context == text.table else (context,))],
        comment=_hint(text),
    )


def _hint(text: Text) -> str:
    column = text.references[0].rpartition("/")[2]
    if text.table == MOVEMENTS and column in _CUE_COLUMNS:
        return _HINTS["cue"]
    return _HINTS.get(text.table, "")

"""Writes a catalogue as the PO files that a translator works on: every English text, with its translation if any."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import polib

from haleward.languages.catalogue import Catalogue, Direction
from haleward.languages.plurals import KNOWN, TWO_FORMS, Plurals, counted_by
from haleward.languages.texts import MOVEMENTS, Text, digest_of

REVIEW = "needs review by a qualified translator"
_WIDTH = 100
_HINTS: Mapping[str, str] = {
    "cue": "Said while the person moves: keep it as short as the English.",
    "values": "Stands inside other sentences.",
}
_COUNTS = "Counts {{{}}}: it may have a plural form for each kind of number."
_CUE_COLUMNS = ("move_out", "move_back", "hold")


@dataclass(frozen=True)
class Head:
    """What the head of each file says about the language."""

    tag: str
    name: str
    english_name: str
    direction: Direction
    decimal: Literal[".", ","] = "."
    plural_forms: str = TWO_FORMS


def head_of(catalogue: Catalogue) -> Head:
    """The head of a catalogue's files."""
    decimal: Literal[".", ","] = "," if catalogue.decimal == "," else "."
    return Head(catalogue.tag, catalogue.name, catalogue.english_name, catalogue.direction, decimal, _rule(catalogue))


def _rule(catalogue: Catalogue) -> str:
    """The catalogue's own plural rule if it uses it, else the known one of its language."""
    return catalogue.plurals.head if catalogue.forms else KNOWN.get(catalogue.tag, catalogue.plurals.head)


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
        "Plural-Forms": head.plural_forms,
        "X-Native-Name": head.name,
        "X-English-Name": head.english_name,
        "X-Direction": head.direction,
        "X-Decimal": head.decimal,
        "X-Review": REVIEW,
        "X-Wording-Digest": digest_of(texts),
    }
    count = Plurals(head.plural_forms).count
    for text in texts:
        file.append(_entry(text, text.table, catalogue, count))
        for key in text.references:
            if catalogue and (key, text.english) in catalogue.texts:
                file.append(_entry(text, key, catalogue, count))
    return f"{file}\n"


def _entry(text: Text, context: str, catalogue: Catalogue | None, count: int) -> polib.POEntry:
    """One text; ``context`` is its table, or a key that has a translation of its own.

    A text that counts has ``count`` plural forms, unless it is translated by one that fits any number.
    """
    told = catalogue.texts.get((context, text.english), "") if catalogue else ""
    forms = catalogue.forms.get((context, text.english)) if catalogue and told else None
    plural = forms or (("",) * count if counted_by(text.english) and not told else ())
    translation = (
        {"msgid_plural": text.english, "msgstr_plural": dict(enumerate(plural))} if plural else {"msgstr": told}
    )
    return polib.POEntry(
        msgid=text.english,
        **translation,
        msgctxt=None if context == text.table else context,
        occurrences=[(key, "") for key in (text.references if context == text.table else (context,))],
        comment=_hint(text),
    )


def _hint(text: Text) -> str:
    counted = counted_by(text.english)
    return " ".join(one for one in (_place_hint(text), _COUNTS.format(counted) if counted else "") if one)


def _place_hint(text: Text) -> str:
    column = text.references[0].rpartition("/")[2]
    if text.table == MOVEMENTS and column in _CUE_COLUMNS:
        return _HINTS["cue"]
    return _HINTS.get(text.table, "")

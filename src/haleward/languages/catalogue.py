"""A language's catalogue: gettext PO files, one for each wording table, read whole or not at all.

The English text itself is the ``msgid``. When it changes it is no longer found, and its translation is retired: nobody
is told what an older English text meant.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Literal

import polib

from haleward.errors import HalewardError
from haleward.languages.texts import TABLES, Text

LANGUAGES_FOLDER = Path(__file__).parent.parent / "data" / "languages"
Direction = Literal["ltr", "rtl"]
_HEADER = ("Language", "X-Direction", "X-Native-Name", "X-English-Name")


@dataclass(frozen=True, eq=False)
class Catalogue:
    """One language. ``texts`` is by (context, English text); the context is the table, or one key where two differ."""

    tag: str
    name: str  # in its own language
    english_name: str
    direction: Direction
    texts: Mapping[tuple[str, str], str]
    decimal: str = "."  # the sign between whole and tenth
    tables: tuple[str, ...] = field(default=())  # those that the catalogue has a file for
    digest: str = ""  # of all its entries: another one is another state of the translation

    def of(self, text: Text) -> str:
        """The translation of a text, "" if there is none."""
        return self.find(text.table, text.english, *text.references)

    def find(self, table: str, english: str, *keys: str) -> str:
        """The translation of an English text of a table, one made for a key before the usual one; "" if none."""
        own = (found for key in keys if (found := self.texts.get((key, english))))
        return next(own, "") or self.texts.get((table, english), "")


def languages() -> tuple[str, ...]:
    """The tags of the languages that ship with the product."""
    return tuple(sorted(path.name for path in LANGUAGES_FOLDER.iterdir() if path.is_dir()))


@cache
def load_catalogue(tag: str) -> Catalogue:
    """The catalogue that ships under ``tag``."""
    if tag not in languages():
        raise HalewardError(f'There is no language "{tag}"; there are: {", ".join(languages())}.')
    folder = LANGUAGES_FOLDER / tag
    return read_catalogue({path.stem: path.read_text(encoding="utf-8") for path in sorted(folder.glob("*.po"))})


def read_catalogue(files: Mapping[str, str]) -> Catalogue:
    """The catalogue of PO files by table. The first fault is told as one sentence with its file."""
    if not files:
        raise HalewardError("There is no file of a catalogue here; give at least one file such as session.po.")
    texts: dict[tuple[str, str], str] = {}
    heads: dict[str, tuple[str, ...]] = {}
    decimal = "."
    for table, content in files.items():
        if table not in TABLES:
            raise HalewardError(f"{table}.po belongs to no wording table; the tables are: {', '.join(TABLES)}.")
        file = _parsed(table, content)
        heads[table] = tuple(file.metadata.get(name, "").strip() for name in _HEADER)
        decimal = file.metadata.get("X-Decimal", ".").strip() or "."
        for entry in file:
            if entry.obsolete or not entry.msgstr or "fuzzy" in entry.flags:
                continue  # what the translator left open, or marked as uncertain, is not a translation
            texts[entry.msgctxt or table, entry.msgid] = entry.msgstr
    tag, direction, name, english_name = _same_head(heads)
    return Catalogue(
        tag=tag,
        name=name,
        english_name=english_name,
        direction="rtl" if direction == "rtl" else "ltr",
        texts=texts,
        decimal=decimal,
        tables=tuple(files),
        digest=_digest(texts),
    )


def _parsed(table: str, content: str) -> polib.POFile:
    """The file, or what is wrong with it. The library takes a text without line breaks for a file name."""
    try:
        return polib.pofile(f"{content}\n")
    except (OSError, UnicodeError, ValueError) as error:
        raise HalewardError(f"{table}.po is not a PO file that can be read: {_reason(error)}.") from error


def _reason(error: Exception) -> str:
    told = str(error).splitlines()[0] if str(error) else "it has no entry"
    place = told.rpartition("(line ")[2].rstrip(")")
    return f"look at line {place}" if place.isdigit() else "its first lines should be those of the template"


def _same_head(heads: Mapping[str, tuple[str, ...]]) -> tuple[str, ...]:
    """The head that all files share."""
    first, head = next(iter(heads.items()))
    for table, other in heads.items():
        lacking = [name for name, value in zip(_HEADER, other, strict=True) if not value]
        if lacking:
            raise HalewardError(f"{table}.po lacks {' and '.join(lacking)} in its head; copy the head of the template.")
        if other != head:
            raise HalewardError(f"{table}.po says {other[0]}, {other[1]}, but {first}.po says {head[0]}, {head[1]}.")
    if head[1] not in ("ltr", "rtl"):
        raise HalewardError(f'{first}.po has the direction "{head[1]}"; write ltr or rtl.')
    return head


def _digest(texts: Mapping[tuple[str, str], str]) -> str:
    lines = sorted("\x1f".join((*key, text)) for key, text in texts.items())
    return hashlib.sha256("\x1e".join(lines).encode()).hexdigest()[:16]

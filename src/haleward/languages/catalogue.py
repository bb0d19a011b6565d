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
from haleward.languages.plurals import TWO_FORMS, Plurals, form_for
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
    texts: Mapping[tuple[str, str], str]  # of a text with plural forms the last one, which fits any number
    decimal: str = "."  # the sign between whole and tenth
    tables: tuple[str, ...] = field(default=())  # those that the catalogue has a file for
    forms: Mapping[tuple[str, str], tuple[str, ...]] = field(default_factory=dict)  # of texts that have plural forms
    plurals: Plurals = field(default_factory=Plurals)
    digest: str = ""  # of all its entries: another one is another state of the translation

    def of(self, text: Text) -> str:
        """The translation of a text, "" if there is none."""
        return self.find(text.table, text.english, *text.references)

    def find(self, table: str, english: str, *keys: str) -> str:
        """The translation of an English text of a table, one made for a key before the usual one; "" if none."""
        return self.texts.get(self._place(table, english, *keys), "")

    def counted(self, number: str, table: str, english: str, *keys: str) -> str:
        """The translation in the form that ``number`` takes, as it stands in the sentence; "" if none."""
        place = self._place(table, english, *keys)
        usual = self.texts.get(place, "")
        return form_for(self.forms.get(place, (usual,) * self.plurals.count), number, self.plurals) if usual else ""

    def _place(self, table: str, english: str, *keys: str) -> tuple[str, str]:
        own = ((key, english) for key in keys if self.texts.get((key, english)))
        return next(own, (table, english))


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
    forms: dict[tuple[str, str], tuple[str, ...]] = {}
    heads: dict[str, tuple[str, ...]] = {}
    decimal, rules = ".", dict[str, str]()
    for table, content in files.items():
        if table not in TABLES:
            raise HalewardError(f"{table}.po belongs to no wording table; the tables are: {', '.join(TABLES)}.")
        file = _parsed(table, content)
        heads[table] = tuple(file.metadata.get(name, "").strip() for name in _HEADER)
        decimal = file.metadata.get("X-Decimal", ".").strip() or "."
        rules[file.metadata.get("Plural-Forms", TWO_FORMS).strip()] = table
        for entry in file:
            told = _forms(entry)
            if entry.obsolete or not all(told) or "fuzzy" in entry.flags:
                continue  # what the translator left open, or marked as uncertain, is not a translation
            place = (entry.msgctxt or table, entry.msgid)
            texts[place] = told[-1]
            if entry.msgid_plural:
                forms[place] = told
    tag, direction, name, english_name = _same_head(heads)
    return Catalogue(
        tag=tag,
        name=name,
        english_name=english_name,
        direction="rtl" if direction == "rtl" else "ltr",
        texts=texts,
        decimal=decimal,
        tables=tuple(files),
        forms=forms,
        plurals=_one_rule(rules, forms),
        digest=_digest(texts, forms),
    )


def _forms(entry: polib.POEntry) -> tuple[str, ...]:
    """The translation; of a text that counts one for each plural form."""
    if not entry.msgid_plural:
        return (entry.msgstr,)
    return tuple(text for _, text in sorted(entry.msgstr_plural.items())) or ("",)


def _one_rule(rules: Mapping[str, str], forms: Mapping[tuple[str, str], tuple[str, ...]]) -> Plurals:
    """The plural rule that all files share, and as many forms everywhere as it has."""
    if len(rules) > 1:
        raise HalewardError(f"The plural rules of {' and '.join(f'{one}.po' for one in rules.values())} differ.")
    plurals = Plurals(next(iter(rules)))
    wrong = next((place for place, told in forms.items() if len(told) != plurals.count), None)
    if wrong:
        raise HalewardError(f"“{wrong[1]}” has {len(forms[wrong])} plural forms; the head says {plurals.count}.")
    return plurals


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


def _digest(texts: Mapping[tuple[str, str], str], forms: Mapping[tuple[str, str], tuple[str, ...]]) -> str:
    lines = sorted("\x1f".join((*key, *forms.get(key, (text,)))) for key, text in texts.items())
    return hashlib.sha256("\x1e".join(lines).encode()).hexdigest()[:16]

"""What can be told of a translation without knowing its language; whether it is right only a translator can say."""

from __future__ import annotations

import csv
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Literal

from haleward.errors import HalewardError
from haleward.languages.catalogue import Catalogue
from haleward.languages.plurals import counted_by
from haleward.languages.texts import MOVEMENTS, Text
from haleward.wording import WORDING_FOLDER, placeholders, spoken

Kind = Literal["placeholders", "numbers", "number in words", "left in English", "too long", "missing", "retired"]
LONGEST_CUE = 44  # letters of what is read at a glance while moving, in large type on a phone
_CUE_COLUMNS = ("move_out", "move_back", "hold")
_LARGEST_WORD = 12
_NUMBER_WORDS = {number: spoken(number) for number in range(_LARGEST_WORD + 1)}
_PLACEHOLDER = re.compile(r"\{\w+\}")
_DIGITS = re.compile(r"\d+")
_LATIN_WORD = re.compile(r"[A-Za-z]{4,}")
_WORD = re.compile(r"[^\W\d_]+")


@dataclass(frozen=True)
class Finding:
    """One thing to look at. The first two kinds are faults: they can make a dose or a telephone number wrong."""

    kind: Kind
    table: str
    where: str
    english: str
    told: str

    @property
    def is_fault(self) -> bool:
        """Whether a catalogue with it is not taken."""
        return self.kind in ("placeholders", "numbers")

    def __str__(self) -> str:
        return f"{self.table}.po, {self.where}: {_SENTENCES[self.kind]} “{self.english}”" + (
            f" is “{self.told}”." if self.told else "."
        )


_SENTENCES = {
    "placeholders": "the words in braces must be those of the English;",
    "numbers": "a number of the English is missing or another;",
    "number in words": "a number of the English is a word here;",
    "left in English": "this is still English:",
    "too long": f"a cue has at most {LONGEST_CUE} letters;",
    "missing": "there is no translation of",
    "retired": "the English text is no longer used:",
}


def findings(catalogue: Catalogue, texts: tuple[Text, ...]) -> tuple[Finding, ...]:
    """Everything to look at, faults first."""
    found = [one for text in texts for one in _of_text(catalogue, text)]
    found += _retired(catalogue, texts)
    return tuple(sorted(found, key=lambda one: not one.is_fault))


def refuse_faults(catalogue: Catalogue, texts: tuple[Text, ...]) -> None:
    """Raises one sentence, with the first place, if a placeholder or a number differs from the English."""
    faults = [one for one in findings(catalogue, texts) if one.is_fault]
    if faults:
        more = f" ({len(faults) - 1} more like it.)" if len(faults) > 1 else ""
        raise HalewardError(f"Nothing was taken: {faults[0]}{more}")


def missing(catalogue: Catalogue, texts: tuple[Text, ...]) -> tuple[Text, ...]:
    """The texts without a translation."""
    return tuple(text for text in texts if not catalogue.of(text))


def share_missing(catalogue: Catalogue, texts: tuple[Text, ...]) -> float:
    """What share of all texts has no translation, 0 to 1."""
    return len(missing(catalogue, texts)) / len(texts)


def _of_text(catalogue: Catalogue, text: Text) -> Iterator[Finding]:
    told = {text.table: catalogue.texts.get((text.table, text.english), "")}
    told |= {key: own for key in text.references if (own := catalogue.texts.get((key, text.english)))}
    if not catalogue.of(text):
        yield Finding("missing", text.table, text.references[0], text.english, "")
    for where, translation in told.items():
        if translation:
            place = text.references[0] if where == text.table else where
            for form, told_so in enumerate(catalogue.forms.get((where, text.english), (translation,))):
                for kind in _kinds(catalogue, text, told_so, form):
                    yield Finding(kind, text.table, place, text.english, told_so)


def _kinds(catalogue: Catalogue, text: Text, told: str, form: int) -> Iterator[Kind]:
    differ = set(placeholders(told)) ^ set(placeholders(text.english))
    if differ - _may_lack(catalogue, text, form) or _braces(told) != _braces(text.english):
        yield "placeholders"
    bare, english = _PLACEHOLDER.sub(" ", told), _PLACEHOLDER.sub(" ", text.english)
    yield from _numbers(english, bare)
    same = told == text.english and len(_WORD.findall(english)) > 1
    if same or (catalogue.direction == "rtl" and _LATIN_WORD.search(bare)):
        yield "left in English"
    if _is_cue(text) and len(told) > max(LONGEST_CUE, len(text.english)):
        yield "too long"


def _may_lack(catalogue: Catalogue, text: Text, form: int) -> set[str]:
    """A form for one number alone ("two days") may say it in a word: the counted placeholder may be left out there."""
    has_forms = any((where, text.english) in catalogue.forms for where in (text.table, *text.references))
    alone = catalogue.plurals.only_number(form) if has_forms else None
    return set() if alone is None else {counted_by(text.english)}


def _numbers(english: str, told: str) -> Iterator[Kind]:
    """A number of the English may become a word if it is small; one that the English does not have is a fault."""
    there = Counter(_western(english))
    lacking = there - Counter(_western(told))
    words = {str(number) for number, word in _NUMBER_WORDS.items() if word in english.lower().replace(",", " ").split()}
    if any(int(number) > _LARGEST_WORD for number in lacking) or set(_western(told)) - set(there) - words:
        yield "numbers"
    elif lacking:
        yield "number in words"


def _braces(text: str) -> tuple[int, int]:
    """Braces that belong to no placeholder, as one that was cut has."""
    bare = _PLACEHOLDER.sub("", text)
    return bare.count("{"), bare.count("}")


def _western(text: str) -> list[str]:
    """The numbers of a text, whatever digits it is written in."""
    return [str(int(number)) for number in _DIGITS.findall(text)]


def _is_cue(text: Text) -> bool:
    if text.table == MOVEMENTS:
        return any(reference.endswith(_CUE_COLUMNS) for reference in text.references)
    return any(reference in _cue_keys() for reference in text.references)


@cache
def _cue_keys() -> frozenset[str]:
    with (WORDING_FOLDER / "session.csv").open(encoding="utf-8", newline="") as file:
        return frozenset(row["key"] for row in csv.DictReader(file) if row["kind"] == "cue")


def _retired(catalogue: Catalogue, texts: tuple[Text, ...]) -> list[Finding]:
    known = {(text.table, text.english) for text in texts}
    known |= {(key, text.english) for text in texts for key in text.references}
    return [
        Finding("retired", context, "no longer in the tables", english, told)
        for (context, english), told in catalogue.texts.items()
        if (context, english) not in known
    ]

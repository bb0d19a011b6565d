"""Plural forms as gettext has them: a rule that says which form a number takes, and which number a text counts."""

from __future__ import annotations

import gettext
import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

from haleward.errors import HalewardError

_HEAD = re.compile(r"\s*nplurals\s*=\s*(\d+)\s*;\s*plural\s*=\s*(.+?)\s*;?\s*")
_NOUNS = (
    "minute|second|hour|day|week|session|movement|set|time|repetition|walk|hold|note|message|kilogram|gram|millilitre|"
    "centimetre|metre|beat|dose|puff"
)
_COUNTED = re.compile(rf"\{{((?!\w*name)\w+)\}} (?:(?:{_NOUNS})s|marches)\b")
_TRIED = range(201)  # numbers that tell what a form is used for
_MOST_FORMS = 6
TWO_FORMS = "nplurals=2; plural=(n != 1);"
KNOWN = {
    "ar": "nplurals=6; plural=(n==0 ? 0 : n==1 ? 1 : n==2 ? 2 : n%100>=3 && n%100<=10 ? 3 : n%100>=11 ? 4 : 5);",
    "de": TWO_FORMS,
}


@dataclass(frozen=True)
class Plurals:
    """How many forms a language has; ``form`` says which one a number takes."""

    head: str = TWO_FORMS

    def __post_init__(self) -> None:
        """Raises one sentence for a rule that cannot be read, or that names a form that there is not."""
        if not all(0 <= self.form(number) < self.count <= _MOST_FORMS for number in _TRIED):
            raise HalewardError(f"The plural rule “{self.head}” names a form that it does not have.")

    @property
    def count(self) -> int:
        """How many forms there are."""
        return _read(self.head)[0]

    def form(self, number: int) -> int:
        """Which form ``number`` takes."""
        return int(_read(self.head)[1](number))

    def only_number(self, form: int) -> int | None:
        """The number that alone takes a form ("two of them"); None if several do."""
        taken = [number for number in _TRIED if self.form(number) == form]
        return taken[0] if len(taken) == 1 else None


def counted_by(english: str) -> str:
    """The placeholder whose number decides the form of a text: the first that counts something; "" for none."""
    found = _COUNTED.search(english)
    return found[1] if found else ""


def form_for(forms: tuple[str, ...], number: str, plurals: Plurals) -> str:
    """The form that a number takes as it stands in the sentence; the last one for what is no whole number yet."""
    return forms[plurals.form(int(number))] if re.fullmatch(r"\d+", number) else forms[-1]


@cache
def _read(head: str) -> tuple[int, Callable[[int], int]]:
    found = _HEAD.fullmatch(head)
    try:
        if found is None:
            raise ValueError(head)
        return int(found[1]), gettext.c2py(found[2])
    except ValueError as error:
        raise HalewardError(f"The plural rule “{head}” cannot be read; write it as “{TWO_FORMS}”.") from error

"""A figure inside a sentence: found as digits or as a small number word, and changed where it stands alone."""

from __future__ import annotations

import re

_WORDS = ("none", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
_FIGURE = re.compile(r"(?<![\w.])\d+(?:\.\d+)?(?![\w]|\.\d)|\b(?:" + "|".join(_WORDS[1:]) + r")\b", re.IGNORECASE)
_NOUN = re.compile(r"(?P<gap>[ -])(?P<noun>hour|day|week|minute|kilogram|gram|metre|second|month|year)(?P<many>s?)\b")


def says(text: str, figure: float) -> int:
    """How many times ``text`` says this figure."""
    return sum(_value(found[0]) == figure for found in _FIGURE.finditer(text))


def with_figure(text: str, old: float, new: float) -> str | None:
    """``text`` with ``new`` where it said ``old``; ``None`` unless it says it exactly once.

    Words stay words up to twelve, and the noun after the figure follows it: "two days" becomes "one day".
    """
    found = [one for one in _FIGURE.finditer(text) if _value(one[0]) == old]
    if len(found) != 1:
        return None
    start, end = found[0].span()
    written = found[0][0]
    after = text[end:]
    noun = _NOUN.match(after)
    if noun and noun["gap"] == " ":
        after = f" {noun['noun']}{'' if new == 1 else 's'}{after[noun.end() :]}"
    return f"{text[:start]}{_written(new, written)}{after}"


def _value(written: str) -> float:
    word = written.lower()
    return float(_WORDS.index(word)) if word in _WORDS else float(word)


def _written(new: float, like: str) -> str:
    if like.lower() in _WORDS and float(new).is_integer() and 1 <= new < len(_WORDS):
        word = _WORDS[int(new)]
        return word.capitalize() if like[0].isupper() else word
    return f"{new:g}"

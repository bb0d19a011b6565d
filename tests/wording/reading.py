"""How hard a text is to read and how long it takes to say: the measures behind the rules for words."""

import csv
import re
from functools import cache
from pathlib import Path

from haleward.wording import spoken

FOLDER = Path(__file__).parent
WORDS_PER_MINUTE = 150
_NUMBER = re.compile(r"\d+")
_EMERGENCY_NUMBERS = {"999": "nine nine nine"}


@cache
def _table(name: str) -> dict[str, str]:
    with (FOLDER / name).open(encoding="utf-8", newline="") as file:
        rows = csv.reader(file)
        next(rows)
        return dict(rows)


def sample_values() -> dict[str, str]:
    """A value for every placeholder of a text for people."""
    return _table("sample_values.csv")


def _number(number):
    """A number in words; a year is said in two halves."""
    return spoken(number) if number < 1000 else f"{spoken(number // 100)} {spoken(number % 100)}"


def as_heard(text: str) -> str:
    """The text with its placeholders filled and its numbers in words."""
    filled = re.sub(r"\{(\w+)\}", lambda match: sample_values()[match.group(1)], text)
    return _NUMBER.sub(lambda match: _EMERGENCY_NUMBERS.get(match[0]) or _number(int(match[0])), filled)


def words(text: str) -> list[str]:
    return re.findall(r"[A-Za-z]+(?:['’][a-z]+)?", text)


def sentences(text: str) -> list[str]:
    return [part.strip() for part in re.split(r"(?<=[.?:])\s+", text.strip()) if part.strip()]


def syllables(word: str) -> int:
    """Syllables by counting groups of vowels, with a table of words for which that is wrong."""
    plain = word.lower().replace("'s", "").replace("’s", "").replace("'", "").replace("’", "")
    known = _table("syllables.csv").get(plain)
    if known is not None:
        return int(known)
    count = len(re.findall(r"[aeiouy]+", plain))
    if count > 1 and _has_silent_ending(plain):
        count -= 1
    return max(1, count + _has_split_vowels(plain))


def _has_silent_ending(word: str) -> bool:
    silent_e = word.endswith("e") and not re.search(r"[^aeiou]le$", word)
    return bool(silent_e or re.search(r"[^aeioutd]ed$", word) or re.search(r"[^aeiouscxzghl]es$", word))


def _has_split_vowels(word: str) -> bool:
    one_sound = r"(tion|sion|cial|tial|tious|cious|gion|stion|qua|gua|peo)"
    return bool(re.search(r"(ia|io|eo|ua)(?!u)", word)) and not re.search(one_sound, word)


def grade(text: str) -> float:
    """Flesch-Kincaid grade (Kincaid and others 1975)."""
    found = words(text)
    per_sentence = len(found) / len(sentences(text))
    return 0.39 * per_sentence + 11.8 * sum(map(syllables, found)) / len(found) - 15.59


def automated_readability_index(text: str) -> float:
    """The grade by letters in place of syllables (Smith and Senter 1967)."""
    found = words(text)
    letters = sum(len(re.sub(r"\W", "", word)) for word in found)
    return 4.71 * letters / len(found) + 0.5 * len(found) / len(sentences(text)) - 21.43


def seconds(text: str) -> float:
    return len(words(text)) / WORDS_PER_MINUTE * 60

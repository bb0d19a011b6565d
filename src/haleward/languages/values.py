"""What stands in a placeholder, as another language writes it: a date, a measure, a phrase, or a name as it is."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from functools import cached_property

from haleward.languages.catalogue import Catalogue
from haleward.languages.plurals import counted_by, form_for
from haleward.languages.texts import tables_of_keys
from haleward.wording import Wording, placeholders, spoken

# Names, and what a person or a clinician wrote: told as they were written. A service's phrases are not among them, as
# "one spray under the tongue" must be understood.
OWN = frozenset(
    (
        "first_name", "carer_name", "clinician_name", "contact_name", "interpreter_name", "team_name", "author", "goal",
        "shown", "band_name", "kit_name", "medicine", "home_address", "signature",
    )
)  # fmt: skip
_NUMBER_WORDS = {spoken(number): number for number in range(100)}
_FILLED_LATER = re.compile(r"\{\w+\}|\0")
_DATE = re.compile(r"(?:(?P<weekday>[A-Z][a-z]+day),? )?(?P<day>\d{1,2}) (?P<month>[A-Z][a-z]+)(?: (?P<year>\d{4}))?")
_MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
    "December",
)  # fmt: skip
_PLAIN = re.compile(r"\d+")
_DECIMAL = re.compile(r"\d+\.\d+")
_LETTER = re.compile(r"[^\W\d_]")
_MOST_KEPT = 4096  # values told and kept
_FEWEST_OWN = 3  # letters of a phrase besides its placeholders
_LTR, _FIRST_STRONG, _END = "\u2066", "\u2068", "\u2069"  # isolates of the bidirectional algorithm


class Values:
    """The values of one language."""

    def __init__(self, english: Wording, catalogue: Catalogue) -> None:
        self._english = english
        self._catalogue = catalogue
        self._apart = catalogue.direction == "rtl"
        self._kept: dict[str, str | None] = {}

    def shown(self, name: str, value: str) -> str | None:
        """``value`` as it stands in a sentence of this language; None if there is no way to tell it."""
        if _FILLED_LATER.fullmatch(value):
            return value
        if name in OWN:
            return self._isolated(value)
        return self.told(value)

    def told(self, value: str) -> str | None:
        """``value`` whatever it is called: a text of the tables, a number, a measure, a date, several of them.

        What is in this language already, as a text put together from others, stays as it is.
        """
        if value not in self._kept:
            if len(self._kept) >= _MOST_KEPT:
                self._kept.clear()
            self._kept[value] = self._told(value)
        return self._kept[value]

    def _told(self, value: str) -> str | None:
        if not _LETTER.search(value):
            return self._digits(value)
        if value.lower() in _NUMBER_WORDS:
            return str(_NUMBER_WORDS[value.lower()])
        ways: tuple[Callable[[str], str | None], ...] = (self._exact, self._date, self._patterned, self._listed)
        written = (value, _in_digits(value))
        found = next((found for way in ways for one in written if (found := way(one))), None)
        return found or self._already(value)

    def _exact(self, value: str) -> str | None:
        """A whole text of the tables, however its first letter is written."""
        return self._by_english.get(value) or self._by_english.get(value[:1].upper() + value[1:])

    def _already(self, value: str) -> str | None:
        """A text that this catalogue gave before."""
        if value.casefold() in self._foreign:
            return value
        for pattern in self._foreign_patterns:
            found = pattern.fullmatch(value)
            if found and all(name in OWN or self.told(part) for name, part in found.groupdict().items()):
                return value
        return None

    def _date(self, value: str) -> str | None:
        found = _DATE.fullmatch(value)
        month = found and next((n for n, name in enumerate(_MONTHS, 1) if found["month"] in (name, name[:3])), 0)
        if not found or not month:
            return None
        parts = {"day": found["day"], "month": self._text(f"month_{month}")}
        parts |= {"weekday": self._exact(found["weekday"]) or ""} if found["weekday"] else {}
        parts |= {"year": found["year"]} if found["year"] else {}
        key = "date" + ("_weekday" if found["weekday"] else "") + ("" if found["year"] else "_short")
        return filled(self._text(key), parts) if all(parts.values()) and self._text(key) else None

    def _patterned(self, value: str) -> str | None:
        """A text of the tables with values in it: "two kilograms", "1 kilogram in each hand", a reason."""
        for pattern, english in self._patterns:
            found = pattern.fullmatch(value)
            if not found:
                continue
            parts = {name: self.shown(name, part) for name, part in found.groupdict().items()}
            told = self._counted(english, parts.get(counted_by(english)) or "")
            if told and all(parts.values()):
                return filled(told, {name: part or "" for name, part in parts.items()})
        return None

    def _listed(self, value: str) -> str | None:
        """Several of them: "Monday and Thursday", "2 sets of 10, 1 kilogram in each hand"."""
        for sign, key in ((" and ", "list_and"), (", ", "list_comma")):
            head, found, tail = value.partition(sign)
            if found and (first := self.told(head)) and (last := self.told(tail)) and self._text(key):
                return filled(self._text(key), {"first": first, "last": last})
        return None

    def _text(self, key: str) -> str:
        return self._by_english.get(self._english.template(key), "")

    def _digits(self, value: str) -> str:
        if _DECIMAL.fullmatch(value):
            return value.replace(".", self._catalogue.decimal)
        return value if _PLAIN.fullmatch(value) or not self._apart else f"{_LTR}{value}{_END}"

    def _isolated(self, value: str) -> str:
        """Kept together in a text that runs the other way: "020 7946 0000" would be shown in pieces."""
        if not self._apart or _PLAIN.fullmatch(value):
            return value
        return f"{_FIRST_STRONG if _LETTER.search(value) else _LTR}{value}{_END}"

    def _counted(self, english: str, number: str) -> str:
        """The translation in the form that a number takes."""
        told = self._by_english.get(english, "")
        forms = self._forms.get(told)
        return form_for(forms, number, self._catalogue.plurals) if forms else told

    @cached_property
    def _forms(self) -> dict[str, tuple[str, ...]]:
        """All plural forms of a translation, by the one that fits any number."""
        return {forms[-1]: forms for forms in self._catalogue.forms.values()}

    def _each_form(self, told: str) -> tuple[str, ...]:
        return self._forms.get(told, (told,))

    @cached_property
    def _by_english(self) -> dict[str, str]:
        """Every translated text by its English one; where tables differ, the first table that has it."""
        found: dict[str, str] = {}
        for key, table in tables_of_keys().items():
            english = self._english.template(key)
            told = self._catalogue.find(table, english, key)
            if told:
                found.setdefault(english, told)
        for (_, english), told in self._catalogue.texts.items():
            found.setdefault(english, told)
        return found

    @cached_property
    def _foreign(self) -> frozenset[str]:
        return frozenset(form.casefold() for told in self._by_english.values() for form in self._each_form(told))

    @cached_property
    def _foreign_patterns(self) -> list[re.Pattern[str]]:
        """Phrases of this language with enough words of their own not to take another for one of them."""
        found = (told for english, told in self._by_english.items() if placeholders(english) and _within(english))
        phrases = {form for told in found for form in self._each_form(told)}
        own = {told: len(re.sub(r"\{\w+\}|\W", "", told)) for told in phrases}
        return [_as_pattern(told) for told in sorted(phrases, key=lambda told: -own[told]) if own[told] >= _FEWEST_OWN]

    @cached_property
    def _patterns(self) -> list[tuple[re.Pattern[str], str]]:
        """Texts that are told inside others, those with more of their own words first."""
        own = [english for english in self._by_english if placeholders(english) and _within(english)]
        own.sort(key=lambda english: -len(re.sub(r"\{\w+\}", "", english)))
        return [(_as_pattern(english), english) for english in own]


def filled(template: str, parts: Mapping[str, str]) -> str:
    """A text with its placeholders filled."""
    return re.sub(r"\{(\w+)\}", lambda match: parts[match[1]], template)


def _in_digits(value: str) -> str:
    """ "two kilograms" as "2 kilograms": what is shown in another language has digits."""
    return " ".join(str(_NUMBER_WORDS.get(word, word)) for word in value.split(" "))


def _within(english: str) -> bool:
    """Whether a text may stand inside another one: a phrase, not a sentence."""
    return not english.rstrip().endswith((".", "?", "!")) and len(english) < 90


def _as_pattern(english: str) -> re.Pattern[str]:
    parts, seen = [], set()
    for piece in re.split(r"(\{\w+\})", english):
        if not re.fullmatch(r"\{\w+\}", piece):
            parts.append(re.escape(piece))
        elif piece in seen:
            parts.append(f"(?P={piece[1:-1]})")
        else:
            seen.add(piece)
            parts.append(f"(?P<{piece[1:-1]}>.+?)")
    return re.compile("".join(parts))

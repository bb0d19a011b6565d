"""The wording tables in another language: same keys, same placeholders, values told in that language too.

Nothing falls back to English here, as a page must never be half of each: what has no translation raises
:class:`Untranslated`, and whoever makes the page takes the English wording for the whole of it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, replace
from functools import lru_cache
from types import MappingProxyType
from typing import Any

from haleward.errors import HalewardError
from haleward.languages.catalogue import Catalogue
from haleward.languages.plurals import counted_by
from haleward.languages.texts import MOVEMENTS, tables_of_keys
from haleward.languages.values import Values, filled
from haleward.wording import MovementWording, Wording, placeholders

DRAFT_LINE = "Draft, not reviewed: this {0} is not for any person yet."
_KEPT_COLUMNS = frozenset({"movement_id", "posture", "effort_phase"})


class Untranslated(HalewardError):
    """A text that is needed has no translation."""

    def __init__(self, catalogue: Catalogue, what: str) -> None:
        super().__init__(f"{catalogue.english_name} has no translation of “{what}”.")
        self.what = what


class TranslatedWording(Wording):
    """The wording of one language. Texts for staff stay English; a person is never shown them."""

    def __init__(self, english: Wording, catalogue: Catalogue, *, draft: bool) -> None:
        self._tables = tables = tables_of_keys()
        texts, missing = {}, {}
        for key in english.keys:
            usual = english.template(key)
            texts[key] = usual
            if key in tables:
                found = catalogue.find(tables[key], usual, key)
                texts[key] = found
                if not found:
                    missing[key] = usual
        super().__init__(texts=texts, movements=english._movements, safety_rows=english._safety_rows)
        self.language, self.direction = catalogue.tag, catalogue.direction
        self.draft_line = DRAFT_LINE.format(catalogue.english_name) if draft else ""
        self.english = english
        self.catalogue = catalogue
        self.missing_texts: Mapping[str, str] = MappingProxyType(missing)  # English texts by key
        self._values = Values(english, catalogue)

    def template(self, key: str) -> str:
        """The text with its placeholders. Raises :class:`Untranslated` if it has none."""
        if key in self.missing_texts:
            raise Untranslated(self.catalogue, self.missing_texts[key])
        return super().template(key)

    def missing(self, key: str, values: Mapping[str, str]) -> tuple[str, ...]:
        """The placeholders without a value: those of the English text, so that both languages show the same lines."""
        return tuple(name for name in placeholders(self.english.template(key)) if not values.get(name))

    def text(self, key: str, values: Mapping[str, str]) -> str:
        """The sentence, its values in the language too. Raises :class:`Untranslated` for a value that is not."""
        self.english.text(key, values)  # says what is missing, in the words that staff read
        usual, template = self.english.template(key), self.template(key)
        told = {name: self.value(name, values[name]) for name in placeholders(template)}
        counted = counted_by(usual)
        if counted in told and key in self._tables:
            template = self.catalogue.counted(told[counted], self._tables[key], usual, key)
        return filled(template, told)

    def has_value(self, name: str, english: str) -> bool:
        """Whether this language can tell a value."""
        return self._values.shown(name, english) is not None

    def value(self, name: str, english: str) -> str:
        """A value as this language writes it."""
        shown = self._values.shown(name, english)
        if shown is None:
            raise Untranslated(self.catalogue, english)
        return shown

    def lacking_of(self, movement_id: str, posture: str) -> tuple[str, ...]:
        """The English texts of a movement that have no translation."""
        usual = super().movement(movement_id, posture)
        named = ((one.name, getattr(usual, one.name)) for one in fields(usual) if one.name not in _KEPT_COLUMNS)
        return tuple(
            english
            for column, english in named
            if english and not self.catalogue.find(MOVEMENTS, english, f"{movement_id}/{posture}/{column}")
        )

    def movement(self, movement_id: str, posture: str) -> MovementWording:
        """The words for a movement. Raises :class:`Untranslated` naming the first that is missing."""
        usual = super().movement(movement_id, posture)
        told: dict[str, Any] = {}
        for one in fields(usual):
            english = getattr(usual, one.name)
            if one.name in _KEPT_COLUMNS or not english:
                continue
            found = self.catalogue.find(MOVEMENTS, english, f"{movement_id}/{posture}/{one.name}")
            if not found:
                raise Untranslated(self.catalogue, english)
            told[one.name] = found
        return replace(usual, **told)


@lru_cache(maxsize=16)
def translated(wording: Wording, catalogue: Catalogue, *, draft: bool = False) -> TranslatedWording:
    """``wording`` in the language of ``catalogue``; what is made from a ``draft`` says on every page that it is one."""
    return TranslatedWording(wording, catalogue, draft=draft)

"""A session told in English and shown in another language: the English words keep the time, the pairs are shown.

The sheet is compiled from the English wording, as what is spoken stays English and times are measured in it. While it
is compiled, every sentence it asks for is noted with the same sentence of the other language, its values told in that
language too. A sheet of which one text has no pair is refused: nobody is shown half a session in each language.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import fields, replace
from typing import Any

from haleward.dose.model import Programme
from haleward.errors import HalewardError
from haleward.languages import Catalogue, TranslatedWording, Untranslated, translated
from haleward.record import Record
from haleward.session.compile import compile_session
from haleward.session.cue_sheet import Block, Cue, CueSheet, SheetExercise
from haleward.wording import MovementWording, Wording

_EXERCISE = (
    "title", "purpose", "setup", "breathing", "kit_line", "load_text", "dose_text", "easier", "harder", "faults",
    "stop_if", "alt_start", "alt_end", "low_vision", "band_setup",
)  # fmt: skip
_SHEET = ("before_lines", "after_lines", "plan_line", "how_hard")
_SENTENCE = re.compile(r"[^.؟?!]+[.؟?!]")
_LETTER = re.compile(r"[^\W\d_]")


class NotAllTranslated(HalewardError):
    """A session cannot be shown in a language; ``texts`` are the English texts without a translation."""

    def __init__(self, catalogue: Catalogue, texts: tuple[str, ...]) -> None:
        named = "; ".join(f"“{text}”" for text in texts[:3]) + ("; and more" if len(texts) > 3 else "")
        count = "1 text has" if len(texts) == 1 else f"{len(texts)} texts have"
        super().__init__(f"{catalogue.english_name}: {count} no translation for this session: {named}.")
        self.texts = texts


class Bilingual(Wording):
    """The English wording, which notes for each sentence it gives the one of the other language."""

    def __init__(self, english: Wording, other: TranslatedWording) -> None:
        super().__init__(texts=english._texts, movements=english._movements, safety_rows=english._safety_rows)
        self._other = other
        self.pairs: dict[str, str] = {}
        self.lacking: dict[str, None] = {}

    def text(self, key: str, values: Mapping[str, str]) -> str:
        """The English sentence."""
        sentence = super().text(key, values)
        try:
            self.pairs[sentence] = self._other.text(key, values)
        except Untranslated as error:
            self.lacking[error.what] = None
        return sentence

    def movement(self, movement_id: str, posture: str) -> MovementWording:
        """The English words of a movement."""
        words = super().movement(movement_id, posture)
        lacking = self._other.lacking_of(movement_id, posture)
        if lacking:
            self.lacking |= dict.fromkeys(lacking)
            return words
        other = self._other.movement(movement_id, posture)
        for one in fields(words):
            self._pair(getattr(words, one.name), getattr(other, one.name))
        self._pair(f"{words.title}.", f"{other.title}.")
        return words

    def _pair(self, english: str, other: str) -> None:
        """Both texts, and their sentences one by one where there are as many: some are shown by themselves."""
        self.pairs[english] = other
        parts, others = _SENTENCE.findall(english), _SENTENCE.findall(other)
        for place, part in enumerate(parts if len(parts) > 1 else ()):
            self.pairs[part.strip()] = others[place].strip() if len(others) == len(parts) else other


def compile_in_language(
    programme: Programme, part_key: str, record: Record, *, wording: Wording, catalogue: Catalogue, **others: Any
) -> CueSheet:
    """The cue sheet of :func:`compile_session`, with what is shown for each English text in ``translation``.

    Raises :class:`NotAllTranslated` naming what has no translation.
    """
    both = Bilingual(wording, translated(wording, catalogue))
    sheet = compile_session(programme, part_key, record, wording=both, **others)
    needed = dict.fromkeys(_texts(sheet))
    pairs = {text: shown for text in needed if (shown := both.pairs.get(text) or _number(text, sheet))}
    lacking = tuple(both.lacking) or tuple(text for text in needed if text not in pairs)
    if lacking:
        raise NotAllTranslated(catalogue, lacking)
    return replace(sheet, language=catalogue.tag, translation=tuple(pairs.items()))


def shown_sheet(sheet: CueSheet) -> CueSheet:
    """The sheet with every text as it is shown, for print and captions; times stay those of the English words."""
    if not sheet.translation:
        return sheet
    told = dict(sheet.translation)
    return replace(
        sheet,
        exercises=tuple(_in_words(each, _EXERCISE, told) for each in sheet.exercises),
        frame=tuple(_in_words(each, _EXERCISE, told) for each in sheet.frame),
        blocks=tuple(_shown_block(block, told) for block in sheet.blocks),
        effort_anchors=tuple((number, told[text]) for number, text in sheet.effort_anchors),
        **{name: _shown(getattr(sheet, name), told) for name in _SHEET},
        translation=(),
    )


def _number(text: str, sheet: CueSheet) -> str:
    """A count that has no line of its own is shown in digits; a text without letters as it is."""
    counts = (cue for block in sheet.blocks for cue in block.cues if cue.kind == "count" and cue.text == text)
    cue = next(counts, None)
    return str(cue.repetition) if cue else "" if _LETTER.search(text) else text


def _texts(sheet: CueSheet) -> Iterator[str]:
    """Every text of the sheet that a person may be shown."""
    for exercise in (*sheet.exercises, *sheet.frame):
        for name in _EXERCISE:
            yield from _each(getattr(exercise, name))
    for block in sheet.blocks:
        yield from _each((block.title, *block.lines, *(cue.text for cue in block.cues)))
    for name in _SHEET:
        yield from _each(getattr(sheet, name))
    yield from _each(tuple(text for _, text in sheet.effort_anchors))


def _each(value: str | tuple[str, ...]) -> Iterator[str]:
    yield from (text for text in ((value,) if isinstance(value, str) else value) if text)


def _shown(value: str | tuple[str, ...], told: Mapping[str, str]) -> Any:
    if isinstance(value, str):
        return told[value] if value else value
    return tuple(told[text] if text else text for text in value)


def _in_words(exercise: SheetExercise, names: tuple[str, ...], told: Mapping[str, str]) -> SheetExercise:
    return replace(exercise, **{name: _shown(getattr(exercise, name), told) for name in names})


def _shown_block(block: Block, told: Mapping[str, str]) -> Block:
    cues: tuple[Cue, ...] = tuple(replace(cue, text=_shown(cue.text, told)) for cue in block.cues)
    return replace(block, title=_shown(block.title, told), lines=_shown(block.lines, told), cues=cues)

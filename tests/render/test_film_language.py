"""The film's pictures in another language: its words, its direction, its letters joined, the voice in English."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from haleward.errors import HalewardError
from haleward.languages import translated
from haleward.render import film_text
from haleward.render.captions import captions, web_vtt
from haleward.render.film_draw import Painter
from haleward.render.film_plan import Card, Shot, Strip, Turn, movements, shots_of
from haleward.render.film_planes import SIZES, Planes, as_painted
from haleward.render.film_scenes import Look
from haleward.render.film_text import LEADING, SMALLEST, RightToLeft
from haleward.render.sound import spoken_texts
from haleward.session.bilingual import compile_in_language, shown_sheet
from haleward.session.cue_sheet import CueSheet
from haleward.wording import default_wording
from tests.languages.whole import whole_catalogue
from tests.render.filmed import PLAN, TOLD
from tests.session.people import PLAIN
from tests.session.samples import SERVICE, TODAY

ENGLISH = re.compile(r"[A-Za-z]{2,}")
ARABIC = re.compile(r"[\u0621-\u064a]")
WORDS = {tag: translated(default_wording(), whole_catalogue(tag, *SERVICE.values.values())) for tag in ("ar", "de")}
SMALL = SIZES["small"]


def sheet_in(tag: str) -> CueSheet:
    return compile_in_language(
        PLAN, "one", PLAIN, service=SERVICE, made_on=TODAY, catalogue=WORDS[tag].catalogue, **TOLD
    )


SHEETS = {tag: sheet_in(tag) for tag in WORDS}


def english_in(text: str) -> set[str]:
    """English words but for the person's name and goal, which stay as they were said."""
    return set(ENGLISH.findall(text)) - set(ENGLISH.findall(f"Ada {PLAIN.goal}"))


def texts_of(shot: Shot) -> list[str]:
    shown = shot.shown
    if isinstance(shown, Card):
        return [shown.heading, shown.text]
    strip = shown.strip
    return [*(text for _, text in (*shown.breaths, *shown.words)), strip.of, strip.set_line]


@pytest.mark.parametrize("tag", WORDS)
def test_every_text_is_in_the_language_and_fits_its_room(tag: str) -> None:
    seen = shown_sheet(SHEETS[tag])
    shots = shots_of(seen, WORDS[tag])
    texts = {text for shot in shots for text in texts_of(shot)} | {each.title for each in movements(seen)}
    if tag == "ar":
        assert english_in(" ".join(texts)) == set()
    else:
        assert {"Durchgang 1 von 2", "von 3"} <= texts
    painter = Painter(SIZES["large"], emergency="", version="", direction=WORDS[tag].direction)
    for card in {shot.shown for shot in shots if isinstance(shot.shown, Card)}:
        top, width = (316 if card.big else 170, 560) if card.exercise >= 0 else (230, 1180)
        lines = painter.text.lines(card.text, SMALLEST, bold=False, width=width)
        rows = len(seen.effort_anchors) * 46 if card.scale else 0
        assert top + (len(lines) - 1) * SMALLEST * LEADING <= SIZES["large"].split - 24 - rows, card


@pytest.mark.parametrize("tag", WORDS)
def test_times_and_speech_stay_those_of_the_english_words(tag: str) -> None:
    usual = replace(SHEETS[tag], translation=())
    assert [(shot.start, shot.length) for shot in shots_of(shown_sheet(SHEETS[tag]), WORDS[tag])] == [
        (shot.start, shot.length) for shot in shots_of(usual)
    ]
    assert not any(ARABIC.search(text) for text in spoken_texts(SHEETS[tag]))
    seen = shown_sheet(SHEETS[tag])
    assert web_vtt(seen) == web_vtt(SHEETS[tag])
    told = [one.text for one in captions(seen)]
    assert len(told) == len(list(captions(usual)))
    assert tag == "de" or english_in(" ".join(told)) == set()


def picture(*, direction: str, draft: str = "") -> Any:
    painter = Painter(SMALL, emergency="", version="", direction=direction, draft=draft)
    planes = Planes(SMALL)
    for part in (
        painter.heading("ثني الذراع"),
        painter.column(word="اثن", breath="", stop=""),
        painter.figure([]),
        painter.strip(Strip("2", "من", 2, 3, "")),
    ):
        planes.put(part)
    return as_painted(planes.frame())


def inked(pixels: Any) -> tuple[int, int]:
    """How much is written on the left and on the right half."""
    dark = pixels[..., :3].astype(int).sum(axis=2) < 500
    half = dark.shape[1] // 2
    return int(dark[:, :half].sum()), int(dark[:, half:].sum())


def test_a_language_from_right_to_left_begins_at_the_right_edge() -> None:
    left, right = inked(picture(direction="rtl")[: SMALL.height // 9])
    assert left == 0 < right
    strip = picture(direction="rtl")[SMALL.split :]
    assert inked(strip)[1] > inked(strip)[0]
    assert inked(picture(direction="rtl", draft="Draft")[: SMALL.height // 9])[0] > 0


def test_arabic_letters_are_joined() -> None:
    text = RightToLeft()
    together = text._wide("سلام", 100, bold=False)
    apart = sum(text._wide(letter, 100, bold=False) for letter in "سلام")
    assert together < 0.8 * apart
    assert text._wide("سلام سلام", 50, bold=False) == pytest.approx(text._wide("سلام سلام", 100, bold=False) / 2)


def test_a_telephone_number_is_never_broken_into_two_lines() -> None:
    lines = RightToLeft().lines("اتصل بالرقم \u2066020 7946 0000\u2069 الآن", 40, bold=False, width=200)
    assert any("020\u00a07946\u00a00000" in line for line in lines)
    assert len(lines) > 1


def test_a_draft_is_marked_on_every_picture() -> None:
    draft = translated(default_wording(), WORDS["ar"].catalogue, draft=True)
    look = Look.of(PLAIN, size="small", emergency="", version="", wording=draft)
    assert (look.draft, look.direction) == ("Draft, not reviewed", "rtl")
    assert Look.of(PLAIN, size="small", emergency="", version="").draft == ""
    assert np.any(picture(direction="rtl", draft=look.draft) != picture(direction="rtl"))


def test_a_missing_arabic_font_is_one_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(film_text, "ARABIC", ("Gone.ttf",))
    with pytest.raises(HalewardError, match=r"The font Gone\.ttf is missing"):
        Painter(SMALL, emergency="", version="", direction="rtl")


def test_the_strip_counts_the_same_in_every_language() -> None:
    strips = [
        [
            shot.shown.strip.count
            for shot in shots_of(shown_sheet(SHEETS[tag]), WORDS[tag])
            if isinstance(shot.shown, Turn)
        ]
        for tag in WORDS
    ]
    assert strips[0] == strips[1] != []

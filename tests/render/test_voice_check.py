"""A voice file is tried before it is used: it must speak, at a pace that fits films, and say nearly everything."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hibari.tts import ASSETS

from haleward.errors import HalewardError
from haleward.render.voice import SAMPLE_RATE, Phrases, Samples, Unsayable, digest_of, voice_of
from haleward.render.voice_check import check_voice, phrases_to_hear, report_of
from tests.render.listening import Hum

BRISK = Hum(seconds_a_letter=0.02)


class Partly(Hum):
    """A voice that has no sound for some words."""

    def __init__(self, *lacking: str) -> None:
        super().__init__(seconds_a_letter=0.02, name="partly")
        self._lacking = lacking

    def say(self, text: str, *, speed: float) -> Samples:
        sound = super().say(text, speed=speed)
        return np.zeros_like(sound) if text in self._lacking else sound


def another(folder: Path, note: bytes) -> Path:
    """The model that ships with another note in it: another file that speaks."""
    file = folder / "own.onnx"
    file.write_bytes((Path(ASSETS) / "hibari.onnx").read_bytes() + bytes([0x32, len(note)]) + note)
    return file


def test_a_voice_that_says_everything_in_time_has_nothing_to_report() -> None:
    report = check_voice(BRISK, BRISK)
    assert (report.faults, report.otherwise, report.pace) == ((), (), 1.0)


def test_a_voice_of_another_rate_is_refused() -> None:
    (fault,) = check_voice(Hum(seconds_a_letter=0.04), BRISK).faults
    assert "2.0 times as long" in fault
    assert f"{SAMPLE_RATE} samples" in fault


def test_a_few_phrases_without_sound_are_named_and_many_are_refused() -> None:
    few = check_voice(Partly("Seven", "Halfway."), BRISK)
    assert (few.faults, few.otherwise) == ((), ("Seven", "Halfway."))
    (fault,) = check_voice(Partly(*phrases_to_hear()[:6]), BRISK).faults
    assert "6 of 50 phrases" in fault
    assert "“One”" in fault


class Drawling(Hum):
    """A voice that takes its time over one phrase."""

    def say(self, text: str, *, speed: float) -> Samples:
        return super().say(text * 10 if text == "Halfway." else text, speed=speed)


def test_a_phrase_too_long_for_its_time_is_named() -> None:
    assert check_voice(Drawling(seconds_a_letter=0.02), BRISK).otherwise == ("Halfway.",)


def test_what_a_voice_cannot_say_the_usual_one_says_and_it_is_not_tried_again(tmp_path: Path) -> None:
    usual = Hum(seconds_a_letter=0.02, name="usual")
    own = Partly("Seven")
    said = Phrases(own, tmp_path, otherwise=Phrases(usual, tmp_path)).say("Seven")
    assert np.array_equal(said, Phrases(usual).say("Seven"))
    again = Partly("Seven")
    phrases = Phrases(again, tmp_path, otherwise=Phrases(usual, tmp_path))
    assert phrases.lacking(["Seven"]) == []
    assert np.array_equal(said, phrases.say("Seven"))
    assert again.said == []
    with pytest.raises(Unsayable, match='no sound for "Seven"'):
        Phrases(again, tmp_path).say("Seven")


def test_a_file_replaced_under_its_name_is_another_voice(tmp_path: Path) -> None:
    file = another(tmp_path, b"first")
    first, mark = voice_of(file), digest_of(file)
    assert voice_of(file) is first
    another(tmp_path, b"second")
    assert digest_of(file) != mark
    assert voice_of(file).name != first.name


def test_a_model_for_something_else_and_a_file_that_hangs_are_one_sentence(tmp_path: Path) -> None:
    letter = tmp_path / "letter.onnx"
    letter.write_text("Dear all", encoding="utf-8")
    assert report_of(letter).faults == (
        "The voice file letter.onnx is not a voice that can be used here; choose another.",
    )
    assert "more than 0 seconds" in report_of(letter, limit_s=0.01).faults[0]
    with pytest.raises(HalewardError, match="not a voice that can be used"):
        voice_of(Path(ASSETS) / "oov.onnx")

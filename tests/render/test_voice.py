"""Speech: from the first sound on, level, the same each time, kept once for everybody, and understood."""

from __future__ import annotations

import csv
import sys
from pathlib import Path

import numpy as np
import pytest

from haleward.errors import HalewardError
from haleward.render.sound import WAITS_MS
from haleward.render.voice import (
    FASTEST,
    PEAK,
    SAMPLE_RATE,
    SPEED,
    NeuralVoice,
    Phrases,
    Voice,
    as_spoken,
    trimmed,
    voice_of,
)
from haleward.session.timing import speech_ms
from haleward.wording import WORDING_FOLDER, default_wording, spoken
from tests.render.listening import Hum, Mute, loudness_lufs, word_errors, words_heard, words_of

EVERYDAY = (
    "Seven", "Twelve", "Two more.", "Last one coming.", "Bend your arms up", "Lower slowly",
    "Sit tall on a firm chair.", "Put both feet flat on the floor.", "Let your arms hang by your sides.",
    "Keep a firm chair within reach.", "Stand tall with your feet hip width apart.", "Breathe out as you lift.",
    "Stop if your elbow or wrist hurts.", "That is the set. Relax.", "Ten seconds left. Get ready.",
    "Take your place again.", "Change legs.", "Rest now. Shake out your arms.", "Keep your shoulders down.",
    "Hold one hand weight in each hand.",
)  # fmt: skip


@pytest.fixture(scope="module")
def voice() -> Voice:
    return voice_of()


@pytest.fixture(scope="module")
def phrases(voice: Voice, tmp_path_factory: pytest.TempPathFactory) -> Phrases:
    return Phrases(voice, tmp_path_factory.mktemp("phrases"))


def test_it_works(phrases: Phrases):
    assert 0.2 * SAMPLE_RATE < len(phrases.say("Seven")) < SAMPLE_RATE


def test_a_sound_is_cut_to_where_it_begins_and_ends():
    tone = np.sin(np.arange(SAMPLE_RATE) / 10).astype(np.float32) * 0.3
    cut = trimmed(np.pad(tone, (7_000, 9_000)))
    assert len(cut) == pytest.approx(SAMPLE_RATE, abs=1_000)
    assert np.nonzero(np.abs(cut) > 0.01)[0][0] < 150


def test_a_voice_without_sound_is_told_in_one_sentence():
    with pytest.raises(HalewardError, match="gave no sound"):
        trimmed(np.zeros(SAMPLE_RATE, np.float32))


def test_the_same_words_sound_the_same(voice: Voice):
    assert np.array_equal(voice.say("Lower slowly.", speed=SPEED), voice.say("Lower slowly.", speed=SPEED))


def test_a_sentence_is_said_once_and_kept_for_the_next_person(tmp_path: Path):
    first = Phrases(Hum(), tmp_path).say("Stand tall.")
    assert np.array_equal(first, Phrases(Mute("hum 1"), tmp_path).say("Stand tall."))
    with pytest.raises(AssertionError, match="said again"):
        Phrases(Mute("another voice"), tmp_path).say("Stand tall.")


def test_a_damaged_file_is_made_anew(tmp_path: Path):
    first = Phrases(Hum(), tmp_path).say("Stand tall.")
    (kept,) = tmp_path.iterdir()
    kept.write_bytes(kept.read_bytes()[:-100])
    again = Hum()
    assert np.array_equal(first, Phrases(again, tmp_path).say("Stand tall."))
    assert "Stand tall." in again.said


def test_a_sentence_longer_than_its_time_is_said_a_little_faster():
    phrases = Phrases(Hum())
    usual = len(phrases.say("Keep breathing as you go"))
    room_ms = usual * 1000 // SAMPLE_RATE * 9 // 10
    assert len(phrases.say("Keep breathing as you go", within_ms=room_ms)) * 1000 <= room_ms * SAMPLE_RATE
    assert FASTEST <= 1.2 * SPEED + 1e-9


def test_a_sentence_that_cannot_fit_is_a_fault_and_never_said_over_another():
    with pytest.raises(HalewardError, match=r'"Keep breathing as you go" takes .* s to say and has 0\.5 s'):
        Phrases(Hum()).say("Keep breathing as you go", within_ms=500)


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("Hold 2 kg.", "Hold 2 kilograms."),
        ("Call 999 now.", "Call nine nine nine now."),
        ("Take your GTN spray.", "Take your G T N spray."),
        ("Ring 01632 999111.", "Ring 01632 999111."),
    ],
)
def test_what_a_voice_would_say_wrongly_is_put_as_it_is_said(written: str, said: str):
    assert as_spoken(written) == said


def test_speech_is_level_and_never_clips(phrases: Phrases):
    together = np.concatenate([phrases.say(text) for text in EVERYDAY])
    assert loudness_lufs(together) == pytest.approx(-19, abs=1)
    assert np.abs(together).max() <= PEAK


def test_words_and_numbers_fit_the_time_that_the_cue_sheet_plans(phrases: Phrases):
    with (WORDING_FOLDER / "movements.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    words = sorted({row[way] for row in rows for way in ("move_out", "move_back", "hold") if row[way]})
    for text in (*(spoken(number).capitalize() for number in range(1, 21)), *words[::4]):
        fits_ms = speech_ms(text) + WAITS_MS
        assert len(phrases.say(text, within_ms=fits_ms)) * 1000 <= fits_ms * SAMPLE_RATE, text


def test_sentences_fit_the_time_that_the_cue_sheet_plans(phrases: Phrases):
    wording = default_wording()
    keys = [key for key in wording.keys if key.startswith(("rest_", "half", "set_done", "two_more", "last_one", "why"))]
    texts = [wording.template(key) for key in keys if "{" not in wording.template(key)]
    assert len(texts) > 20
    for text in texts[::3]:
        phrases.say(text, within_ms=speech_ms(text))


def test_a_recogniser_understands_what_is_said(phrases: Phrases):
    told = EVERYDAY[1::3]  # a recogniser takes its time
    meant = [words_of(text) for text in told]
    known = {word for words in meant for word in words}
    heard = words_heard([phrases.say(text) for text in told], known)
    errors = sum(word_errors(one, other) for one, other in zip(meant, heard, strict=True))
    assert errors / sum(map(len, meant)) < 0.2, heard


def test_a_voice_file_that_is_not_there_is_told_in_one_sentence(tmp_path: Path):
    with pytest.raises(HalewardError, match=r"none\.onnx is not there"):
        NeuralVoice(tmp_path / "none.onnx")


def test_a_file_that_is_no_voice_is_told_in_one_sentence(tmp_path: Path):
    file = tmp_path / "letter.onnx"
    file.write_text("Dear all", encoding="utf-8")
    with pytest.raises(HalewardError, match="is not a voice that can be used here"):
        NeuralVoice(file)


def test_without_the_packages_the_set_to_install_is_named(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setitem(sys.modules, "hibari", None)
    with pytest.raises(HalewardError, match=r"start\.py setup film"):
        NeuralVoice()

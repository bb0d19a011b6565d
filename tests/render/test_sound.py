"""A session's sound: counts on the beat, nothing over anything else, a countdown in seconds, silence encoded once."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from haleward.errors import HalewardError
from haleward.movement.library import default_library
from haleward.render.captions import captions, web_vtt
from haleward.render.sound import COUNTDOWN, block_sound, session_sound, spoken_cues, wav
from haleward.render.sound_packets import FRAME, GRID, OPTIONS, encoded, stretch_packets, stretches
from haleward.render.voice import SAMPLE_RATE, Phrases, Samples, voice_of
from haleward.session.compile import compile_session
from haleward.session.cue_sheet import Cue, CueSheet
from haleward.wording import default_wording
from tests.render.listening import Hum, decoded, onset_ms
from tests.session.samples import RECORD, SERVICE, TODAY, exercise, programme, protocol

BEAT_MS = 20


def sheet_of(*exercises: object) -> CueSheet:
    """A session without warm-up and cool-down."""
    return compile_session(
        programme(*exercises),
        "one",
        RECORD,
        protocol=protocol(),
        library=default_library(),
        wording=default_wording(),
        service=SERVICE,
        made_on=TODAY,
    )


def only(sheet: CueSheet, *kinds: str) -> CueSheet:
    """The session with some kinds of blocks alone, one after another: less to say, all else as it is."""
    blocks, at_ms = [], 0
    for block in sheet.blocks:
        if block.kind in kinds:
            moved = at_ms - block.start_ms
            cues = tuple(replace(cue, start_ms=cue.start_ms + moved) for cue in block.cues)
            blocks.append(replace(block, start_ms=at_ms, cues=cues))
            at_ms += block.length_ms
    return replace(sheet, blocks=tuple(blocks), length_ms=at_ms)


SHEET = sheet_of(
    exercise(sets=1, repetitions=12),
    exercise("side_leg_raise", "hand_supported", each_side=True, region="hip", sets=1, repetitions=10),
)


@pytest.fixture(scope="module")
def heard(tmp_path_factory: pytest.TempPathFactory, said: Path) -> Samples:
    """The whole session as a player decodes it, on the grid of a film."""
    path = tmp_path_factory.mktemp("sound") / "session.m4a"
    encoded(session_sound(SHEET, Phrases(voice_of(), said), grid=GRID), path)
    return decoded(path)


def humming(sheet: CueSheet, **more: float) -> Samples:
    return session_sound(sheet, Phrases(Hum(**more)))


def test_every_count_is_heard_on_the_beat_over_the_whole_session(heard: Samples):
    counts = [cue for cue in spoken_cues(SHEET) if cue.kind == "count"]
    late_ms = [onset_ms(heard, cue.start_ms - 100) - cue.start_ms for cue in counts]
    assert len(counts) == 32
    assert max(map(abs, late_ms)) < BEAT_MS, late_ms


def test_the_sound_is_as_long_as_the_session(heard: Samples):
    assert len(heard) / SAMPLE_RATE * 1000 == pytest.approx(SHEET.length_ms, abs=1000 * FRAME / SAMPLE_RATE + 1)


def test_the_countdown_says_a_number_a_second(heard: Samples):
    cue = next(cue for cue in spoken_cues(SHEET) if cue.wording_key == COUNTDOWN)
    for second in range(4):
        at_ms = cue.start_ms + 1000 * second
        assert onset_ms(heard, at_ms - 150) == pytest.approx(at_ms, abs=BEAT_MS)


def test_no_sentence_is_said_over_another():
    alone = float(np.abs(Phrases(Hum()).say("Lower slowly")).max())
    assert np.abs(humming(SHEET)).max() <= alone + 1e-6
    assert np.abs(humming(SHEET, seconds_a_letter=0.07)).max() <= alone + 1e-6
    on_the_grid = session_sound(SHEET, Phrases(Hum(seconds_a_letter=0.07)), grid=GRID)
    assert np.abs(on_the_grid).max() <= alone + 1e-6


def test_a_long_word_moves_what_follows_it_but_never_a_count():
    said = [Cue(0, 400, "count", "Seventeen"), Cue(400, 800, "say", "Lower"), Cue(2000, 400, "count", "Two")]
    block = replace(SHEET.blocks[0], cues=tuple(said), length_ms=4000)
    sound = humming(replace(SHEET, blocks=(block,), length_ms=4000), seconds_a_letter=0.06)
    phrases = Phrases(Hum(seconds_a_letter=0.06))
    alone = [phrases.say(text) for text in ("Seventeen", "Lower", "Two")]
    assert len(alone[0]) > SAMPLE_RATE * 0.4  # longer than planned
    assert np.abs(sound).sum() == pytest.approx(sum(np.abs(one).sum() for one in alone))
    assert np.abs(sound).max() <= np.abs(alone[0]).max()
    assert onset_ms(sound, 1900) == pytest.approx(2000, abs=BEAT_MS)


def test_what_cannot_be_said_in_time_is_a_fault():
    with pytest.raises(HalewardError, match="shorten the line"):
        humming(SHEET, seconds_a_letter=0.2)


def test_one_block_is_heard_by_itself():
    whole, phrases = humming(SHEET), Phrases(Hum())
    block = SHEET.blocks[2]
    part = block_sound(SHEET, 2, phrases)
    start = block.start_ms * SAMPLE_RATE // 1000
    assert np.array_equal(part, whole[start : start + len(part)])
    assert len(part) == block.length_ms * SAMPLE_RATE // 1000
    with pytest.raises(HalewardError, match="no stretch 99"):
        block_sound(SHEET, 99, phrases)


def test_a_silence_left_out_of_the_encoder_is_still_in_the_sound(tmp_path: Path):
    tone = np.sin(np.arange(SAMPLE_RATE) / 8).astype(np.float32) * 0.3
    sound = np.concatenate([tone, np.zeros(SAMPLE_RATE * 9 + 77, np.float32), tone])
    encoded(sound, tmp_path / "tones.m4a")
    back = decoded(tmp_path / "tones.m4a")[: len(sound)]
    assert np.corrcoef(back, sound)[0, 1] > 0.98
    assert np.abs(back[SAMPLE_RATE * 2 : SAMPLE_RATE * 9]).max() < 1e-4
    assert (tmp_path / "tones.m4a").stat().st_size < 25_000


def test_what_is_said_again_on_the_grid_is_the_same_to_the_encoder():
    every = stretches(session_sound(SHEET, Phrases(Hum()), grid=GRID))
    exact = stretches(session_sound(SHEET, Phrases(Hum())))
    assert len({one.digest for one in every}) < 0.8 * len({one.digest for one in exact})
    assert all(one.frames.any(axis=1).all() for one in every)


def test_a_stretch_is_encoded_the_same_each_time():
    frames = np.sin(np.arange(4 * FRAME) / 8).astype(np.float32).reshape(-1, FRAME) * 0.3
    assert stretch_packets(frames) == stretch_packets(frames)
    assert OPTIONS == {"aac_coder": "fast"}


def test_sound_that_begins_and_ends_with_the_session_is_whole(tmp_path: Path):
    tone = np.sin(np.arange(SAMPLE_RATE) / 8).astype(np.float32) * 0.3
    encoded(tone, tmp_path / "tone.m4a")
    back = decoded(tmp_path / "tone.m4a")
    assert len(tone) <= len(back) < len(tone) + FRAME
    assert np.corrcoef(back[: len(tone)], tone)[0, 1] > 0.98


def test_a_wav_file_has_sixteen_bits():
    assert wav(np.zeros(10, np.float32))[:4] == b"RIFF"
    assert len(wav(np.zeros(10, np.float32))) == 44 + 20


def test_captions_say_all_that_is_said_and_none_overlaps():
    shown = list(captions(SHEET))
    assert [one.text for one in shown] == [cue.text for cue in spoken_cues(SHEET)]
    for one, following in pairwise(shown):
        assert one.start_ms < one.end_ms <= following.start_ms


def test_captions_as_web_vtt_escape_what_would_be_markup():
    block = replace(SHEET.blocks[0], cues=(Cue(61_500, 900, "say", "Less <b> & more"),))
    text = web_vtt(replace(SHEET, blocks=(block,)))
    assert text.startswith("WEBVTT\n\n00:01:01.500 --> 00:01:")
    assert "Less &lt;b> &amp; more" in text

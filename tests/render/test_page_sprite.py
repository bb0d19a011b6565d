"""The recorded voice of a page holds every sentence once and stands behind the first view."""

import io

import av
import numpy as np
import pytest

from haleward.render.page_sprite import LATE_MS, sprite_of
from haleward.render.sound import with_room
from haleward.render.voice import SAMPLE_RATE, Phrases
from tests.render.listening import Hum, onset_ms
from tests.render.test_page import PLAIN, SERVICE, SHORT, TODAY, TOLD, compile_session, session_page

SHEET = compile_session(SHORT, "one", PLAIN, service=SERVICE, made_on=TODAY, **TOLD)


@pytest.fixture(scope="module")
def sprite():
    return sprite_of(SHEET, Phrases(Hum()))


def test_every_sentence_that_is_said_is_in_it_once(sprite):
    said = {cue.text for cue, _ in with_room(SHEET) if cue.wording_key != "start_3"}
    assert sorted(text for text, _, _ in sprite.sentences) == sorted(said)


def test_every_sentence_fits_its_time_or_lets_the_next_wait_a_moment(sprite):
    lengths = {text: length for text, _, length in sprite.sentences}
    for cue, room_ms in with_room(SHEET):
        if cue.wording_key != "start_3":
            assert lengths[cue.text] <= room_ms + LATE_MS


def test_every_sentence_is_heard_where_the_sprite_says(sprite):
    with av.open(io.BytesIO(sprite.audio)) as file:
        frames = [frame.to_ndarray().reshape(-1) for frame in file.decode(audio=0)]
    sound = np.concatenate(frames).astype(np.float32)
    assert len(sound) / SAMPLE_RATE > 10
    for _text, from_ms, _length in sprite.sentences:
        assert abs(onset_ms(sound, max(0, from_ms - 60)) - from_ms) <= 60


def test_the_recording_stands_behind_all_that_the_first_view_needs(sprite):
    html = session_page(SHEET, record=PLAIN, service=SERVICE, **TOLD, sprite=sprite)
    assert html.index('id="sprite"') > html.index('"use strict"')
    assert html.count("<script") == 3

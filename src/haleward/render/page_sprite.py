"""The recorded voice of a page: every sentence of its session once, all in one sound, and where each is."""

from __future__ import annotations

import base64
import io
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

import numpy as np

from haleward.render.sound import COUNTDOWN, film_package, with_room
from haleward.render.voice import SAMPLE_RATE, Phrases, Samples
from haleward.session.cue_sheet import CueSheet

BIT_RATE = 32_000
APART_MS = 200  # silence between two sentences, so that none is heard in another
LATE_MS = 300  # the page lets a sentence end, and begins the next so much later at most
_FRAME = 1152  # samples of one MP3 frame


@dataclass(frozen=True)
class Sprite:
    """One MP3 and its sentences as (text, start, length). [ms]"""

    audio: bytes
    sentences: tuple[tuple[str, int, int], ...]

    def plain(self) -> dict[str, Any]:
        """As the page carries it."""
        return {
            "audio": base64.b64encode(self.audio).decode("ascii"),
            "sentences": [list(one) for one in self.sentences],
        }

    @classmethod
    def from_plain(cls, data: dict[str, Any]) -> Sprite:
        """What :meth:`plain` gave."""
        return cls(base64.b64decode(data["audio"]), tuple((text, at, long) for text, at, long in data["sentences"]))


def sprite_of(sheet: CueSheet, phrases: Phrases) -> Sprite:
    """The sprite of a session; a sentence that has little time somewhere is said briskly everywhere.

    The countdown is left to the clock's own numbers. Raises one sentence when the packages of the set ``film`` lack.
    """
    rooms: dict[str, int] = {}
    for cue, room_ms in with_room(sheet):
        if cue.wording_key != COUNTDOWN:
            rooms[cue.text] = min(room_ms, rooms.get(cue.text, room_ms))
    parts: list[Samples] = []
    sentences: list[tuple[str, int, int]] = []
    at = 0
    for text, room_ms in rooms.items():
        said = phrases.say(text, within_ms=room_ms + LATE_MS)
        sentences.append((text, at * 1000 // SAMPLE_RATE, len(said) * 1000 // SAMPLE_RATE))
        gap = np.zeros(APART_MS * SAMPLE_RATE // 1000, np.float32)
        parts += [said, gap]
        at += len(said) + len(gap)
    return Sprite(_mp3(np.concatenate(parts)), tuple(sentences))


def _mp3(sound: Samples) -> bytes:
    """MP3: of all codings the one that most devices decode."""
    av = film_package("av")
    out = io.BytesIO()
    with av.open(out, "w", format="mp3") as file:
        stream = file.add_stream("libmp3lame", rate=SAMPLE_RATE, layout="mono")
        stream.bit_rate = BIT_RATE
        for at in range(0, len(sound), _FRAME):
            frame = av.AudioFrame.from_ndarray(np.ascontiguousarray(sound[None, at : at + _FRAME]), "fltp", "mono")
            frame.sample_rate, frame.pts, frame.time_base = SAMPLE_RATE, at, Fraction(1, SAMPLE_RATE)
            file.mux(stream.encode(frame))
        file.mux(stream.encode(None))
    return out.getvalue()

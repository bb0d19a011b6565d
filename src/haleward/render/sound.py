"""The sound of a session: what the cue sheet says, each sentence at its moment, nothing over anything else."""

from __future__ import annotations

import io
import wave
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from haleward.errors import HalewardError
from haleward.render.voice import MISSING, SAMPLE_RATE, Phrases, Samples
from haleward.session.cue_sheet import Cue, CueSheet

COUNTDOWN = "start_3"  # the key of the sentence that counts down, "Three, two, one, and begin"
WAITS_MS = 350  # a word after a count may begin this much later, when the count is a long one ("seventeen")


def spoken_cues(sheet: CueSheet) -> tuple[Cue, ...]:
    """Everything that is said, in order."""
    said = [cue for block in sheet.blocks for cue in block.cues if cue.kind in ("say", "count") and cue.text]
    return tuple(sorted(said, key=lambda cue: cue.start_ms))


def with_room(sheet: CueSheet) -> Iterator[tuple[Cue, int]]:
    """Each spoken cue with the time it has until the next one begins, or the session ends. [ms]"""
    cues = spoken_cues(sheet)
    ends = [*(cue.start_ms for cue in cues[1:]), sheet.length_ms]
    for cue, end_ms in zip(cues, ends, strict=True):
        yield cue, end_ms - cue.start_ms


def session_sound(
    sheet: CueSheet,
    phrases: Phrases,
    *,
    told: Callable[[float], None] = lambda _share: None,
    grid: int = 1,
) -> Samples:
    """The whole session as samples; a sentence's first sound is at its cue's moment. ``told`` hears the share done.

    With a ``grid`` each sentence begins at the nearest multiple of so many samples: then more of what is said twice is
    the same to an encoder.
    """
    return _laid(sheet, phrases, 0, sheet.length_ms, told, grid)


def block_sound(sheet: CueSheet, index: int, phrases: Phrases) -> Samples:
    """One block of the session as samples. Raises :class:`HalewardError` when there is no such block."""
    if not 0 <= index < len(sheet.blocks):
        raise HalewardError(f"The session has no stretch {index}; it has 0 to {len(sheet.blocks) - 1}.")
    block = sheet.blocks[index]
    return _laid(sheet, phrases, block.start_ms, block.start_ms + block.length_ms, lambda _share: None, 1)


def spoken_texts(sheet: CueSheet) -> list[str]:
    """Everything that is said in one breath, each once."""
    return list(dict.fromkeys(one.text for one in _utterances(sheet)))


def _laid(
    sheet: CueSheet, phrases: Phrases, from_ms: int, to_ms: int, told: Callable[[float], None], grid: int
) -> Samples:
    track = np.zeros(_samples(to_ms - from_ms), np.float32)
    said = [one for one in _utterances(sheet) if from_ms <= one.start_ms < to_ms]
    quiet_from = 0  # sample at which the last sentence has ended
    for number, one in enumerate(said):
        told((one.start_ms - from_ms) / (to_ms - from_ms))
        planned = _nearest(one.start_ms - from_ms, grid)
        at = planned if one.on_the_beat else max(planned, -(-quiet_from // grid) * grid)
        following = said[number + 1] if number + 1 < len(said) else None
        end = min(_nearest(following.latest_ms - from_ms, grid) if following else len(track), len(track))
        sound = phrases.say(one.text, within_ms=(end - at) * 1000 // SAMPLE_RATE)
        track[at : at + len(sound)] += sound
        quiet_from = at + len(sound)
    return track


def _nearest(at_ms: int, grid: int) -> int:
    """The sample of a moment, on the grid."""
    return (_samples(at_ms) + grid // 2) // grid * grid


@dataclass(frozen=True)
class _Utterance:
    """Something said in one breath; what is not on the beat may wait a little for the word before it to end."""

    start_ms: int
    text: str
    on_the_beat: bool

    @property
    def latest_ms(self) -> int:
        return self.start_ms + (0 if self.on_the_beat else WAITS_MS)


def _utterances(sheet: CueSheet) -> Iterator[_Utterance]:
    """What is said, in order; of a countdown each number by itself, one a second."""
    for cue in spoken_cues(sheet):
        if cue.wording_key == COUNTDOWN:
            for second, part in enumerate(cue.text.split(",")):
                yield _Utterance(cue.start_ms + second * 1000, part.strip().rstrip("."), on_the_beat=True)
        else:
            yield _Utterance(cue.start_ms, cue.text, on_the_beat=cue.kind == "count")


def _samples(length_ms: int) -> int:
    return length_ms * SAMPLE_RATE // 1000


def wav(sound: Samples) -> bytes:
    """A WAV file, 16 bit."""
    out = io.BytesIO()
    with wave.open(out, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(SAMPLE_RATE)
        file.writeframes((np.clip(sound, -1, 1) * 32767).astype("<i2").tobytes())
    return out.getvalue()


def film_package(name: str) -> Any:
    """A package of the set ``film``, or one sentence when it is not installed."""
    from importlib import import_module

    try:
        return import_module(name)
    except ImportError as error:
        raise HalewardError(MISSING) from error

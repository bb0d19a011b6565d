"""The sound of a session: what the cue sheet says, each sentence at its moment, nothing over anything else."""

from __future__ import annotations

import io
import wave
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from haleward.errors import HalewardError
from haleward.render.voice import MISSING, SAMPLE_RATE, Phrases, Samples
from haleward.session.cue_sheet import Cue, CueSheet

BIT_RATE = 48_000
COUNTDOWN = "start_3"  # the key of the sentence that counts down, "Three, two, one, and begin"
WAITS_MS = 350  # a word after a count may begin this much later, when the count is a long one ("seventeen")
FRAME = 1024  # samples that AAC encodes at a time
_SETTLED = 3  # silent frames after which the encoder gives the same packet again and again


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


def session_sound(sheet: CueSheet, phrases: Phrases, *, told: Callable[[float], None] = lambda _share: None) -> Samples:
    """The whole session as samples; a sentence's first sound is at its cue's moment. ``told`` hears the share done."""
    return _laid(sheet, phrases, 0, sheet.length_ms, told)


def block_sound(sheet: CueSheet, index: int, phrases: Phrases) -> Samples:
    """One block of the session as samples. Raises :class:`HalewardError` when there is no such block."""
    if not 0 <= index < len(sheet.blocks):
        raise HalewardError(f"The session has no stretch {index}; it has 0 to {len(sheet.blocks) - 1}.")
    block = sheet.blocks[index]
    return _laid(sheet, phrases, block.start_ms, block.start_ms + block.length_ms, lambda _share: None)


def _laid(sheet: CueSheet, phrases: Phrases, from_ms: int, to_ms: int, told: Callable[[float], None]) -> Samples:
    track = np.zeros(_samples(to_ms - from_ms), np.float32)
    said = [one for one in _utterances(sheet) if from_ms <= one.start_ms < to_ms]
    quiet_from = 0  # sample at which the last sentence has ended
    for number, one in enumerate(said):
        told((one.start_ms - from_ms) / (to_ms - from_ms))
        planned = _samples(one.start_ms - from_ms)
        at = planned if one.on_the_beat else max(planned, quiet_from)
        following = said[number + 1] if number + 1 < len(said) else None
        end = min(_samples(following.latest_ms - from_ms) if following else len(track), len(track))
        sound = phrases.say(one.text, within_ms=(end - at) * 1000 // SAMPLE_RATE)
        track[at : at + len(sound)] += sound
        quiet_from = at + len(sound)
    return track


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


def encoded(sound: Samples, path: Path) -> None:
    """Write ``sound`` as AAC in an MP4 container.

    Most of a session is silence. A long silence is encoded once, at its ends; the packet between is used again.
    """
    av = film_package("av")
    frames = np.pad(sound, (0, -len(sound) % FRAME)).reshape(-1, FRAME)
    fed, copies = _without_silence(frames)
    with av.open(str(path), "w", format="ipod") as out:
        stream = out.add_stream("aac", rate=SAMPLE_RATE, layout="mono")
        stream.bit_rate, stream.options = BIT_RATE, {"aac_coder": "fast"}
        packets = [packet for at, number in enumerate(fed) for packet in stream.encode(_frame(av, frames[number], at))]
        packets += stream.encode(None)
        first, at = packets[0].pts, 0
        for number, packet in enumerate(packets):
            content = bytes(packet)
            for _ in range(1 + copies.get(number, 0)):
                again = av.Packet(content)
                again.stream, again.time_base, again.duration = stream, Fraction(1, SAMPLE_RATE), FRAME
                again.pts = again.dts = first + at * FRAME
                out.mux(again)
                at += 1


def _without_silence(frames: Samples) -> tuple[list[int], dict[int, int]]:
    """The frames to encode; and, by the number of a packet in between, how many more of it stand for what was left out.

    A packet holds a frame and the one before it. So after two silent frames there is a packet of pure silence.
    """
    silent: NDArray[np.bool_] = np.abs(frames).max(axis=1) == 0
    fed: list[int] = []
    copies: dict[int, int] = {}
    run = 0  # silent frames up to here
    ends = np.append(np.nonzero(~silent)[0], len(frames))  # where silences end
    for number in range(len(frames)):
        run = run + 1 if silent[number] else 0
        left = int(ends[np.searchsorted(ends, number)]) - number  # silent frames from here to the end of the silence
        if run > _SETTLED and left > _SETTLED:
            copies[len(fed) - 1] = copies.get(len(fed) - 1, 0) + 1
        else:
            fed.append(number)
    return fed, copies


def _frame(av: Any, samples: Samples, at: int) -> Any:
    frame = av.AudioFrame.from_ndarray(samples[None], "fltp", "mono")
    frame.sample_rate, frame.pts, frame.time_base = SAMPLE_RATE, at * FRAME, Fraction(1, SAMPLE_RATE)
    return frame


def film_package(name: str) -> Any:
    """A package of the set ``film``, or one sentence when it is not installed."""
    from importlib import import_module

    try:
        return import_module(name)
    except ImportError as error:
        raise HalewardError(MISSING) from error

"""A session's sound as AAC packets, and written as a track of its own.

Most of a session is silence, and much of the rest is said again and again. So each stretch of speech between silences
is encoded by itself: what is heard twice is encoded once, and what was encoded for one film may be kept for the next.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from haleward.render.sound import film_package
from haleward.render.voice import SAMPLE_RATE, Samples

BIT_RATE = 48_000
FRAME = 1024  # samples that AAC encodes at a time
GRID = FRAME // 4  # samples; a sentence begins at most half of this (5 ms) beside its moment
TICK = Fraction(1, SAMPLE_RATE)
OPTIONS = {"aac_coder": "fast"}

SoundPackets = list[tuple[bytes, int]]  # a packet, and how often in a row it stands


@dataclass(frozen=True)
class Stretch:
    """Frames with sound in all of them, the number of the first, and a digest of what is heard."""

    first: int
    frames: Samples
    digest: str


def stretches(sound: Samples) -> list[Stretch]:
    """Everything that is heard, with at least one frame of silence between."""
    frames = np.pad(sound, (0, -len(sound) % FRAME)).reshape(-1, FRAME) if len(sound) % FRAME else sound
    frames = frames.reshape(-1, FRAME)
    heard = np.nonzero(frames.any(axis=1))[0]
    runs = np.split(heard, np.nonzero(np.diff(heard) > 1)[0] + 1) if len(heard) else []
    found = [(int(run[0]), frames[run[0] : run[-1] + 1]) for run in runs]
    return [Stretch(first, part, hashlib.sha256(part.tobytes()).hexdigest()) for first, part in found]


def stretch_packets(frames: Samples) -> list[bytes]:
    """The packets of a stretch: one for each frame with the frame before it, and one for the last with the silence."""
    silence = np.zeros((1, FRAME), np.float32)
    return _encoded(np.concatenate([silence, frames]))[1:]


def laid_out(length: int, found: Iterable[Stretch], made: dict[str, list[bytes]]) -> SoundPackets:
    """The packets of a sound of ``length`` samples: those ``made`` of its stretches by their digests, and silence."""
    lead, silence = _silence()
    packets: SoundPackets = [(lead, 1)]
    count = 1
    for stretch in found:
        if stretch.first == 0:
            packets, count = [], 0
        packets.append((silence, stretch.first - count))
        packets += [(packet, 1) for packet in made[stretch.digest]]
        count = stretch.first + len(made[stretch.digest])
    packets.append((silence, -(-length // FRAME) + 1 - count))
    return [(packet, often) for packet, often in packets if often]


def sound_packets(sound: Samples) -> SoundPackets:
    """The packets of a sound."""
    found = stretches(sound)
    made = {stretch.digest: stretch.frames for stretch in found}
    return laid_out(len(sound), found, {digest: stretch_packets(frames) for digest, frames in made.items()})


def sound_stream(out: Any) -> Any:
    """A stream of ``out`` for the packets."""
    stream = out.add_stream("aac", rate=SAMPLE_RATE, layout="mono")
    _set_up(stream.codec_context)
    return stream


def timed_packets(packets: SoundPackets, stream: Any) -> Iterator[Any]:
    """The packets with their times, each as often as it stands. The first holds only what leads into the sound."""
    kind, at = film_package("av").Packet, -FRAME
    for content, often in packets:
        for _ in range(often):
            packet = kind(content)
            packet.stream, packet.time_base, packet.duration = stream, TICK, FRAME
            packet.pts = packet.dts = at
            at += FRAME
            yield packet


def encoded(sound: Samples, path: Path) -> None:
    """Write ``sound`` as AAC in an MP4 container."""
    with film_package("av").open(str(path), "w", format="ipod") as out:
        for packet in timed_packets(sound_packets(sound), sound_stream(out)):
            out.mux(packet)


@cache
def _silence() -> tuple[bytes, bytes]:
    """The packet before all others, and the one of pure silence."""
    lead, _, silence, *_ = _encoded(np.zeros((4, FRAME), np.float32))
    return lead, silence


def _encoded(frames: Samples) -> list[bytes]:
    """A packet for each frame, and one before them all, from an encoder that knows of nothing else."""
    av = film_package("av")
    codec = av.CodecContext.create("aac", "w")
    codec.sample_rate, codec.layout, codec.format, codec.time_base = SAMPLE_RATE, "mono", "fltp", TICK
    _set_up(codec)
    whole = av.AudioFrame.from_ndarray(np.ascontiguousarray(frames.reshape(1, -1)), "fltp", "mono")
    whole.sample_rate, whole.pts, whole.time_base = SAMPLE_RATE, 0, TICK
    return [bytes(packet) for packet in (*codec.encode(whole), *codec.encode(None))]


def _set_up(codec: Any) -> None:
    codec.bit_rate, codec.options = BIT_RATE, dict(OPTIONS)  # what is given to a codec, it empties

"""A session's sound as AAC packets, whole or in parts that several workers make, and written as a track of its own.

Most of a session is silence. A long silence is encoded once, at its ends; the packet between is used again.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from haleward.render.sound import film_package
from haleward.render.voice import SAMPLE_RATE, Samples

BIT_RATE = 48_000
FRAME = 1024  # samples that AAC encodes at a time
TICK = Fraction(1, SAMPLE_RATE)
_SETTLED = 3  # silent frames after which the encoder gives the same packet again and again
_QUIET = 2 * _SETTLED  # silent frames on both sides of a place where the sound may be cut in two

SoundPackets = list[tuple[bytes, int]]  # a packet, and how often in a row it stands


def sound_packets(sound: Samples, *, part: int = 0, parts: int = 1) -> SoundPackets:
    """The packets of one of ``parts`` parts of the sound; those of all parts, in order, are the whole."""
    whole = len(sound) // FRAME * FRAME
    frames = sound[:whole].reshape(-1, FRAME)
    cuts = _cuts(frames, parts)
    begin, end = cuts[part], cuts[part + 1]
    mine = frames[begin:end]
    if part == parts - 1 and whole < len(sound):
        mine = np.concatenate([mine, np.pad(sound[whole:], (0, FRAME - len(sound) + whole))[None]])
    if not len(mine):
        return []
    fed, copies = _without_silence(mine)
    made = list(zip(_encoded(mine[fed]), [*(1 + copies).tolist(), 1], strict=True))
    return made[1:] if begin else made  # a packet before the first frame is needed at the beginning only


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


def _encoded(frames: Samples) -> Iterable[bytes]:
    """A packet for each frame, and one before them all."""
    av = film_package("av")
    codec = av.CodecContext.create("aac", "w")
    codec.sample_rate, codec.layout, codec.format, codec.time_base = SAMPLE_RATE, "mono", "fltp", TICK
    _set_up(codec)
    whole = av.AudioFrame.from_ndarray(np.ascontiguousarray(frames.reshape(1, -1)), "fltp", "mono")
    whole.sample_rate, whole.pts, whole.time_base = SAMPLE_RATE, 0, TICK
    return [bytes(packet) for packet in (*codec.encode(whole), *codec.encode(None))]


def _set_up(codec: Any) -> None:
    codec.bit_rate, codec.options = BIT_RATE, {"aac_coder": "fast"}


def _without_silence(frames: Samples) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """The frames to encode; and for each how many frames left out after it its packet stands for.

    A packet holds a frame and the one before it. So after two silent frames there is a packet of pure silence.
    """
    numbers, heard = np.arange(len(frames)), frames.any(axis=1)
    run = numbers - np.maximum.accumulate(np.where(heard, numbers, -1))  # silent frames up to here
    following = np.where(heard, numbers, len(frames))
    left = np.minimum.accumulate(following[::-1])[::-1] - numbers  # silent frames from here on
    kept = (run <= _SETTLED) | (left <= _SETTLED)
    fed = np.nonzero(kept)[0]
    return fed, np.bincount(np.cumsum(kept)[~kept] - 1, minlength=len(fed))


def _cuts(frames: Samples, parts: int) -> list[int]:
    """Where the parts begin and where the last one ends: near even shares, in silence. Without silence all is one."""
    heard = np.concatenate([[0], np.cumsum(frames.any(axis=1))])
    places = np.arange(_QUIET, len(frames) - _QUIET)
    quiet = places[heard[places + _QUIET] == heard[places - _QUIET]]
    goals = [len(frames) * number // parts for number in range(1, parts)]
    inner = [int(quiet[np.abs(quiet - goal).argmin()]) if len(quiet) else 0 for goal in goals]
    return [0, *inner, len(frames)]

"""The film's container: pictures, sound, captions and chapters put together packet by packet."""

from __future__ import annotations

import heapq
from collections.abc import Iterator
from fractions import Fraction
from operator import itemgetter
from pathlib import Path
from typing import Any

from haleward.render import film_scenes
from haleward.render.captions import captions
from haleward.render.film_clips import TIME_BASE, set_up
from haleward.render.film_plan import FRAMES_A_SECOND, Chapter, Shot, Turn
from haleward.render.film_planes import SIZES
from haleward.render.film_scenes import Clip, Look
from haleward.render.sound import film_package
from haleward.render.sound_packets import TICK, SoundPackets, sound_stream, timed_packets
from haleward.session.cue_sheet import CueSheet

_MS = Fraction(1, 1000)
_ASS = (Path(__file__).parent / "film_captions.ass").read_bytes()  # the plain style that players fall back to

_ISO_639_2 = {"en-GB": "eng", "de": "deu", "ar": "ara"}  # how containers name languages; another one is undetermined

VideoPacket = tuple[int, int, bytes, bool]  # film frame, length, content, whole


def video_packets(shots: tuple[Shot, ...], clips: dict[Turn, Clip], cards: dict[int, bytes]) -> Iterator[VideoPacket]:
    """Every packet of the film in order."""
    for number, shot in enumerate(shots):
        if isinstance(shot.shown, Turn):
            clip = clips[film_scenes.bare(shot.shown)]
            inside = [(at, packet) for at, packet in clip.others if at < shot.length]
            ends = [*(at for at, _ in inside), shot.length]
            yield shot.start, ends[0], clip.firsts[shot.shown.strip], True
            for (at, packet), end in zip(inside, ends[1:], strict=True):
                yield shot.start + at, end - at, packet, False
        else:
            yield shot.start, shot.length, cards[number], _is_whole(cards[number])


def _is_whole(packet: bytes) -> bool:
    """Whether a packet can be decoded by itself: its last unit is an IDR slice."""
    at, kind = 0, 0
    while at + 4 < len(packet):
        length = int.from_bytes(packet[at : at + 4], "big")
        kind = packet[at + 4] & 0x1F
        if kind in (1, 5):
            return kind == 5
        at += 4 + length
    return kind == 5


def mux(
    sheet: CueSheet,
    look: Look,
    path: Path,
    video: Iterator[VideoPacket],
    sound: SoundPackets,
    chapter_list: tuple[Chapter, ...],
) -> None:
    """Write the film: every packet at its time, the table of contents first, so that it plays while it loads.

    ``sheet`` is the one that is shown: its captions are in the language of its words.
    """
    av = film_package("av")
    with av.open(str(path), "w", options={"movflags": "+faststart"}) as out:
        pictures = out.add_stream("libx264", rate=FRAMES_A_SECOND)
        set_up(pictures.codec_context, SIZES[look.size])
        pictures.time_base = TIME_BASE
        voice = sound_stream(out)
        texts = out.add_stream("mov_text")
        texts.codec_context.time_base = texts.time_base = _MS
        texts.codec_context.subtitle_header = _ASS
        texts.metadata["language"] = _ISO_639_2.get(sheet.language, "und")
        out.metadata["title"] = f"{sheet.first_name}, {sheet.plan_line}"
        ends = [*(one.start_ms for one in chapter_list[1:]), sheet.length_ms]
        out.set_chapters(
            [
                {"id": n, "start": one.start_ms, "end": end, "time_base": _MS, "metadata": {"title": one.title}}
                for n, (one, end) in enumerate(zip(chapter_list, ends, strict=True), 1)
            ]
        )
        out.start_encoding()
        streams = (
            _timed(_picture_packets(av, video, pictures), float(TIME_BASE)),
            _timed(timed_packets(sound, voice), float(TICK)),
            _timed(_text_packets(av, sheet, texts), float(_MS)),
        )
        for _at, _order, packet in heapq.merge(*streams, key=_moment):
            out.mux(packet)


_moment = itemgetter(0, 1)


def _timed(packets: Iterator[Any], tick_s: float) -> Iterator[tuple[float, int, Any]]:
    for packet in packets:
        yield packet.pts * tick_s, packet.stream.index, packet


def _picture_packets(av: Any, video: Iterator[VideoPacket], stream: Any) -> Iterator[Any]:
    for start, length, content, whole in video:
        packet = av.Packet(content)
        packet.time_base, packet.pts, packet.dts, packet.duration = TIME_BASE, start, start, length
        packet.is_keyframe, packet.stream = whole, stream
        yield packet


def _text_packets(av: Any, sheet: CueSheet, stream: Any) -> Iterator[Any]:
    for one in captions(sheet):
        text = one.text.encode()
        packet = av.Packet(len(text).to_bytes(2, "big") + text)
        packet.time_base, packet.pts, packet.dts = _MS, one.start_ms, one.start_ms
        packet.duration = one.end_ms - one.start_ms
        packet.is_keyframe, packet.stream = True, stream
        yield packet

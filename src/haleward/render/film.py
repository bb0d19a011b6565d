"""The film of a session: H.264 and AAC in MP4, captions inside and beside it, a poster, a chapter for each movement.

All of it follows the cue sheet. One repetition is drawn and encoded once (``film_clips``), clips are kept and shared.
The film appears under its name only when it is whole.
"""

from __future__ import annotations

import heapq
import multiprocessing
import shutil
import tempfile
from collections.abc import Callable, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from fractions import Fraction
from operator import itemgetter
from pathlib import Path
from typing import Any, Literal

from haleward.errors import HalewardError
from haleward.record import Record
from haleward.render import film_scenes
from haleward.render.captions import captions, web_vtt
from haleward.render.film_clips import TIME_BASE, set_up
from haleward.render.film_draw import faces
from haleward.render.film_plan import FRAMES_A_SECOND, Chapter, Shot, Turn, chapters, movements, shots_of
from haleward.render.film_planes import SIZES
from haleward.render.film_scenes import CardsJob, Clip, Look
from haleward.render.kept import Kept
from haleward.render.sound import encoded, film_package, session_sound
from haleward.render.voice import SAMPLE_RATE, Phrases, look_for_voice, voice_of
from haleward.session.cue_sheet import CueSheet

WORKERS = 2
LOOK_EVERY_S = 0.3  # how often it is asked whether to stop
_MS = Fraction(1, 1000)
_HALF = ".half-"
_ASS = (Path(__file__).parent / "film_captions.ass").read_bytes()  # the plain style that players fall back to

FilmSize = Literal["large", "small"]
Progress = Callable[[float, str], None]


@dataclass(frozen=True)
class FilmFiles:
    """The film and what stands beside it."""

    film: Path
    captions: Path
    poster: Path


class FilmStopped(HalewardError):
    """Someone asked to stop; nothing is left under the film's name."""

    def __init__(self) -> None:
        super().__init__("The film was stopped; nothing half made is left.")


def make_film(
    sheet: CueSheet,
    *,
    record: Record,
    emergency: str,
    start_title: str,
    end_title: str,
    out: Path,
    size: FilmSize = "large",
    voice_file: Path | None = None,
    phrases: Path | None = None,
    clips: Path | None = None,
    progress: Progress = lambda _share, _sentence: None,
    stopped: Callable[[], bool] = lambda: False,
) -> FilmFiles:
    """Write the film of ``sheet`` to ``out``, with ``.vtt`` captions and a ``.jpg`` poster beside it.

    ``emergency`` is the line that stands on every card; the titles name the first and the last chapter. ``phrases``
    and ``clips`` are folders in which sentences and repetitions are kept for the next film. ``progress`` hears a share
    from 0 to 1 and what is being done; ``stopped`` is asked between pieces of work and ends it with
    :class:`FilmStopped`. Raises :class:`HalewardError` with one sentence when a package, the voice, a font or room on
    the disk is missing.
    """
    _look_before(voice_file)
    remove_half_made(out)
    Kept(clips, film_scenes.KIND).clean()
    look = Look.of(record, size=size, emergency=emergency, version=sheet.plan_line)
    try:
        out.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(dir=out.parent, prefix=f"{out.stem}{_HALF}") as half:
            work = _Work(sheet, look, Path(half), clips, progress, stopped)
            work.make(voice_file, phrases, chapters(sheet, start=start_title, end=end_title))
            return work.publish(out)
    except BrokenProcessPool as fault:
        raise HalewardError(
            f"The film {out.name} was not made, because the system ended one of its workers, most likely for want of "
            "memory. Close other programs and make it again; nothing half made is left."
        ) from fault
    except OSError as fault:
        raise HalewardError(
            f"The film {out.name} could not be written ({fault.strerror or fault}). Make room on the disk, or choose "
            "another folder; nothing half made is left."
        ) from fault


def _look_before(voice_file: Path | None) -> None:
    """Miss what is missing before any work is done."""
    for package in ("av", "skia", "hibari"):
        film_package(package)
    faces()
    if voice_file is not None:
        look_for_voice(voice_file)


def remove_half_made(out: Path) -> None:
    """Take away what a killed worker left beside the film."""
    for left in out.parent.glob(f"{out.stem}{_HALF}*"):
        shutil.rmtree(left, ignore_errors=True)


@dataclass
class _Work:
    """The making of one film in a folder of its own."""

    sheet: CueSheet
    look: Look
    folder: Path
    clips: Path | None
    progress: Progress
    stopped: Callable[[], bool]

    def make(self, voice_file: Path | None, phrases: Path | None, chapter_list: tuple[Chapter, ...]) -> None:
        shots = shots_of(self.sheet)
        turns = film_scenes.turn_jobs(self.sheet, shots, self.look)
        groups = film_scenes.card_groups(shots)
        sound, halt = self.folder / "sound.m4a", self.folder / "halt"
        made_clips: dict[Turn, Clip] = {}
        made_cards: dict[int, bytes] = {}
        context = multiprocessing.get_context("spawn")  # a forked copy of a process with threads may hang
        with ProcessPoolExecutor(WORKERS, mp_context=context) as pool:
            waiting: dict[Future[Any], tuple[str, Any]] = {}
            # the longest piece of work first, so that no worker is left alone with it
            waiting[pool.submit(_make_sound, self.sheet, voice_file, phrases, sound, halt)] = ("sound", None)
            for turn, job in turns.items():
                waiting[pool.submit(film_scenes.make_clip, job, self.clips)] = ("clip", turn)
            for stack in film_scenes.stacks(shots):
                jobs = [self._cards(shots, group) for group in stack]
                waiting[pool.submit(film_scenes.make_stack, jobs, self.clips)] = ("cards", stack)
            try:
                self._gather(waiting, made_clips, made_cards)
            except BaseException:
                halt.touch()
                pool.shutdown(wait=True, cancel_futures=True)
                raise
        self._tell(0.92, "Putting it together")
        video = _video(shots, made_clips, made_cards)
        _mux(self.sheet, self.look, self.folder / "film.mp4", video, sound, chapter_list)
        (self.folder / "film.vtt").write_text(web_vtt(self.sheet), encoding="utf-8")
        pictured = next((group for group in groups if shots[group[0]].shown.exercise >= 0), groups[0])
        (self.folder / "film.jpg").write_bytes(film_scenes.poster(self._cards(shots, pictured[:1])))
        self._tell(1.0, "")

    def _gather(
        self, pieces: dict[Future[Any], tuple[str, Any]], clips: dict[Turn, Clip], cards: dict[int, bytes]
    ) -> None:
        """Collect what the workers make, and look often whether to stop."""
        waiting = set(pieces)
        while waiting:
            done, waiting = wait(waiting, timeout=LOOK_EVERY_S, return_when=FIRST_COMPLETED)
            for piece in done:
                kind, what = pieces[piece]
                result = piece.result()
                if kind == "clip":
                    clips[what] = result
                elif kind == "cards":
                    for group, packets in zip(what, result, strict=True):
                        cards.update(zip(group, packets, strict=True))
            self._tell(0.9 * (1 - len(waiting) / len(pieces)), "Drawing and speaking")

    def publish(self, out: Path) -> FilmFiles:
        """Give the files their names, the film last."""
        files = FilmFiles(out, out.with_suffix(".vtt"), out.with_suffix(".jpg"))
        for half, whole in (("film.vtt", files.captions), ("film.jpg", files.poster), ("film.mp4", files.film)):
            (self.folder / half).replace(whole)
        return files

    def _cards(self, shots: tuple[Shot, ...], group: list[int]) -> CardsJob:
        cards = tuple(shots[number].shown for number in group)
        first = cards[0].exercise
        exercise = movements(self.sheet)[first] if first >= 0 else None
        return CardsJob(exercise, cards, self.sheet.effort_anchors, self.look)  # type: ignore[arg-type]

    def _tell(self, share: float, sentence: str) -> None:
        if self.stopped():
            raise FilmStopped
        self.progress(share, sentence)


def _make_sound(sheet: CueSheet, voice_file: Path | None, phrases: Path | None, path: Path, halt: Path) -> None:
    def told(_share: float) -> None:
        if halt.exists():
            raise FilmStopped

    encoded(session_sound(sheet, Phrases(voice_of(voice_file), phrases), told=told), path)


VideoPacket = tuple[int, int, bytes, bool]  # film frame, length, content, whole


def _video(shots: tuple[Shot, ...], clips: dict[Turn, Clip], cards: dict[int, bytes]) -> Iterator[VideoPacket]:
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


def _mux(
    sheet: CueSheet,
    look: Look,
    path: Path,
    video: Iterator[VideoPacket],
    sound: Path,
    chapter_list: tuple[Chapter, ...],
) -> None:
    av = film_package("av")
    with av.open(str(path), "w", options={"movflags": "+faststart"}) as out, av.open(str(sound)) as heard:
        pictures = out.add_stream("libx264", rate=FRAMES_A_SECOND)
        set_up(pictures.codec_context, SIZES[look.size])
        pictures.time_base = TIME_BASE
        voice = out.add_stream_from_template(heard.streams.audio[0])
        texts = out.add_stream("mov_text")
        texts.codec_context.time_base = texts.time_base = _MS
        texts.codec_context.subtitle_header = _ASS
        texts.metadata["language"] = "eng"
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
            _timed(_sound_packets(heard, voice), 1 / SAMPLE_RATE),
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


def _sound_packets(heard: Any, stream: Any) -> Iterator[Any]:
    for packet in heard.demux(heard.streams.audio[0]):
        if packet.pts is not None:
            packet.stream = stream
            yield packet


def _text_packets(av: Any, sheet: CueSheet, stream: Any) -> Iterator[Any]:
    for one in captions(sheet):
        text = one.text.encode()
        packet = av.Packet(len(text).to_bytes(2, "big") + text)
        packet.time_base, packet.pts, packet.dts = _MS, one.start_ms, one.start_ms
        packet.duration = one.end_ms - one.start_ms
        packet.is_keyframe, packet.stream = True, stream
        yield packet

"""The film of a session: H.264 and AAC in MP4, captions inside and beside it, a poster, a chapter for each movement.

All of it follows the cue sheet. One repetition is drawn and encoded once (``film_clips``), clips are kept and shared.
The film appears under its name only when it is whole.
"""

from __future__ import annotations

import multiprocessing
import shutil
import tempfile
from collections.abc import Callable
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Literal

from haleward.errors import HalewardError
from haleward.record import Record
from haleward.render import film_scenes
from haleward.render.captions import web_vtt
from haleward.render.film_draw import faces
from haleward.render.film_mux import mux, video_packets
from haleward.render.film_plan import Chapter, Shot, Turn, chapters, movements, shots_of
from haleward.render.film_scenes import CardsJob, Clip, Look
from haleward.render.kept import Kept
from haleward.render.sound import film_package, session_sound, spoken_texts
from haleward.render.sound_packets import SoundPackets, sound_packets
from haleward.render.voice import look_for_voice, phrases_of
from haleward.session.bilingual import shown_sheet
from haleward.session.cue_sheet import CueSheet
from haleward.wording import Wording

WORKERS = 2
LOOK_EVERY_S = 0.3  # how often it is asked whether to stop
BATCH = 40  # sentences that a worker says in one go
HALT = "halt"  # a file by which workers hear that they should stop
_HALF = ".half-"

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
    wording: Wording | None = None,
    out: Path,
    size: FilmSize = "large",
    voice_file: Path | None = None,
    phrases: Path | None = None,
    clips: Path | None = None,
    progress: Progress = lambda _share, _sentence: None,
    stopped: Callable[[], bool] = lambda: False,
) -> FilmFiles:
    """Write the film of ``sheet`` to ``out``, with ``.vtt`` captions and a ``.jpg`` poster beside it.

    What is seen is in the language of the sheet and of ``wording`` (English), what is said is English.
    ``emergency`` is the line that stands on every card; the titles name the first and the last chapter. ``phrases``
    and ``clips`` are folders in which sentences and repetitions are kept for the next film. ``progress`` hears a share
    from 0 to 1 and what is being done; ``stopped`` is asked between pieces of work and ends it with
    :class:`FilmStopped`. Raises :class:`HalewardError` with one sentence when a package, the voice, a font or room on
    the disk is missing.
    """
    _look_before(voice_file)
    remove_half_made(out)
    Kept(clips, film_scenes.KIND).clean()
    seen = shown_sheet(sheet)
    look = Look.of(record, size=size, emergency=emergency, version=seen.plan_line, wording=wording)
    try:
        out.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(dir=out.parent, prefix=f"{out.stem}{_HALF}") as half:
            work = _Work(sheet, seen, shots_of(seen, wording), look, Path(half), clips, progress, stopped)
            work.make(voice_file, phrases, chapters(seen, start=start_title, end=end_title))
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


@dataclass(frozen=True)
class _Piece:
    """A piece of work for a worker."""

    kind: Literal["voice", "sound", "clip", "cards"]
    what: Any  # which part, clip or cards it makes
    make: Callable[..., Any]
    arguments: tuple[Any, ...]


@dataclass
class _Made:
    """What the workers made."""

    sound: dict[int, SoundPackets] = field(default_factory=dict)
    clips: dict[Turn, Clip] = field(default_factory=dict)
    cards: dict[int, bytes] = field(default_factory=dict)

    def take(self, piece: _Piece, result: Any) -> None:
        """Keep what came of a piece of work."""
        if piece.kind == "sound":
            self.sound[piece.what] = result
        elif piece.kind == "clip":
            self.clips[piece.what] = result
        elif piece.kind == "cards":
            for group, packets in zip(piece.what, result, strict=True):
                self.cards.update(zip(group, packets, strict=True))


@dataclass
class _Work:
    """The making of one film in a folder of its own."""

    sheet: CueSheet
    seen: CueSheet  # the same in the words that are shown
    shots: tuple[Shot, ...]
    look: Look
    folder: Path
    clips: Path | None
    progress: Progress
    stopped: Callable[[], bool]

    def make(self, voice_file: Path | None, phrases: Path | None, chapter_list: tuple[Chapter, ...]) -> None:
        shots = self.shots
        speech = self._speech(voice_file, phrases or self.folder / "voice")
        made = self._gather(speech, self._pictures(shots))
        self._tell(0.92, "Putting it together")
        sound = [packet for part in sorted(made.sound) for packet in made.sound[part]]
        video = video_packets(shots, made.clips, made.cards)
        mux(self.seen, self.look, self.folder / "film.mp4", video, sound, chapter_list)
        (self.folder / "film.vtt").write_text(web_vtt(self.seen), encoding="utf-8")
        groups = film_scenes.card_groups(shots)
        pictured = next((group for group in groups if shots[group[0]].shown.exercise >= 0), groups[0])
        (self.folder / "film.jpg").write_bytes(film_scenes.poster(self._cards(shots, pictured[:1])))
        self._tell(1.0, "")

    def _speech(self, voice_file: Path | None, phrases: Path) -> list[_Piece]:
        """The sentences that are not kept yet, in batches; then the parts of the sound that is made of them all."""
        texts = phrases_of(voice_file, phrases).lacking(spoken_texts(self.sheet))
        batches = -(-len(texts) // BATCH)
        halt = self.folder / HALT
        said = [_Piece("voice", n, _say, (texts[n::batches], voice_file, phrases, halt)) for n in range(batches)]
        parts = [_Piece("sound", n, _sound, (self.sheet, voice_file, phrases, n, halt)) for n in range(WORKERS)]
        return [*said, *parts]

    def _pictures(self, shots: tuple[Shot, ...]) -> list[_Piece]:
        """The clips and the cards."""
        turns = film_scenes.turn_jobs(self.seen, shots, self.look)
        clips = [_Piece("clip", turn, film_scenes.make_clip, (job, self.clips)) for turn, job in turns.items()]
        stacks = [(stack, [self._cards(shots, group) for group in stack]) for stack in film_scenes.stacks(shots)]
        return [*clips, *(_Piece("cards", stack, film_scenes.make_stack, (jobs, self.clips)) for stack, jobs in stacks)]

    def _gather(self, speech: list[_Piece], pictures: list[_Piece]) -> _Made:
        """Have all pieces made, and look often whether to stop. The sound waits until every sentence is there."""
        made, count = _Made(), len(speech) + len(pictures)
        later = [piece for piece in speech if piece.kind == "sound"]
        context = multiprocessing.get_context("spawn")  # a forked copy of a process with threads may hang
        with ProcessPoolExecutor(WORKERS, mp_context=context) as pool:
            waiting: dict[Future[Any], _Piece] = {}
            now = [piece for piece in speech if piece.kind == "voice"] or later
            later = [] if now is later else later
            try:
                for piece in (*now, *pictures):
                    waiting[pool.submit(piece.make, *piece.arguments)] = piece
                while waiting:
                    done, _ = wait(waiting, timeout=LOOK_EVERY_S, return_when=FIRST_COMPLETED)
                    for future in done:
                        made.take(waiting.pop(future), future.result())
                    if not any(piece.kind == "voice" for piece in waiting.values()):
                        waiting |= {pool.submit(piece.make, *piece.arguments): piece for piece in later}
                        later = []
                    self._tell(0.9 * (1 - (len(waiting) + len(later)) / count), "Drawing and speaking")
            except BaseException:
                (self.folder / HALT).touch()
                pool.shutdown(wait=True, cancel_futures=True)
                raise
        return made

    def publish(self, out: Path) -> FilmFiles:
        """Give the files their names, the film last."""
        files = FilmFiles(out, out.with_suffix(".vtt"), out.with_suffix(".jpg"))
        for half, whole in (("film.vtt", files.captions), ("film.jpg", files.poster), ("film.mp4", files.film)):
            (self.folder / half).replace(whole)
        return files

    def _cards(self, shots: tuple[Shot, ...], group: list[int]) -> CardsJob:
        cards = tuple(shots[number].shown for number in group)
        first = cards[0].exercise
        exercise = movements(self.seen)[first] if first >= 0 else None
        return CardsJob(exercise, cards, self.seen.effort_anchors, self.look)  # type: ignore[arg-type]

    def _tell(self, share: float, sentence: str) -> None:
        if self.stopped():
            raise FilmStopped
        self.progress(share, sentence)


def _say(texts: list[str], voice_file: Path | None, folder: Path, halt: Path) -> None:
    """Say some sentences, so that they are kept."""
    phrases = phrases_of(voice_file, folder)
    for text in texts:
        if halt.exists():
            raise FilmStopped
        phrases.say(text)


def _sound(sheet: CueSheet, voice_file: Path | None, folder: Path, part: int, halt: Path) -> SoundPackets:
    """One part of the sound of the session, encoded."""

    def told(_share: float) -> None:
        if halt.exists():
            raise FilmStopped

    sound = session_sound(sheet, phrases_of(voice_file, folder), told=told)
    return sound_packets(sound, part=part, parts=WORKERS)

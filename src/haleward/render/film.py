"""The film of a session: H.264 and AAC in MP4, captions inside and beside it, a poster, a chapter for each movement.

All of it follows the cue sheet. One repetition is drawn and encoded once (``film_clips``), clips are kept and shared.
The film appears under its name only when it is whole.
"""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Callable
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Literal

from haleward.errors import HalewardError
from haleward.record import Record
from haleward.render import film_scenes
from haleward.render.captions import web_vtt
from haleward.render.film_crew import Crew, Piece
from haleward.render.film_mux import mux, video_packets
from haleward.render.film_plan import Chapter, Shot, Turn, chapters, movements, shots_of
from haleward.render.film_scenes import CardsJob, Clip, Look
from haleward.render.film_speech import FilmStopped, sentences, session_packets
from haleward.render.film_text import faces
from haleward.render.kept import Kept
from haleward.render.sound import film_package
from haleward.render.voice import look_for_voice
from haleward.session.bilingual import shown_sheet
from haleward.session.cue_sheet import CueSheet
from haleward.wording import Wording

__all__ = ["FilmFiles", "FilmSize", "FilmStopped", "make_film", "remove_half_made"]

_HALF = ".half-"

FilmSize = Literal["large", "small"]
Progress = Callable[[float, str], None]


@dataclass(frozen=True)
class FilmFiles:
    """The film and what stands beside it."""

    film: Path
    captions: Path
    poster: Path


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


@dataclass
class _Made:
    """The encoded pictures."""

    clips: dict[Turn, Clip] = field(default_factory=dict)
    cards: dict[int, bytes] = field(default_factory=dict)

    def take(self, what: object, result: Any) -> None:
        """Keep what came of a piece of work: a clip, or the cards of some stretches."""
        if isinstance(what, Turn):
            self.clips[what] = result
        elif isinstance(what, tuple):
            for group, packets in zip(what, result, strict=True):
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
        shots, said, made = self.shots, phrases or self.folder / "voice", _Made()
        with Crew(self.folder, self._look) as crew:
            pieces = [*sentences(self.sheet, voice_file, said, crew.halt), *self._pictures(shots)]
            for number, (piece, result) in enumerate(crew.made(pieces)):
                made.take(piece.what, result)
                self._tell(0.8 * number / len(pieces), "Drawing and speaking")
            self._tell(0.8, "Putting it together")
            sound = session_packets(self.sheet, voice_file, said, crew)
        self._tell(0.92, "Putting it together")
        video = video_packets(shots, made.clips, made.cards)
        mux(self.seen, self.look, self.folder / "film.mp4", video, sound, chapter_list)
        (self.folder / "film.vtt").write_text(web_vtt(self.seen), encoding="utf-8")
        groups = film_scenes.card_groups(shots)
        pictured = next((group for group in groups if shots[group[0]].shown.exercise >= 0), groups[0])
        (self.folder / "film.jpg").write_bytes(film_scenes.poster(self._cards(shots, pictured[:1])))
        self._tell(1.0, "")

    def _pictures(self, shots: tuple[Shot, ...]) -> list[Piece]:
        """The clips and the cards; those that are kept take no time worth sharing."""
        kept, clips = Kept(self.clips, film_scenes.KIND), film_scenes.turn_jobs(self.seen, shots, self.look)
        pieces = [
            Piece(turn, film_scenes.make_clip, (job, self.clips), long=not kept.has(job.facts))
            for turn, job in clips.items()
        ]
        for stack in film_scenes.stacks(shots):
            jobs = [self._cards(shots, group) for group in stack]
            long = any(job.exercise and not kept.has(job.facts) for job in jobs)
            pieces.append(Piece(tuple(stack), film_scenes.make_stack, (jobs, self.clips), long=long))
        return pieces

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
        self._look()
        self.progress(share, sentence)

    def _look(self) -> None:
        if self.stopped():
            raise FilmStopped

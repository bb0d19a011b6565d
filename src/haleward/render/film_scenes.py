"""What a worker makes of a session: the clip of one repetition, or the cards of one stretch, as encoded packets."""

from __future__ import annotations

import hashlib
import pickle
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path
from typing import Any

from haleward.record import Record
from haleward.render.figure import animation, look_for
from haleward.render.film_clips import OPTIONS, as_frame, packets
from haleward.render.film_draw import SIZES, Painter
from haleward.render.film_plan import Card, Shot, Strip, Turn
from haleward.render.sound import film_package
from haleward.session.cue_sheet import CueSheet, SheetExercise

LAYOUT = 2  # raise it when the pictures change: clips kept on disk are then made anew


@dataclass(frozen=True)
class Look:
    """What the pictures need besides the cue sheet: the figure, the size and the lines of every card."""

    stature_m: float | None
    mass_kg: float | None
    look: str
    size: str
    emergency: str
    version: str

    @classmethod
    def of(cls, record: Record, *, size: str, emergency: str, version: str) -> Look:
        """The look of one person's film."""
        look = look_for(record.sex, record.look, person_id=record.person_id)
        return cls(record.stature_m, record.mass_kg, look, size, emergency, version)


@dataclass(frozen=True)
class Clip:
    """One repetition: the packet of the first picture for each strip, and the others with their film frames."""

    firsts: dict[Strip, bytes]
    others: tuple[tuple[int, bytes], ...]


@dataclass(frozen=True)
class TurnJob:
    """A clip to make: its repetition, and every strip that it is shown with."""

    exercise: SheetExercise
    turn: Turn
    strips: tuple[Strip, ...]
    look: Look

    @property
    def key(self) -> str:
        """A name for all that the clip is made from."""
        made_with = [film_package(name).__version__ for name in ("av", "skia")]
        shown = (self.exercise.title, self.exercise.stop_if, self.exercise.movement_id, self.exercise.posture)
        tempo = (self.exercise.out_s, self.exercise.pause_s, self.exercise.back_s, self.exercise.kit)
        turn = (self.turn.side, self.turn.times, self.turn.breaths, self.turn.words)
        look = (self.look.stature_m, self.look.mass_kg, self.look.look, self.look.size)
        facts = repr((LAYOUT, made_with, OPTIONS, shown, tempo, turn, self.strips, look))
        return hashlib.sha256(facts.encode()).hexdigest()[:32]


@dataclass(frozen=True)
class CardsJob:
    """The cards of one stretch, in order."""

    exercise: SheetExercise | None
    cards: tuple[Card, ...]
    anchors: tuple[tuple[int, str], ...]
    look: Look


def turn_jobs(sheet: CueSheet, shots: tuple[Shot, ...], look: Look) -> dict[Turn, TurnJob]:
    """The clips that a film needs, by the repetition with its strip left out."""
    strips: dict[Turn, list[Strip]] = {}
    for shot in shots:
        if isinstance(shot.shown, Turn):
            strips.setdefault(bare(shot.shown), []).append(shot.shown.strip)
    return {
        turn: TurnJob(sheet.exercises[turn.exercise], turn, tuple(dict.fromkeys(found)), look)
        for turn, found in strips.items()
    }


def bare(turn: Turn) -> Turn:
    """The repetition without what differs between repetitions."""
    return Turn(turn.exercise, turn.side, 0, turn.times, turn.breaths, turn.words, Strip())


def card_groups(shots: tuple[Shot, ...]) -> list[list[int]]:
    """Numbers of the shots whose cards follow one another about the same exercise under the same heading."""
    numbered = [(n, shot.shown) for n, shot in enumerate(shots)]

    def subject(item: tuple[int, Card | Turn]) -> object:
        shown = item[1]
        return (shown.heading, shown.exercise) if isinstance(shown, Card) else item[0]

    groups = [list(found) for _, found in groupby(numbered, key=subject)]
    return [[n for n, _ in group] for group in groups if isinstance(group[0][1], Card)]


def make_clip(job: TurnJob, folder: Path | None) -> Clip:
    """The clip, from ``folder`` if it was made before."""
    path = folder / f"{job.key}.clip" if folder else None
    if path and path.exists():
        return _unpacked(path.read_bytes())
    clip = _drawn_clip(job)
    if path:
        path.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.NamedTemporaryFile(dir=path.parent, suffix=".half", delete=False) as half:
            half.write(_packed(clip))
        Path(half.name).replace(path)
    return clip


def make_cards(job: CardsJob) -> list[bytes]:
    """The packets of the cards; the first is whole."""
    painter = _painter(job.look)
    drawn: dict[str, Any] = {}

    def frames() -> Iterator[Any]:
        for card in job.cards:
            if job.exercise and card.side not in drawn:
                drawn[card.side] = _frames(job.exercise, card.side, job.look)
            picture = painter.blank()
            painter.card(picture, card, drawn.get(card.side), job.anchors if card.scale else ())
            yield as_frame(picture)

    return packets(frames(), SIZES[job.look.size], each_whole=False)


def poster(job: CardsJob) -> bytes:
    """The first card of a job as JPEG."""
    skia = film_package("skia")
    painter = _painter(job.look)
    picture = painter.blank()
    frames = _frames(job.exercise, job.cards[0].side, job.look) if job.exercise else None
    painter.card(picture, job.cards[0], frames, ())
    image = skia.Image.fromarray(picture, colorType=skia.kRGBA_8888_ColorType)
    return bytes(image.encodeToData(skia.kJPEG, 88))


def _drawn_clip(job: TurnJob) -> Clip:
    painter, size = _painter(job.look), SIZES[job.look.size]
    frames = _frames(job.exercise, job.turn.side, job.look)
    moments = list(_moments(job.turn, frames))
    first = painter.blank()
    _paint(painter, first, job, frames, moments[0])

    def moving() -> Iterator[Any]:
        yield as_frame(first)
        picture = painter.blank()
        for moment in moments[1:]:
            _paint(painter, picture, job, frames, moment)
            yield as_frame(picture)

    def firsts() -> Iterator[Any]:
        picture = first.copy()
        for strip in job.strips:
            painter.strip(picture, strip)
            yield as_frame(picture)

    others = packets(moving(), size, each_whole=False)[1:]
    whole = packets(firsts(), size, each_whole=True)
    return Clip(
        dict(zip(job.strips, whole, strict=True)),
        tuple((moment[0], packet) for moment, packet in zip(moments[1:], others, strict=True)),
    )


def _moments(turn: Turn, frames: dict[str, Any]) -> Iterator[tuple[int, int, str, str]]:
    """Film frame, picture number, word and breath, wherever one of them changes."""
    before: tuple[int, str, str] | None = None
    for at, count, pose_from, pose_to in turn.times:
        for step in range(count):
            share = pose_from + (pose_to - pose_from) * (step / max(count - 1, 1))
            now = (_picture(frames, share), _standing(turn.words, at + step), _standing(turn.breaths, at + step))
            if now != before:
                yield (at + step, *now)
                before = now


def _picture(frames: dict[str, Any], share: float) -> int:
    """The number of the drawn frame for a share of the repetition's loop."""
    way = frames["out"] if share <= 0.5 else frames["back"]
    along = share * 2 if share <= 0.5 else share * 2 - 1
    return int(way[round(min(along, 1.0) * (len(way) - 1))])


def _standing(lines: tuple[tuple[int, str], ...], at: int) -> str:
    return next((text for since, text in reversed(lines) if since <= at), "")


def _paint(
    painter: Painter, picture: Any, job: TurnJob, frames: dict[str, Any], moment: tuple[int, int, str, str]
) -> None:
    _at, number, word, breath = moment
    painter.moving(
        picture, frames, number, title=job.exercise.title, word=word, breath=breath, stop=job.exercise.stop_if
    )


def _frames(exercise: SheetExercise, side: str, look: Look) -> dict[str, Any]:
    """The figure's frames; both-sided movements are drawn on the side that is done."""
    return animation(
        exercise.movement_id,
        exercise.posture,
        kit=exercise.kit,  # type: ignore[arg-type]
        stature_m=look.stature_m,
        mass_kg=look.mass_kg,
        look=look.look,
        out_s=exercise.out_s,
        pause_s=exercise.pause_s,
        back_s=exercise.back_s,
        side=side or exercise.side or ("left" if exercise.each_side else ""),
    )


def _painter(look: Look) -> Painter:
    return Painter(SIZES[look.size], emergency=look.emergency, version=look.version)


def _packed(clip: Clip) -> bytes:
    return pickle.dumps(clip, protocol=5)


def _unpacked(content: bytes) -> Clip:
    clip = pickle.loads(content)  # noqa: S301  (our own file, in the folder of the store)
    if not isinstance(clip, Clip):
        raise TypeError("a clip file holds something else")
    return clip

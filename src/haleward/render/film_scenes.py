"""What a worker makes of a session: the clip of one repetition, or the cards of one stretch, as encoded packets."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import groupby
from pathlib import Path
from typing import Any

from haleward.record import Record
from haleward.render.draw_list import Shape
from haleward.render.figure import CycleFrames, cycle_frames, look_for
from haleward.render.film_clips import OPTIONS, X264, packed, packets, unpacked
from haleward.render.film_draw import Painter
from haleward.render.film_plan import Card, Shot, Strip, Turn, movements
from haleward.render.film_planes import SIZES, Part, Planes, as_painted
from haleward.render.kept import Kept
from haleward.render.sound import film_package
from haleward.session.cue_sheet import CueSheet, SheetExercise
from haleward.wording import Wording, default_wording

LAYOUT = 9  # raise it when the pictures change: clips kept on disk are then made anew
KIND = "clip"
FEWEST_POSES, MOST_POSES = 25, 75  # drawn each way, however short or long the movement takes


@dataclass(frozen=True)
class Look:
    """What the pictures need besides the cue sheet: the figure, the size and the lines of every card.

    ``direction`` is how the words are read, and ``draft`` a mark on every picture of words that nobody has reviewed.
    """

    stature_m: float | None
    mass_kg: float | None
    look: str
    size: str
    emergency: str
    version: str
    direction: str = "ltr"
    draft: str = ""

    @classmethod
    def of(cls, record: Record, *, size: str, emergency: str, version: str, wording: Wording | None = None) -> Look:
        """The look of one person's film, in the language of ``wording``."""
        look = look_for(record.sex, record.look, person_id=record.person_id)
        told = wording or default_wording()
        draft = told.draft_line.partition(":")[0]
        return cls(record.stature_m, record.mass_kg, look, size, emergency, version, told.direction, draft)


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
    def facts(self) -> object:
        """All that the clip is made from."""
        return (*made_with(), drawn_from(self.exercise), self.exercise.stop_if, self.turn, self.strips, self.look)


@dataclass(frozen=True)
class CardsJob:
    """The cards of one stretch, in order."""

    exercise: SheetExercise | None
    cards: tuple[Card, ...]
    anchors: tuple[tuple[int, str], ...]
    look: Look

    @property
    def facts(self) -> object:
        """All that the cards are made from."""
        exercise = drawn_from(self.exercise) if self.exercise else None
        return (*made_with(), exercise, self.cards, self.anchors, self.look)


def made_with() -> tuple[object, ...]:
    """The layout, the packages and the settings that pictures are made with."""
    return (LAYOUT, *(film_package(name).__version__ for name in ("av", "skia")), OPTIONS, X264, SIZES)


def drawn_from(exercise: SheetExercise) -> tuple[object, ...]:
    """What the figure of an exercise is drawn from."""
    return (exercise.title, exercise.movement_id, exercise.posture, exercise.kit, exercise.each_side, exercise.side)


def turn_jobs(sheet: CueSheet, shots: tuple[Shot, ...], look: Look) -> dict[Turn, TurnJob]:
    """The clips that a film needs, by the repetition with its strip left out."""
    strips: dict[Turn, list[Strip]] = {}
    for shot in shots:
        if isinstance(shot.shown, Turn):
            strips.setdefault(bare(shot.shown), []).append(shot.shown.strip)
    return {
        turn: TurnJob(movements(sheet)[turn.exercise], turn, tuple(dict.fromkeys(found)), look)
        for turn, found in strips.items()
    }


def bare(turn: Turn) -> Turn:
    """The repetition without what differs between repetitions."""
    return replace(turn, block=0, strip=Strip())


def stacks(shots: tuple[Shot, ...]) -> list[list[list[int]]]:
    """The groups of cards, by the exercise that they are about."""
    found: dict[int, list[list[int]]] = {}
    for group in card_groups(shots):
        card = shots[group[0]].shown
        found.setdefault(card.exercise, []).append(group)
    return list(found.values())


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
    kept = Kept(folder, KIND)
    found = kept.get(job.facts)
    if found is None:
        whole, others = _drawn_clip(job)
        kept.put(job.facts, packed([*((0, packet) for packet in whole), *others]))
    else:
        both = unpacked(found)
        whole, others = [packet for _, packet in both[: len(job.strips)]], both[len(job.strips) :]
    return Clip(dict(zip(job.strips, whole, strict=True)), tuple(others))


def make_stack(jobs: Sequence[CardsJob], folder: Path | None) -> list[list[bytes]]:
    """The packets of several stretches of cards; those about one exercise share its figure."""
    return [make_cards(job, folder) for job in jobs]


def make_cards(job: CardsJob, folder: Path | None) -> list[bytes]:
    """The packets of the cards; the first is whole. Those about no exercise name the person and are not kept."""
    kept = Kept(folder if job.exercise else None, KIND)
    found = kept.get(job.facts)
    if found is None:
        made = packets((planes.frame() for planes in _card_pictures(job)), SIZES[job.look.size], each_whole=False)
        kept.put(job.facts, packed([(0, packet) for packet in made]))
        return made
    return [packet for _, packet in unpacked(found)]


def poster(job: CardsJob) -> bytes:
    """The first card of a job as JPEG."""
    skia = film_package("skia")
    pixels = as_painted(next(_card_pictures(job)).frame())
    image = skia.Image.fromarray(pixels, colorType=skia.kRGBA_8888_ColorType)
    return bytes(image.encodeToData(skia.kJPEG, 88))


def _card_pictures(job: CardsJob) -> Iterator[Planes]:
    """One picture after another; only what differs from the one before is painted."""
    painter, planes = _painter(job.look), Planes(SIZES[job.look.size])
    planes.put(painter.heading(job.cards[0].heading))
    planes.put(painter.foot)
    before: Card | None = None
    for card in job.cards:
        if job.exercise:
            planes.put(_still(job.exercise, card.side, job.look, arrow=not card.big and not card.scale))
        if card.big:
            planes.put(painter.count(card.big))
        if before is None or replace(before, big=card.big) != card or bool(before.big) != bool(card.big):
            planes.put(painter.card(card, beside_figure=bool(job.exercise), scale=job.anchors if card.scale else ()))
        before = card
        yield planes


def _drawn_clip(job: TurnJob) -> tuple[list[bytes], list[tuple[int, bytes]]]:
    """A whole first picture for each strip; and the others of one repetition with their film frames."""
    painter, size = _painter(job.look), SIZES[job.look.size]
    poses = min(max(max(count for _, count, _, _ in job.turn.times), FEWEST_POSES), MOST_POSES)
    cycle = _cycle(job.exercise, job.turn.side, job.look, poses=poses)
    moments = list(_moments(job.turn, cycle))
    planes = Planes(size)
    planes.put(painter.heading(job.exercise.title))
    planes.put(painter.strip(None))
    columns: dict[tuple[str, str], Part] = {}
    figures: dict[int, Part] = {}  # by the identity of the instant: what is seen twice is painted once
    planes.put(painter.figure(()))
    span = painter.span(moment.shapes for moment in moments)

    def show(moment: _Moment) -> Planes:
        words = (moment.word, moment.breath)
        if words not in columns:
            columns[words] = painter.column(word=moment.word, breath=moment.breath, stop=job.exercise.stop_if)
        planes.put(columns[words])
        if id(moment.shapes) not in figures:
            figures[id(moment.shapes)] = painter.figure(moment.shapes, within=span)
        planes.put(figures[id(moment.shapes)])
        return planes

    def firsts() -> Iterator[Any]:
        show(moments[0])
        for strip in job.strips:
            planes.put(painter.strip(strip))
            yield planes.frame()

    others = packets((show(moment).frame() for moment in moments), size, each_whole=False)[1:]
    whole = packets(firsts(), size, each_whole=True)
    return whole, [(moment.at, packet) for moment, packet in zip(moments[1:], others, strict=True)]


@dataclass(frozen=True)
class _Moment:
    """From film frame ``at`` of the repetition on: the figure, the word and the breath that are seen."""

    at: int
    shapes: Sequence[Shape]
    word: str
    breath: str


def _moments(turn: Turn, cycle: CycleFrames) -> Iterator[_Moment]:
    """The pictures of a repetition, a new one wherever something changes."""
    before: tuple[int, str, str] | None = None
    for at, count, pose_from, pose_to in turn.times:
        for step in range(count):
            shapes = _pose(cycle, pose_from + (pose_to - pose_from) * (step / max(count - 1, 1)))
            word, breath = _standing(turn.words, at + step), _standing(turn.breaths, at + step)
            now = (id(shapes), word, breath)
            if now != before:
                yield _Moment(at + step, shapes, word, breath)
                before = now


def _pose(cycle: CycleFrames, share: float) -> Sequence[Shape]:
    """The drawn instant for a share of the repetition's loop."""
    way = cycle.out if share <= 0.5 else cycle.back
    along = share * 2 if share <= 0.5 else share * 2 - 1
    return way[round(min(along, 1.0) * (len(way) - 1))]


def _standing(lines: tuple[tuple[int, str], ...], at: int) -> str:
    return next((text for since, text in reversed(lines) if since <= at), "")


@lru_cache(maxsize=16)
def _still(exercise: SheetExercise, side: str, look: Look, *, arrow: bool) -> Part:
    """The start pose, with the arrow of the first move if wanted."""
    cycle = _cycle(exercise, side, look, poses=2)
    return _painter(look).figure([*cycle.out[0], *(cycle.arrow if arrow else [])])


def _cycle(exercise: SheetExercise, side: str, look: Look, *, poses: int) -> CycleFrames:
    """One repetition, with ``poses`` instants each way; both-sided movements are drawn on the side that is done."""
    box = _painter(look).figure_box
    return cycle_frames(
        exercise.movement_id,
        exercise.posture,
        kit=exercise.kit,  # type: ignore[arg-type]
        stature_m=look.stature_m,
        mass_kg=look.mass_kg,
        look=look.look,
        size=(box.width, box.height),
        frames_each_way=poses,
        arrow=True,
        side=side or exercise.side or ("left" if exercise.each_side else ""),
    )


@lru_cache(maxsize=2)
def _painter(look: Look) -> Painter:
    lines = {"emergency": look.emergency, "version": look.version, "draft": look.draft}
    return Painter(SIZES[look.size], **lines, direction=look.direction)

"""The film's shots: from the cue sheet to pictures and repetitions, each at a whole number of film frames."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import groupby

from haleward.session.cue_sheet import Block, Cue, CueSheet, SheetExercise
from haleward.wording import Wording, default_wording

FRAMES_A_SECOND = 25
FRAME_MS = 1000 // FRAMES_A_SECOND
_TOLD_EVERY_S = 5  # a countdown changes this often, and each second at its end
_LAST_SECONDS = 10
_MINUTE_MS = 60_000
FRAME_DO = "frame_do"  # how the keys begin of the sentence after which a warm-up movement starts


@dataclass(frozen=True)
class Card:
    """A still picture with words: ``text`` is what is being said, ``big`` a countdown; ``exercise`` draws its start."""

    heading: str
    text: str
    exercise: int = -1
    big: str = ""
    side: str = ""
    scale: bool = False  # the effort numbers are shown


@dataclass(frozen=True)
class Turn:
    """One repetition of one side. Its pictures are those of every other; only the strip below differs."""

    exercise: int
    side: str
    block: int
    times: tuple[tuple[int, int, float, float], ...]  # film frames from its start, their count, pose from and to
    breaths: tuple[tuple[int, str], ...]  # from which film frame of the repetition the line stands
    words: tuple[tuple[int, str], ...]
    strip: Strip


@dataclass(frozen=True)
class Strip:
    """What stands under the figure during one repetition."""

    count: str = ""
    of: str = ""
    done: int = 0
    total: int = 0
    set_line: str = ""


@dataclass(frozen=True)
class Shot:
    """A card or a repetition and the film frames that it stands for."""

    start: int
    length: int
    shown: Card | Turn


@dataclass(frozen=True)
class Chapter:
    """A place to jump to."""

    start_ms: int
    title: str


def movements(sheet: CueSheet) -> tuple[SheetExercise, ...]:
    """Every movement of the session; shots name them by their place here: the programme's, then the frame's."""
    return (*sheet.exercises, *sheet.frame)


def place_of(sheet: CueSheet, block: Block) -> int:
    """The place of a block's movement among all; -1 for none."""
    return len(sheet.exercises) + block.frame if block.frame >= 0 else block.exercise


def frame_at(at_ms: int) -> int:
    """The film frame nearest to a moment."""
    return round(at_ms / FRAME_MS)


def shots_of(sheet: CueSheet, wording: Wording | None = None) -> tuple[Shot, ...]:
    """All shots in order, without a gap from first to last frame; the strip's words are those of ``wording``."""
    say = _Say(wording or default_wording())
    found = [shot for index, block in enumerate(sheet.blocks) for shot in _block_shots(sheet, index, block, say)]
    end = frame_at(sheet.length_ms)
    starts = [*(shot.start for shot in found[1:]), end]
    closed = [Shot(shot.start, stop - shot.start, shot.shown) for shot, stop in zip(found, starts, strict=True)]
    return tuple(shot for shot in closed if shot.length > 0)


def chapters(sheet: CueSheet, *, start: str, end: str) -> tuple[Chapter, ...]:
    """One chapter for each movement with its dose, for the warm-up and for the cool-down; one before and one after."""
    found = [Chapter(0, start)]
    for block in sheet.blocks:
        title = ""
        if block.frame >= 0:
            title = block.title
        elif block.kind in ("setup", "walk"):
            title = sheet.exercises[block.exercise].told
        elif block.kind == "close":
            title = end
        if title and title != found[-1].title:
            found.append(Chapter(block.start_ms, title))
    return tuple(found)


@dataclass(frozen=True)
class _Say:
    """A line of the strip, by its key."""

    wording: Wording

    def __call__(self, key: str, **values: str) -> str:
        return self.wording.text(key, values)


def _block_shots(sheet: CueSheet, index: int, block: Block, say: _Say) -> Iterator[Shot]:
    start = frame_at(block.start_ms)
    if block.kind == "set":
        yield from _set_shots(sheet, index, block, say)
    elif block.kind == "walk":
        yield from _again(sheet, index, block, start, frame_at(block.start_ms + block.length_ms), say)
    elif block.frame >= 0:
        yield from _frame_shots(sheet, index, block, say)
    elif block.kind == "rest":
        yield from _rest_shots(block, start)
    else:
        yield from _said_shots(block, start, place=block.exercise, scale=block.kind == "ask_effort")


def _said_shots(block: Block, start: int, *, place: int, scale: bool = False) -> Iterator[Shot]:
    """A card for each sentence; the first is there from the start of the block."""
    said = [cue for cue in block.cues if cue.kind == "say"]
    if not said:
        yield Shot(start, 0, Card(block.title, "", place, scale=scale))
    for number, cue in enumerate(said):
        at = start if number == 0 else frame_at(cue.start_ms)
        yield Shot(at, 0, Card(block.title, cue.text, place, side=cue.side, scale=scale))


def _rest_shots(block: Block, start: int) -> Iterator[Shot]:
    """Seconds left, and the sentence that was said last."""
    end_ms = block.start_ms + block.length_ms
    said = [cue for cue in block.cues if cue.kind == "say"]
    moments = {block.start_ms, *(cue.start_ms for cue in said)}
    moments |= {end_ms - left * 1000 for left in _seconds_told(block.length_ms)}
    for at_ms in sorted(moment for moment in moments if block.start_ms <= moment < end_ms):
        text = next((cue.text for cue in reversed(said) if cue.start_ms <= at_ms), "")
        left = -(-(end_ms - at_ms) // 1000)
        shown = left if left <= _LAST_SECONDS else -(-left // _TOLD_EVERY_S) * _TOLD_EVERY_S
        at = start if at_ms == block.start_ms else frame_at(at_ms)
        yield Shot(at, 0, Card(block.title, text, block.exercise, big=str(shown)))


def _seconds_told(length_ms: int) -> Iterator[int]:
    for left in range(length_ms // 1000, 0, -1):
        if left <= _LAST_SECONDS or left % _TOLD_EVERY_S == 0:
            yield left


def _set_shots(sheet: CueSheet, index: int, block: Block, say: _Say) -> Iterator[Shot]:
    exercise = sheet.exercises[block.exercise]
    shown = [cue for cue in block.cues if cue.kind == "show"]
    turns = [list(group) for _, group in groupby(shown, key=lambda cue: (cue.side, cue.repetition))]
    first = turns[0][0].start_ms if turns else block.start_ms + block.length_ms
    yield from _waiting(block, block.start_ms, first)
    for number, turn in enumerate(turns):
        end_ms = turn[-1].start_ms + turn[-1].length_ms
        yield Shot(frame_at(turn[0].start_ms), 0, _turn(block, index, turn, _strip(exercise, block, turn[0], say)))
        following = turns[number + 1][0].start_ms if number + 1 < len(turns) else block.start_ms + block.length_ms
        if following - end_ms >= FRAME_MS:
            yield from _waiting(block, end_ms, following)


def _strip(exercise: SheetExercise, block: Block, first: Cue, say: _Say) -> Strip:
    """The count of a repetition, or how long a hold lasts; the side and the set."""
    sets = {"set_number": str(block.set_number), "sets": str(exercise.sets)}
    side = next((cue.text for cue in block.cues if cue.wording_key == f"side_{first.side}"), "")
    place = f"{side} {say('film_set', **sets)}".strip()
    if exercise.hold_s:
        return Strip(count=f"{exercise.hold_s:g}", of=say("film_seconds"), set_line=place)
    count = first.repetition
    of = say("film_of", reps=str(exercise.repetitions))
    return Strip(str(count), of, count, exercise.repetitions, place)


def _waiting(block: Block, from_ms: int, to_ms: int) -> Iterator[Shot]:
    """The start pose with what is being said, before the first repetition and between the sides."""
    said = [cue for cue in block.cues if cue.kind == "say" and from_ms <= cue.start_ms < to_ms]
    if not said or frame_at(said[0].start_ms) > frame_at(from_ms):
        yield Shot(frame_at(from_ms), 0, Card(block.title, "", block.exercise, side=said[0].side if said else ""))
    for cue in said:
        yield Shot(frame_at(cue.start_ms), 0, Card(block.title, cue.text, block.exercise, side=cue.side))


def _turn(block: Block, index: int, shown: list[Cue], strip: Strip) -> Turn:
    start_ms, first = shown[0].start_ms, shown[0]
    end_ms = shown[-1].start_ms + shown[-1].length_ms
    here = [cue for cue in block.cues if cue.side == first.side and start_ms <= cue.start_ms < end_ms]
    breaths = tuple((frame_at(cue.start_ms - start_ms), cue.text) for cue in here if cue.kind == "breathe")
    times = tuple(
        (frame_at(cue.start_ms - start_ms), frame_at(cue.length_ms), cue.pose_from, cue.pose_to) for cue in shown
    )
    return Turn(block.exercise, first.side, index, times, breaths, _words(block, first.side, shown), strip)


def _words(block: Block, side: str, shown: list[Cue]) -> tuple[tuple[int, str], ...]:
    """The movement words, the same in every repetition: out at its start, hold while it is held, back when it turns."""
    said = [cue for cue in block.cues if cue.kind == "say" and cue.side == side]
    keys = {cue.wording_key: cue.text for cue in reversed(said) if cue.wording_key in ("move_out", "move_back", "hold")}
    first = next((cue.wording_key for cue in said if cue.wording_key in ("move_out", "move_back")), "move_out")
    second = "move_back" if first == "move_out" else "move_out"
    starts = [frame_at(cue.start_ms - shown[0].start_ms) for cue in shown]
    held = ((starts[1], keys["hold"]),) if "hold" in keys and len(shown) > 2 else ()
    return ((0, keys.get(first, "")), *held, (starts[-1], keys.get(second, "")))


def _frame_shots(sheet: CueSheet, index: int, block: Block, say: _Say) -> Iterator[Shot]:
    """A movement of the warm-up or the cool-down: how to take one's place, then the movement again and again."""
    place, end_ms = place_of(sheet, block), block.start_ms + block.length_ms
    said = [cue for cue in block.cues if cue.kind == "say"]
    begun = [cue.start_ms + cue.length_ms for cue in said if cue.wording_key.startswith(FRAME_DO)]
    first_ms = min([*begun, end_ms])
    opening = [cue for cue in said if cue.start_ms < first_ms]
    yield from _said_shots(replace(block, cues=tuple(opening)), frame_at(block.start_ms), place=place)
    sides = [(cue.start_ms, cue.side) for cue in said if cue.side]
    starts = [(first_ms, sides[0][1] if sides else ""), *sides[1:]]
    for (from_ms, side), until_ms in zip(starts, [*(at for at, _ in starts[1:]), end_ms], strict=True):
        yield from _again(sheet, index, block, frame_at(from_ms), frame_at(until_ms), say, side=side)


def _again(
    sheet: CueSheet, index: int, block: Block, start: int, end: int, say: _Say, *, side: str = ""
) -> Iterator[Shot]:
    """One movement again and again, with the minutes left of its block."""
    place = place_of(sheet, block)
    exercise = movements(sheet)[place]
    out, pause, back = (
        frame_at(round(seconds * 1000)) for seconds in (exercise.out_s, exercise.pause_s, exercise.back_s)
    )
    ways = ((0, out, 0.0, 0.5), (out, pause, 0.5, 0.5), (out + pause, back, 0.5, 1.0))
    times = tuple(way for way in ways if way[1])
    block_end = frame_at(block.start_ms + block.length_ms)
    for at in range(start, end, out + pause + back):
        left = -(-(block_end - at) * FRAME_MS // _MINUTE_MS)
        strip = Strip(
            count=str(left),
            of=say("film_minute_left" if left == 1 else "film_minutes_left"),
            set_line=exercise.dose_text,
        )
        yield Shot(at, 0, Turn(place, side, index, times, ((0, exercise.breathing),), ((0, block.title),), strip))

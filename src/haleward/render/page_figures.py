"""The moving figures of the page, and the still ones of its list of movements."""

from __future__ import annotations

import re
from typing import Any

from haleward.movement.library import Library
from haleward.record import Record
from haleward.render.figure import animation, look_for
from haleward.session.cue_sheet import SheetExercise

Figure = dict[str, Any]  # as haleward.render.figure.animation gives it
_NUMBER = re.compile(r"-?\d+")


def figures_of(exercise: SheetExercise, record: Record, library: Library) -> dict[str, Figure]:
    """The frames of one movement, by side."""
    look = look_for(record.sex, record.look, person_id=record.person_id)
    return {
        side: animation(
            exercise.movement_id,
            exercise.posture,
            kit=exercise.kit,  # type: ignore[arg-type]
            stature_m=record.stature_m,
            mass_kg=record.mass_kg,
            look=look,
            out_s=exercise.out_s,
            pause_s=exercise.pause_s,
            back_s=exercise.back_s,
            side=side,
            library=library,
        )
        for side in ((exercise.side,) if exercise.side else ("left", "right") if exercise.each_side else ("",))
    }


def by_change(figures: dict[str, Figure]) -> dict[str, Figure]:
    """The figures with what a frame has of the one before it left out; ``page_assets/frames.js`` is the other half."""
    return {side: {**figure, "frames": _changes(figure["frames"])} for side, figure in figures.items()}


def _changes(frames: list[list[Any]]) -> list[list[Any]]:
    """Of each shape: 0 if it is the one before at its place, else by how much its numbers went on, else all of it."""
    before = [[], *frames[:-1]]
    return [
        [_change(shape, then[place] if place < len(then) else None) for place, shape in enumerate(frame)]
        for frame, then in zip(frames, before, strict=True)
    ]


def _change(shape: list[Any], before: list[Any] | None) -> Any:
    if before is None or before[1:] != shape[1:]:
        return shape
    if before[0] == shape[0]:
        return 0
    numbers, others = ([int(number) for number in _NUMBER.findall(path)] for path in (shape[0], before[0]))
    if len(numbers) != len(others):
        return shape
    steps = [number - other for number, other in zip(numbers, others, strict=True)]
    return steps if went_on(before[0], steps) == shape[0] else shape


def went_on(path: str, steps: list[int]) -> str:
    """A path with each of its numbers gone on by a step."""
    left = iter(steps)
    return _NUMBER.sub(lambda found: str(int(found[0]) + next(left)), path)


def still_of(figures: dict[str, Figure]) -> Figure:
    """The start picture of a movement alone, for the list of movements."""
    first = next(iter(figures.values()))
    start = first["frames"][first["out"][0]]
    return {"size": first["size"], "palette": first["palette"], "frames": [start], "out": [0], "back": [0]}

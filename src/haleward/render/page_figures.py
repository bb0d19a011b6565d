"""The moving figures of the page, and the still ones of its list of movements."""

from __future__ import annotations

from typing import Any

from haleward.movement.library import Library
from haleward.record import Record
from haleward.render.figure import animation, look_for
from haleward.session.cue_sheet import SheetExercise

Figure = dict[str, Any]  # as haleward.render.figure.animation gives it


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


def still_of(figures: dict[str, Figure]) -> Figure:
    """The start picture of a movement alone, for the list of movements."""
    first = next(iter(figures.values()))
    start = first["frames"][first["out"][0]]
    return {"size": first["size"], "palette": first["palette"], "frames": [start], "out": [0], "back": [0]}

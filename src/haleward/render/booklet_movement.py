"""What print shows of one movement, and of the warm-up and the cool-down around them."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from haleward.movement.library import Library
from haleward.record import Record
from haleward.render.draw import ARROW
from haleward.render.figure import look_for, still
from haleward.session.cue_sheet import CueSheet, SheetExercise
from haleward.wording import Wording

STEPS_MOST = 4  # numbered lines of one movement (job reference, section 4.7); further ones stand with the kit
PICTURE = (430, 480)
_PICTURE_WORD = re.compile(r"<text.*?</text>")  # the word "hold": too small in print, where the caption says it
_STAGES = (("warm_up", "card_warm_up"), ("cool_down", "card_cool_down"))


def frame_data(
    sheet: CueSheet, record: Record, library: Library, wording: Wording, values: Mapping[str, str]
) -> dict[str, dict[str, Any]]:
    """Warm-up and cool-down as heading, a line with their minutes and their movements; a stage may have none."""
    return {
        stage: {
            "heading": wording.text(f"{stage}_heading", values),
            "minutes": wording.text(minutes, values) if wording.has_values(minutes, values) else "",
            "exercises": [
                exercise_data(sheet.frame[block.frame], record, library, wording, values)
                for block in sheet.blocks
                if block.kind == stage and block.frame >= 0
            ],
        }
        for stage, minutes in _STAGES
    }


def exercise_data(
    exercise: SheetExercise,
    record: Record,
    library: Library,
    wording: Wording,
    values: Mapping[str, str],
    *,
    in_words: bool = False,
) -> dict[str, Any]:
    """One movement as print shows it: two pictures with their words, at most four numbered lines, the dose.

    ``in_words`` adds the whole movement in words, for someone who sees little. The harder version is there only where
    the lead agreed it.
    """
    rest = wording.text("dose_rest", {"rest_seconds": str(exercise.rest_s)}) if exercise.rest_s else ""
    hold = {"hold_seconds": f"{exercise.hold_s:g}"}
    load, kit = f"{exercise.load_text}.", [exercise.kit_line, *exercise.setup[STEPS_MOST:], exercise.band_setup]
    if exercise.load_text.lower() in exercise.kit_line.lower():
        load = kit.pop(0)  # "Use your own weight." says "Your own weight." already
    pictures = _pictures(exercise, record, library, wording, values)
    return {
        "title": exercise.title,
        "purpose": exercise.purpose,
        "dose": exercise.dose_text,
        "load": load,
        "rest": rest,
        "kit": [line for line in kit if line],
        "steps": list(exercise.setup[:STEPS_MOST]),
        "move": _move(exercise, wording),
        "hold": wording.text("print_count_hold", hold) if exercise.hold_s else "",
        "breathing": exercise.breathing,
        "easier": exercise.easier,
        "harder": exercise.harder if exercise.harder_agreed else "",
        "in_words": exercise.low_vision if in_words else "",
        "stop_if": exercise.stop_if,
        "arrow": any(ARROW.upper() in picture["svg"].upper() for picture in pictures),
        "pictures": pictures,
    }


def _pictures(
    exercise: SheetExercise, record: Record, library: Library, wording: Wording, values: Mapping[str, str]
) -> list[dict[str, str]]:
    """Start and end, each with its caption and its text alternative."""
    end = "print_picture_hold" if exercise.hold_s else "picture_end"
    poses = (("start", exercise.alt_start, "picture_start"), ("end", exercise.alt_end, end))
    return [
        {"svg": _still(exercise, pose, record, library), "alt": alt, "caption": wording.text(caption, values)}
        for pose, alt, caption in poses
    ]


def _move(exercise: SheetExercise, wording: Wording) -> str:
    """The movement out of the start and back again, in the words that are said."""
    words = wording.movement(exercise.movement_id, exercise.posture)
    first, second = words.move_out, words.move_back
    if words.effort_phase == "to_start":
        first, second = second, first
    return wording.text("print_picture_move", {"cue_out": first, "cue_back": second})


def _still(exercise: SheetExercise, pose: str, record: Record, library: Library) -> str:
    svg = still(
        exercise.movement_id,
        exercise.posture,
        kit=exercise.kit,  # type: ignore[arg-type]
        pose="start" if pose == "start" else "end",
        stature_m=record.stature_m,
        mass_kg=record.mass_kg,
        look=look_for(record.sex, record.look, person_id=record.person_id),
        size=PICTURE,
        side=exercise.side or ("left" if exercise.each_side else ""),
        title=exercise.alt_start if pose == "start" else exercise.alt_end,
        library=library,
    )
    return _PICTURE_WORD.sub("", svg)

"""From a line of the programme to what page and print say about it."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from haleward.dose.model import Exercise
from haleward.session.context import Planned
from haleward.session.cue_sheet import SheetExercise
from haleward.session.options import USUAL, SessionOptions
from haleward.session.words import dose_words, load_words
from haleward.wording import MovementWording, Wording

if TYPE_CHECKING:
    from haleward.movement.library import Library
    from haleward.movement.model import Form

_HELD = ("hand_weight", "bottle")
_SUPPORTS = frozenset({"clear_wall", "worktop", "armchair", "step_height_m"})


def planned_exercise(
    index: int,
    exercise: Exercise,
    *,
    library: Library,
    wording: Wording,
    options: SessionOptions = USUAL,
) -> Planned:
    """The exercise at the chosen pace, with its words and the circumstances that choose its variants."""
    exercise = replace(exercise, dose=options.at_pace(exercise.dose))
    words = wording.movement(exercise.movement_id, exercise.posture)
    movement = library.movements[exercise.movement_id]
    form = movement.postures[exercise.posture]
    sheet = _sheet_exercise(exercise, words=words, form=form, wording=wording)
    return Planned(
        index=index,
        exercise=exercise,
        sheet=replace(sheet, harder_agreed=exercise.movement_id in options.harder_agreed),
        words=words,
        circumstances=_circumstances(exercise, words=words, upper=movement.upper),
    )


def _sheet_exercise(exercise: Exercise, *, words: MovementWording, form: Form, wording: Wording) -> SheetExercise:
    dose = exercise.dose
    use = form.kit_use.get(dose.load.kit)
    return SheetExercise(
        movement_id=exercise.movement_id,
        posture=exercise.posture,
        title=words.title,
        purpose=words.purpose_one_line,
        setup=words.setup + _support_line(words, form),
        breathing=words.breathing,
        kit_line=words.kit_line(dose.load.kit),
        load_text=load_words(dose.load, held=use.held if use else "", wording=wording, drawn=use.drawn if use else ""),
        dose_text=dose_words(dose, each_side=exercise.each_side, wording=wording, side=exercise.side or ""),
        easier=words.make_it_easier,
        harder=words.make_it_harder,
        faults=words.faults,
        stop_if=words.stop_if,
        alt_start=words.alt_text_start,
        alt_end=words.alt_text_end,
        low_vision=words.low_vision_words,
        kit=dose.load.kit,
        band_setup=words.band_setup if dose.load.kit == "band" else "",
        sets=dose.sets,
        repetitions=dose.repetitions,
        each_side=exercise.each_side,
        out_s=dose.out_s,
        pause_s=dose.pause_s,
        back_s=dose.back_s,
        hold_s=dose.hold_s,
        rest_s=dose.rest_s,
        drawn_kit=use.drawn if use else "",
        why=exercise.reasons,
        side=exercise.side or "",
    )


def _support_line(words: MovementWording, form: Form) -> tuple[str, ...]:
    """How to choose the support. The same column names other loads for other movements; those are not in the dose."""
    return (words.kit_other,) if words.kit_other and _SUPPORTS & set(form.needs) else ()


def _circumstances(exercise: Exercise, *, words: MovementWording, upper: bool) -> frozenset[str]:
    held = exercise.posture == "hand_supported"
    facts = {
        "held_weight": exercise.dose.load.kit in _HELD,
        "works_first": words.effort_phase == "to_end",
        "works_last": words.effort_phase == "to_start",
        "arms": upper,
        "leg": not upper and exercise.region != "trunk",
        "free_arm": upper and not held,
        "held_arm": upper and held,
        "balance": exercise.region == "balance",
    }
    return frozenset(name for name, true in facts.items() if true)

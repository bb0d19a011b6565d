"""Changes to a draft programme, each a new programme; whether it may be signed is checked apart."""

from __future__ import annotations

from dataclasses import replace

from haleward.dose.model import Dose, Exercise, LeftOut, Part, Programme, Walking
from haleward.dose.options import Choice, Option
from haleward.dose.programme import exercise_for, starting_dose
from haleward.errors import HalewardError
from haleward.web.prescription.ground import Ground
from haleward.web.team import protocol as in_force


def part_of(programme: Programme, part_key: str) -> Part:
    """One part. Raises when the programme has no such part."""
    part = next((part for part in programme.parts if part.key == part_key), None)
    if part is None:
        raise HalewardError(f"This plan has no part {part_key!r}. Open the programme again.")
    return part


def exercise_of(programme: Programme, part_key: str, index: int) -> Exercise:
    """One exercise. Raises when the part has no such line."""
    exercises = part_of(programme, part_key).exercises
    if not 0 <= index < len(exercises):
        raise HalewardError("This exercise is no longer in the plan. Open the programme again.")
    return exercises[index]


def dosed(
    exercise: Exercise,
    choice: Choice,
    *,
    sets: int,
    repetitions: int,
    hold_s: float,
    rest_s: int,
    by: str,
    ground: Ground,
) -> Exercise:
    """The exercise with another dose: the load and posture of ``choice``, the tempo of the movement's own form."""
    form = ground.library.form(exercise.movement_id, choice.posture)
    start = starting_dose(form, choice, policy=ground.protocol.policies.dose)
    dose: Dose = replace(start, sets=sets, repetitions=repetitions, hold_s=hold_s, rest_s=rest_s)
    if (dose, choice.posture, choice.side) == (exercise.dose, exercise.posture, exercise.side):
        return exercise
    changed = in_force.wording().text("why_dose_changed", {"name": by})
    reasons = tuple(dict.fromkeys((*exercise.reasons, changed)))
    both = form.each_side and choice.side is None
    return replace(
        exercise,
        posture=choice.posture,
        dose=dose,
        rung=choice.rung,
        reasons=reasons,
        side=choice.side,
        each_side=both,
    )


def exercise_from(option: Option, *, by: str, ground: Ground) -> Exercise:
    """A movement that the lead chose, at its starting rung and the protocol's starting dose."""
    return exercise_for(
        option,
        option.start,
        ground.prescription.placement,
        library=ground.library,
        policy=ground.protocol.policies.dose,
        why=(in_force.wording().text("why_chosen", {"name": by}),),
    )


def with_exercise(programme: Programme, part_key: str, index: int, exercise: Exercise) -> Programme:
    """The programme with one line replaced."""
    exercises = list(part_of(programme, part_key).exercises)
    exercises[index] = exercise
    return _with_part(programme, part_key, tuple(exercises))


def without_exercise(programme: Programme, part_key: str, index: int) -> Programme:
    """The programme with one line taken out."""
    exercises = part_of(programme, part_key).exercises
    return _with_part(programme, part_key, exercises[:index] + exercises[index + 1 :])


def with_added(programme: Programme, part_key: str, exercise: Exercise) -> Programme:
    """The programme with one line more, last in its part."""
    return _with_part(programme, part_key, (*part_of(programme, part_key).exercises, exercise))


def moved(programme: Programme, part_key: str, index: int) -> Programme:
    """The programme with one line moved to the other part, last."""
    other = next(part.key for part in programme.parts if part.key != part_key)
    exercise = exercise_of(programme, part_key, index)
    return with_added(without_exercise(programme, part_key, index), other, exercise)


def with_days(programme: Programme, days: dict[str, tuple[str, ...]], walking: Walking) -> Programme:
    """The programme on other days."""
    parts = tuple(replace(part, days=days[part.key]) for part in programme.parts)
    return replace(programme, parts=parts, walking=walking)


def with_gaps(programme: Programme, ground: Ground) -> Programme:
    """The programme with what it leaves out named anew: regions without an exercise, and movements not usable."""
    covered = {exercise.region for part in programme.parts for exercise in part.exercises}
    kept = [left for left in programme.left_out if not left.movement_id and left.region not in covered]
    named = covered | {left.region for left in kept}
    words = in_force.wording()
    gaps = [
        LeftOut("", region, words.text("gap_taken_out", {"region": words.template(f"region_{region}")}))
        for region in ground.protocol.policies.dose.required_regions
        if region not in named
    ]
    notes = {left.reason for left in ground.options.left_out if not left.movement_id}
    return replace(
        programme,
        left_out=(*(left for left in kept if left.reason not in notes), *gaps, *ground.options.left_out),
    )


def _with_part(programme: Programme, part_key: str, exercises: tuple[Exercise, ...]) -> Programme:
    part_of(programme, part_key)
    parts = tuple(replace(part, exercises=exercises) if part.key == part_key else part for part in programme.parts)
    return replace(programme, parts=parts)

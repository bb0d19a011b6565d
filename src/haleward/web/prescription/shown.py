"""What the pages of prescription and programme show, made ready for the templates."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from haleward.capacity.model import Capacity
from haleward.dose.intensity import shown_range
from haleward.dose.kit_same import Same, same_in_kit
from haleward.dose.loads import load_text
from haleward.dose.model import Dose, Exercise, LeftOut, Load, Prescription, Programme
from haleward.dose.options import Option
from haleward.dose.substitutes import substitutes
from haleward.render.looks import look_for
from haleward.safety.protocol import Protocol
from haleward.web.assessment.questions import asked_for
from haleward.web.assessment.titles import movement_title
from haleward.web.people.models import Person
from haleward.web.prescription.gate_shown import gate_shown
from haleward.web.prescription.ground import Ground
from haleward.web.project.templatetags.show import number, posture
from haleward.web.protocol.sections import anchors_of
from haleward.web.team import protocol as in_force

KIT_WORDS = {
    "own_weight": "own weight",
    "hand_weight": "hand weight",
    "bottle": "bottle",
    "band": "band",
    "ankle_weight": "ankle weight",
}


def numbers_shown(prescription: Prescription, protocol: Protocol) -> dict[str, Any]:
    """Everything on the numbers page."""
    capacity = prescription.capacity
    return {
        "prescription": prescription,
        "gate": gate_shown(prescription.gate, protocol),
        "capacity": capacity if isinstance(capacity, Capacity) else None,
        "no_capacity": None if isinstance(capacity, Capacity) else capacity,
        "range": shown_range(prescription.intensity),
        "risk_because": [item for item in prescription.risk.items if item.state == "fired"],
        "risk_open": [item for item in prescription.risk.items if item.state == "unknown"],
        "risk_questions": asked_for(prescription.risk.missing),
        "placement_questions": asked_for(prescription.placement.ask),
        "anchors": anchors_of(protocol),
    }


@dataclass(frozen=True)
class ExerciseLine:
    """One exercise of a programme as a page shows it."""

    index: int
    exercise: Exercise
    title: str
    dose: str
    load: str
    alt_start: str
    alt_end: str


@dataclass(frozen=True)
class SwapLine:
    """One movement that can take an exercise's place, as a page shows it."""

    movement_id: str
    title: str
    start: str
    stays: str
    changes: str
    heavier: str


def swaps_shown(plan: Programme, exercise: Exercise, ground: Ground) -> tuple[SwapLine, ...]:
    """Movements for the same purpose that the plan does not have yet, nearest first."""
    used = frozenset(one.movement_id for part in plan.parts for one in part.exercises)
    found = substitutes(exercise, ground.options, used, ground.record, ground.library)
    return tuple(
        SwapLine(
            one.option.movement_id,
            movement_title(one.option.movement_id, one.option.start.posture),
            start_words(one.option),
            one.stays,
            one.changes,
            one.heavier,
        )
        for one in found
    )


def swap_told(plan: Programme, old: Exercise, new: Exercise, ground: Ground) -> str:
    """What a swap did, and whether the new movement starts heavier."""
    titles = (movement_title(one.movement_id, one.posture) for one in (new, old))
    heavier = next((one.heavier for one in swaps_shown(plan, old, ground) if one.movement_id == new.movement_id), "")
    return " ".join(filter(None, ("{} takes the place of {}.".format(*titles), heavier)))


def anew_told(before: Programme, after: Programme) -> str:
    """Which movements came and which went when a draft was chosen anew."""
    old, new = (
        {one.movement_id: movement_title(one.movement_id, one.posture) for part in plan.parts for one in part.exercises}
        for plan in (before, after)
    )
    comes, goes = ([two[key] for key in two if key not in one] for one, two in ((old, new), (new, old)))
    if not comes and not goes:
        return "The movements are chosen anew. They are the same as before."
    told = [f"{word}: {', '.join(titles)}." for word, titles in (("New", comes), ("Gone", goes)) if titles]
    return " ".join(("The movements are chosen anew.", *told))


def start_words(option: Option) -> str:
    """Posture and load that a movement would start with, as a plan shows them: "Seated, bottle 0.5 kg"."""
    return f"{posture(option.start.posture)}, {kit_load(option.start.load)}".capitalize()


def kit_load(load: Load) -> str:
    """A load with its kit, where the load alone does not say which: "hand weight 0.5 kg"."""
    if load.kit in ("own_weight", "band") or load.fill_ml is not None:
        return load_text(load)
    return f"{KIT_WORDS[load.kit]} {load_text(load)}"


def same_shown(exercise: Exercise, ground: Ground) -> tuple[Same, ...]:
    """The exercise's load in the person's other kit."""
    option = ground.options.find(exercise.movement_id)
    return same_in_kit(exercise, option, ground.record, ground.library) if option else ()


@dataclass(frozen=True)
class PartLines:
    """One part of a programme as a page shows it."""

    key: str
    days: str
    reasons: tuple[str, ...]
    lines: tuple[ExerciseLine, ...]


def parts_shown(programme: Programme) -> tuple[PartLines, ...]:
    """The parts with titles, doses and picture texts."""
    return tuple(
        PartLines(
            key=part.key,
            days=day_list(part.days),
            reasons=part.reasons,
            lines=tuple(line_of(index, exercise) for index, exercise in enumerate(part.exercises)),
        )
        for part in programme.parts
    )


def line_of(index: int, exercise: Exercise) -> ExerciseLine:
    """One exercise with its words."""
    wording = in_force.wording()
    known = wording.has_movement(exercise.movement_id, exercise.posture)
    words = wording.movement(exercise.movement_id, exercise.posture) if known else None
    return ExerciseLine(
        index=index,
        exercise=exercise,
        title=words.title if words else movement_title(exercise.movement_id),
        dose=dose_words(exercise.dose, each_side=exercise.each_side, side=exercise.side),
        load=kit_load(exercise.dose.load),
        alt_start=words.alt_text_start if words else "",
        alt_end=words.alt_text_end if words else "",
    )


def dose_words(dose: Dose, *, each_side: bool = False, side: str | None = None) -> str:
    """A dose as staff read it: "2 sets of 10, 90 seconds of rest"."""
    amount = f"a hold of {number(dose.hold_s)} seconds" if dose.hold_s else str(dose.repetitions)
    where = f" with the {side} arm only" if side else " each side" if each_side else ""
    sets = "1 set" if dose.sets == 1 else f"{dose.sets} sets"
    return f"{sets} of {amount}{where}, {dose.rest_s} seconds of rest"


def day_list(days: tuple[str, ...]) -> str:
    """Weekdays as words."""
    return ", ".join(day.capitalize() for day in days) or "no day chosen"


def left_out_shown(programme: Programme) -> dict[str, list[tuple[str, LeftOut]]]:
    """Gaps and notes, and the movements left out, each with its title."""
    gaps = [("", left) for left in programme.left_out if not left.movement_id]
    movements = [(movement_title(left.movement_id), left) for left in programme.left_out if left.movement_id]
    return {"gaps": gaps, "movements": sorted(movements, key=lambda pair: pair[0])}


def look_of(person: Person) -> str:
    """The drawn figure that is like this person, the same as in their session."""
    return look_for(person.sex or None, person.look, person_id=str(person.pk))  # type: ignore[arg-type]

"""What to have ready before the start: only the lines that this person and this session need."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from haleward.dose.model import Exercise
from haleward.record import Record

if TYPE_CHECKING:
    from haleward.movement.library import Library


def ready_keys(record: Record, exercises: Iterable[Exercise], *, library: Library) -> tuple[str, ...]:
    """Wording keys in the order of reading. What is not known (a fluid limit, say) brings no line at all."""
    lines = tuple(exercises)
    kits = {exercise.dose.load.kit for exercise in lines}
    needs = {need for exercise in lines for need in _needs(exercise, library)}
    chair = bool(needs & {"firm_chair", "armchair"})
    on_feet = not lines or any(exercise.posture != "seated" for exercise in lines)
    wanted = (
        ("check_nitrate", record.nitrate_prescribed is True),
        ("check_phone", True),
        ("check_tell", True),
        ("check_drink", record.fluid_limited is False),
        ("check_drink_limit", record.fluid_limited is True),
        ("check_meal", True),
        ("check_shoes", on_feet),
        ("check_glasses", True),
        ("check_chair", chair),
        ("check_space", bool(lines)),
        ("check_floor", bool(lines) and on_feet),
        ("check_band", "band" in kits),
        ("check_bottle", "bottle" in kits),
        ("check_weight_kit", bool(kits & {"hand_weight", "ankle_weight"})),
    )
    return tuple(key for key, needed in wanted if needed)


def _needs(exercise: Exercise, library: Library) -> tuple[str, ...]:
    return tuple(library.movements[exercise.movement_id].postures[exercise.posture].needs)

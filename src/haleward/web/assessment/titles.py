"""Movements by the title a person knows."""

from __future__ import annotations

from functools import cache

from haleward.record import POSTURES
from haleward.web.team import protocol as in_force


@cache
def movement_title(movement_id: str) -> str:
    """The title in the first posture that has words; the id as words where none has."""
    wording = in_force.wording()
    posture = next((posture for posture in POSTURES if wording.has_movement(movement_id, posture)), None)
    return wording.movement(movement_id, posture).title if posture else movement_id.replace("_", " ")


@cache
def movement_choices() -> tuple[tuple[str, str], ...]:
    """Every movement of the library by its title, for a select box."""
    pairs = ((movement_id, movement_title(movement_id)) for movement_id in in_force.library().movements)
    return tuple(sorted(pairs, key=lambda pair: pair[1]))

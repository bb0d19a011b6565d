"""Movements by the title a person knows."""

from __future__ import annotations

from functools import cache

from haleward.web.team import protocol as in_force


def movement_title(movement_id: str, posture: str = "") -> str:
    """The title people know it by in this posture; without a posture the movement's own name."""
    wording, movements = in_force.wording(), in_force.library().movements
    if posture and wording.has_movement(movement_id, posture):
        return wording.movement(movement_id, posture).title
    return movements[movement_id].name if movement_id in movements else movement_id.replace("_", " ")


@cache
def movement_choices() -> tuple[tuple[str, str], ...]:
    """Every movement of the library by its title, for a select box."""
    pairs = ((movement_id, movement_title(movement_id)) for movement_id in in_force.library().movements)
    return tuple(sorted(pairs, key=lambda pair: pair[1]))

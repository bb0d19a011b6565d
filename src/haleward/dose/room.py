"""How much free room a movement needs, against what the person says there is at home.

Three sizes: a seat and no more, room to stretch both arms out, and room to walk a few steps. Which movements walk is
data (``data/tables/room_needed.csv``); of the others a seated form needs the seat, unless its arms spread wide.
"""

from __future__ import annotations

from functools import cache

from haleward.dose.refusals import Refusal
from haleward.dose.words import title_of, words
from haleward.movement.model import SIDES, Form, Movement
from haleward.physiology.tables import rows
from haleward.record import ROOMS, Kit, Posture, Room

SPREAD_DEG, STRAIGHT_DEG = 60.0, 90.0  # an upper arm this far from the side, with an elbow straighter than that


def room_needed(movement: Movement, posture: Posture, form: Form) -> Room:
    """The room one form needs."""
    listed = _listed().get(movement.id)
    if listed is not None:
        return listed
    return "seat" if posture == "seated" and not _spreads(form) else "arms_out"


def by_room(movement: Movement, posture: Posture, form: Form, kit: Kit) -> Refusal | None:
    """The room at home is known to be too small; ``None`` when it is enough or was not asked."""
    needed = room_needed(movement, posture, form)
    if kit.room is None or ROOMS.index(kit.room) >= ROOMS.index(needed):
        return None
    text = words("left_room", movement_title=title_of(movement), needed=words(f"room_{needed}"))
    return Refusal("room", text)


def room_note(movement: Movement, posture: Posture, form: Form, kit: Kit) -> str:
    """The question about room for a movement that walks, while nobody has answered it; "" otherwise."""
    if kit.room is not None or room_needed(movement, posture, form) != "few_steps":
        return ""
    return words("note_room", movement_title=title_of(movement), needed=words("room_few_steps"))


def _spreads(form: Form) -> bool:
    return any(
        pose.angles[f"shoulder_abduction_{side}"] >= SPREAD_DEG and pose.angles[f"elbow_flexion_{side}"] < STRAIGHT_DEG
        for pose in form.poses.values()
        for side in SIDES
    )


@cache
def _listed() -> dict[str, Room]:
    return {row["movement_id"]: next(one for one in ROOMS if one == row["room"]) for row in rows("room_needed")}

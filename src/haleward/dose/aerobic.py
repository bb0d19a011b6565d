"""Restrictions and aerobic work: what a walk is, and what a warm-up may have, while one is in force."""

from __future__ import annotations

from datetime import date

from haleward.dose.cautions import under_restriction
from haleward.dose.model import MARCH
from haleward.dose.options import in_force
from haleward.movement.library import Library
from haleward.record import Posture, Record, Restriction
from haleward.safety.policy import DosePolicy

WALK = "walking"


def forbidding(
    movement_id: str, posture: Posture, record: Record, *, today: date, library: Library, policy: DosePolicy
) -> tuple[Restriction, ...]:
    """The restrictions in force that leave nothing of this movement in this posture, done with own weight."""
    movement = library.movement(movement_id)
    form = movement.postures.get(posture)
    if form is None:
        return ()
    left = [
        (one, under_restriction(movement, form, one, light_load_most_kg=policy.light_load_most_kg))
        for one in in_force(record, today)
    ]
    return tuple(
        one for one, a in left if not a.allowed or posture not in a.postures or not set(a.kits) & set(form.kits)
    )


def aerobic_movement(
    posture: Posture, record: Record, *, today: date, library: Library, policy: DosePolicy
) -> tuple[str, tuple[Restriction, ...], bool]:
    """What the walk of a programme is, what forbids walking, and whether anything is left.

    A march on the spot takes the place of a walk for a person placed seated, or where walking is forbidden.
    """
    first = MARCH if posture == "seated" else WALK
    against: tuple[Restriction, ...] = ()
    for movement_id in dict.fromkeys((first, MARCH)):
        found = forbidding(movement_id, posture, record, today=today, library=library, policy=policy)
        if not found:
            return movement_id, against, True
        against += found
    return first, tuple(dict.fromkeys(against)), False

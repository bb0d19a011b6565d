"""What one arm at rest leaves: which movements fell out because they are drawn with both arms only, and which stay."""

from __future__ import annotations

from datetime import date

from haleward.dose.cautions import ARM_KINDS, free_arm
from haleward.dose.model import LeftOut
from haleward.dose.refusals import cited
from haleward.dose.words import listed, title_of, words
from haleward.movement.geometry import other
from haleward.movement.library import Library
from haleward.movement.model import Movement
from haleward.record import Restriction


def one_arm_notes(
    restrictions: tuple[Restriction, ...],
    left_out: tuple[LeftOut, ...],
    sides: dict[str, str],
    library: Library,
    today: date,
) -> list[LeftOut]:
    """A note for each restriction of one arm that takes movements away. ``sides`` is the one arm a movement keeps."""
    found = []
    for restriction in restrictions:
        if restriction.kind not in ARM_KINDS or restriction.side is None:
            continue
        free, rule_id = other(restriction.side), f"restriction.{restriction.kind}"
        fell = {left.movement_id for left in left_out if left.movement_id and left.rule_id == rule_id}
        lost = tuple(title_of(m) for m in library.movements.values() if m.id in fell and _both_arms(m, restriction))
        kept = tuple(title_of(m) for m in library.movements.values() if sides.get(m.id) == free)
        if lost:
            text = words("note_one_arm", cited=cited(restriction, today), side=free, lost=listed(lost))
            more = words("note_one_arm_kept", side=free, kept=listed(kept)) if kept else words("note_one_arm_none")
            found.append(LeftOut("", "", f"{text} {more}", rule_id))
    return found


def _both_arms(movement: Movement, restriction: Restriction) -> bool:
    """Whether no posture of an arm movement is drawn for the free arm alone."""
    return movement.upper and not any(free_arm(movement, form, restriction) for form in movement.postures.values())

"""What a caution word of the library, or a restriction, leaves of a movement."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import cos, radians

from haleward.dose.loads import SAME_KG
from haleward.dose.words import words
from haleward.movement.geometry import other
from haleward.movement.loads import KIT_KINDS, KitKind
from haleward.movement.model import SIDES, Form, Movement
from haleward.record import POSTURES, Posture, Restriction, Side

SUPPORTED: tuple[Posture, ...] = ("seated", "hand_supported")
SEATED: tuple[Posture, ...] = ("seated",)
CAUTION_KINDS = ("sternum", "shoulder", "hip_replacement", "device_arm", "balance")
ARM_KINDS = ("shoulder", "device_arm", "no_grip", "no_overhead", "arm")  # these may concern one arm only
HAND_KINDS = ("sternum", "device_arm")  # these leave a light load in the hands at most, in leg work too
SUPPORTS_NEEDED = ("front", "front_one", "side", "wall", "seat_edge", "armrest", "rails")  # a hand that bears weight
NOT_GRIPPED = ("", "worn", "each_ankle")  # how kit is held when no hand closes on it


@dataclass(frozen=True)
class Allowance:
    """What is left of a movement: nothing (``allowed`` False), or the postures, the kit and the heaviest load."""

    allowed: bool
    load_most_kg: float | None = None
    postures: tuple[Posture, ...] = POSTURES
    kits: tuple[KitKind, ...] = KIT_KINDS
    note: str = ""
    side: Side | None = None  # the one arm that may do it, when the other may not
    hands_most_kg: float | None = None  # the heaviest load held in the hands, whatever they help to train

    def forbids(self, form: Form, kit: KitKind, mass_kg: float) -> bool:
        """Whether a load of this kit, as a mass, is more than is left of this form."""
        limits = [self.load_most_kg, self.hands_most_kg if gripped(form, kit) else None]
        over = any(limit is not None and mass_kg > limit + SAME_KG for limit in limits)
        return over or kit not in self.kits


def allowance(caution: str, *, light_load_most_kg: float) -> Allowance:
    """Read one caution of the library; the text after a colon is a note for the lead.

    An unknown word, an "avoid", a "hold" and a change that is not described allow nothing. ``light_load_most_kg`` is
    what ``light_only`` means in this protocol, per hand.
    """
    word, _, note = (part.strip() for part in caution.partition(":"))
    if "avoid" in caution or "hold" in word:
        return Allowance(allowed=False, note=caution)
    if word in ("ok", "below_shoulder", "low seat"):
        return Allowance(allowed=True, note=note or ("" if word == "ok" else word.replace("_", " ")))
    if word == "unloaded":
        return Allowance(allowed=True, load_most_kg=0.0, note=note)
    if word == "light_only":
        return Allowance(allowed=True, load_most_kg=light_load_most_kg, note=note)
    if word == "supported":
        return Allowance(allowed=True, postures=SUPPORTED, note=note)
    if word.startswith("seated"):
        return Allowance(allowed=True, postures=SEATED, note=note)
    return Allowance(allowed=word == "modify" and bool(note), note=note or caution)


def under_restriction(
    movement: Movement, form: Form, restriction: Restriction, *, light_load_most_kg: float
) -> Allowance:
    """What one restriction leaves of one movement in one posture.

    A kind "other" cannot be applied by rule and allows everything here: the lead reads it and decides. A restriction of
    one arm that would leave nothing of a movement made one arm at a time leaves it to the other arm.
    """
    left = _left_by(movement, form, restriction, light_load_most_kg)
    free = free_arm(movement, form, restriction)
    if free is not None and not (left.allowed and set(left.kits) & set(form.kits)):
        left = Allowance(allowed=True, note=words("only_one_arm", side=free), side=free)
    return _with_limit(left, restriction.load_limit_kg)


def free_arm(movement: Movement, form: Form, restriction: Restriction) -> Side | None:
    """The arm that can do this movement alone; ``None`` when both work or the restriction names no arm.

    An arm at rest cannot bear weight on a support either, so what needs its hand there is not left.
    """
    if restriction.kind not in ARM_KINDS or restriction.side is None or not (movement.upper and form.each_side):
        return None
    free = other(restriction.side)
    hands = {form.poses[name].hands[restriction.side] for name in form.cycle(free).out_poses}
    return None if restriction.kind == "arm" and hands & set(SUPPORTS_NEEDED) else free


def _left_by(movement: Movement, form: Form, restriction: Restriction, light_load_most_kg: float) -> Allowance:
    kind = restriction.kind
    if kind in CAUTION_KINDS:
        left = allowance(form.cautions.get(kind, ""), light_load_most_kg=light_load_most_kg)
        return light_hands(left, form, light_load_most_kg) if kind in HAND_KINDS else left
    if kind == "no_grip":
        return Allowance(allowed=True, kits=_not_gripped(form))
    if kind == "no_overhead":
        return Allowance(allowed=not goes_overhead(form))
    if kind == "no_step":
        return Allowance(allowed="step_height_m" not in form.needs)
    if kind == "arm":
        return _without_an_arm(movement, form, restriction)
    if kind == "movement":
        return Allowance(allowed=movement.id not in restriction.movement_ids)
    return Allowance(allowed=True)


def _without_an_arm(movement: Movement, form: Form, restriction: Restriction) -> Allowance:
    """Arm work is out; legs, trunk and balance stay, with nothing in the hands and support for the other hand only."""
    if movement.upper:
        return Allowance(allowed=False)
    held = any(hand in SUPPORTS_NEEDED for pose in form.poses.values() for hand in pose.hands.values())
    side = other(restriction.side) if restriction.side else None
    note = words("support_one_hand", side=side) if held and side else words("support_other_hand") if held else ""
    return Allowance(allowed=True, kits=_not_gripped(form), note=note)


def light_hands(left: Allowance, form: Form, light_load_most_kg: float) -> Allowance:
    """``left``, with nothing but a light load in the hands: what the hands hold, the breastbone and the arms carry."""
    return replace(left, hands_most_kg=light_load_most_kg) if _not_gripped(form) != form.kits else left


def gripped(form: Form, kit: KitKind) -> bool:
    """Whether a hand closes on this kit here, so that the load pulls at the arms and the breastbone."""
    return form.kit_use[kit].held not in NOT_GRIPPED


def _not_gripped(form: Form) -> tuple[KitKind, ...]:
    return tuple(kit for kit in form.kits if not gripped(form, kit))


def combined(allowances: tuple[Allowance, ...]) -> Allowance:
    """The strictest of all."""
    limits = [a.load_most_kg for a in allowances if a.load_most_kg is not None]
    in_hands = [a.hands_most_kg for a in allowances if a.hands_most_kg is not None]
    arms = {a.side for a in allowances if a.side is not None}
    return Allowance(
        allowed=all(a.allowed for a in allowances) and len(arms) < 2,
        load_most_kg=min(limits, default=None),
        postures=tuple(p for p in POSTURES if all(p in a.postures for a in allowances)),
        kits=tuple(k for k in KIT_KINDS if all(k in a.kits for a in allowances)),
        note="; ".join(dict.fromkeys(a.note for a in allowances if a.note)),
        side=next(iter(arms)) if len(arms) == 1 else None,
        hands_most_kg=min(in_hands, default=None),
    )


def goes_overhead(form: Form) -> bool:
    """Whether an elbow rises above its shoulder in any pose: the upper arm is past the horizontal."""
    return any(
        cos(radians(pose.angles[f"shoulder_flexion_{side}"])) * cos(radians(pose.angles[f"shoulder_abduction_{side}"]))
        < 0
        for pose in form.poses.values()
        for side in SIDES
    )


def _with_limit(left: Allowance, limit_kg: float | None) -> Allowance:
    if limit_kg is None:
        return left
    return combined((left, Allowance(allowed=True, load_most_kg=limit_kg)))

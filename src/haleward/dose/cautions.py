"""What a caution word of the library, or a restriction, leaves of a movement."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians

from haleward.movement.loads import KIT_KINDS, KitKind
from haleward.movement.model import SIDES, Form, Movement
from haleward.record import POSTURES, Posture, Restriction

SUPPORTED: tuple[Posture, ...] = ("seated", "hand_supported")
SEATED: tuple[Posture, ...] = ("seated",)
CAUTION_KINDS = ("sternum", "shoulder", "hip_replacement", "device_arm", "balance")
NOT_GRIPPED = ("", "worn", "each_ankle")  # how kit is held when no hand closes on it


@dataclass(frozen=True)
class Allowance:
    """What is left of a movement: nothing (``allowed`` False), or the postures, the kit and the heaviest load."""

    allowed: bool
    load_most_kg: float | None = None
    postures: tuple[Posture, ...] = POSTURES
    kits: tuple[KitKind, ...] = KIT_KINDS
    note: str = ""


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

    A kind "other" cannot be applied by rule and allows everything here: the lead reads it and decides.
    """
    kind = restriction.kind
    if kind in CAUTION_KINDS:
        left = allowance(form.cautions.get(kind, ""), light_load_most_kg=light_load_most_kg)
    elif kind == "no_grip":
        left = Allowance(allowed=True, kits=tuple(k for k in form.kits if form.kit_use[k].held in NOT_GRIPPED))
    elif kind == "no_overhead":
        left = Allowance(allowed=not goes_overhead(form))
    elif kind == "no_step":
        left = Allowance(allowed="step_height_m" not in form.needs)
    elif kind == "movement":
        left = Allowance(allowed=movement.id not in restriction.movement_ids)
    else:
        left = Allowance(allowed=True)
    return _with_limit(left, restriction.load_limit_kg)


def combined(allowances: tuple[Allowance, ...]) -> Allowance:
    """The strictest of all."""
    limits = [a.load_most_kg for a in allowances if a.load_most_kg is not None]
    return Allowance(
        allowed=all(a.allowed for a in allowances),
        load_most_kg=min(limits, default=None),
        postures=tuple(p for p in POSTURES if all(p in a.postures for a in allowances)),
        kits=tuple(k for k in KIT_KINDS if all(k in a.kits for a in allowances)),
        note="; ".join(dict.fromkeys(a.note for a in allowances if a.note)),
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

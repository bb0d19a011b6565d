"""What a caution word of the library allows while a restriction applies.

The words are those of the library: ``ok``, ``unloaded``, ``light_only``, ``below_shoulder``, ``supported``,
``seated if ...``, ``modify: how``, ``hold ...``, ``avoid ...``; text after a colon is a note for the lead.
"""

from __future__ import annotations

from dataclasses import dataclass

from haleward.record import POSTURES, Posture

SUPPORTED: tuple[Posture, ...] = ("seated", "hand_supported")
SEATED: tuple[Posture, ...] = ("seated",)


@dataclass(frozen=True)
class Allowance:
    """What is left of a movement: nothing (``allowed`` False), or the postures and the heaviest load."""

    allowed: bool
    load_most_kg: float | None = None
    postures: tuple[Posture, ...] = POSTURES
    note: str = ""


def allowance(caution: str, *, light_load_most_kg: float) -> Allowance:
    """Read one caution. An unknown word, an "avoid", a "hold" or a change that is not described allows nothing.

    ``light_load_most_kg`` is what ``light_only`` means in this protocol, per hand.
    """
    word, _, note = (part.strip() for part in caution.partition(":"))
    if "avoid" in caution or "hold" in word:
        return Allowance(allowed=False, note=caution)
    if word in ("ok", "below_shoulder", "low seat"):
        return Allowance(allowed=True, note=note or ("" if word == "ok" else "keep the elbow below the shoulder"))
    if word == "unloaded":
        return Allowance(allowed=True, load_most_kg=0.0, note=note)
    if word == "light_only":
        return Allowance(allowed=True, load_most_kg=light_load_most_kg, note=note)
    if word == "supported":
        return Allowance(allowed=True, postures=SUPPORTED, note=note)
    if word.startswith("seated"):
        return Allowance(allowed=True, postures=SEATED, note=note)
    return Allowance(allowed=word == "modify" and bool(note), note=note or caution)

"""Which movements, postures and loads a person can use now, and why the others are left out."""

from __future__ import annotations

from dataclasses import dataclass

from haleward.dose.model import LeftOut, Load
from haleward.record import Posture


@dataclass(frozen=True)
class Choice:
    """One usable rung: a posture with a load. ``rung`` is its place on the movement's whole ladder, 0 the easiest."""

    posture: Posture
    load: Load
    rung: int


@dataclass(frozen=True)
class Option:
    """A movement this person can use: every usable rung, easiest first, and the one to start with."""

    movement_id: str
    region: str
    category: str
    upper: bool
    small_muscle: bool
    choices: tuple[Choice, ...]
    start: Choice
    notes: tuple[str, ...] = ()
    rule_ids: tuple[str, ...] = ()

    @property
    def postures(self) -> tuple[Posture, ...]:
        """The usable postures, easiest first, each once."""
        return tuple(dict.fromkeys(choice.posture for choice in self.choices))


@dataclass(frozen=True)
class Options:
    """What can be used and what cannot; a movement stands in one of the two, never in both."""

    eligible: tuple[Option, ...]
    left_out: tuple[LeftOut, ...]

    def find(self, movement_id: str) -> Option | None:
        """The option for a movement, or ``None`` when it is left out."""
        return next((option for option in self.eligible if option.movement_id == movement_id), None)

    def why_not(self, movement_id: str) -> LeftOut | None:
        """The reason a movement is left out, or ``None``."""
        return next((left for left in self.left_out if left.movement_id == movement_id), None)

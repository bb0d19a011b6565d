"""What a preview asks about and what it answers: plain values that print and store."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

from haleward.record import DayCheck, Posture, Record
from haleward.safety.gate import Place

What = Literal["entry_gate", "session_gate", "risk", "range", "effort", "placement", "dose"]
WHATS: tuple[What, ...] = get_args(What)


@dataclass(frozen=True)
class Subject:
    """One person as a preview sees them. ``key`` is the caller's own name for them.

    ``day_check`` is their latest one: the session's gate is judged as on its day, at ``place``, with the record as it
    is now. Without one no session's gate is judged.
    """

    key: str
    record: Record
    day_check: DayCheck | None = None
    place: Place = "home"
    strength: bool = True


@dataclass(frozen=True)
class Difference:
    """One thing that would change for a person: what, from what to what, in one sentence, by which rules or items."""

    what: What
    before: str
    after: str
    sentence: str
    rule_ids: tuple[str, ...] = ()


@dataclass(frozen=True)
class PersonPreview:
    """What would change for one person; never empty."""

    key: str
    differences: tuple[Difference, ...]


@dataclass(frozen=True)
class Preview:
    """Whom a change touches, in the order in which people were given, of how many, and how often each thing changes."""

    people: tuple[PersonPreview, ...]
    asked: int
    counts: dict[What, int]

    @property
    def not_affected(self) -> int:
        """How many people see no change."""
        return self.asked - len(self.people)


@dataclass(frozen=True)
class Failed:
    """Something that could not be computed for a person, and why."""

    reason: str


@dataclass(frozen=True)
class GateView:
    """What a gate says: outcome, how soon, the rules that fire, the inputs that are asked for."""

    outcome: str
    urgency: str
    fired: tuple[str, ...]
    asked: tuple[str, ...]


@dataclass(frozen=True)
class RiskView:
    """The risk level with the items that drive it or keep it open."""

    level: str
    items: tuple[str, ...]


@dataclass(frozen=True)
class RangeView:
    """The heart-rate range as it is shown, or why there is none."""

    low_bpm: int | None
    high_bpm: int | None
    not_usable: str
    conflict: str


@dataclass(frozen=True)
class EffortView:
    """The effort to aim for when walking."""

    low: float
    high: float
    scale: str


@dataclass(frozen=True)
class PlacementView:
    """The posture a person starts in, and the rules behind it."""

    posture: Posture
    narrow: Posture
    balance_emphasis: bool
    rule_ids: tuple[str, ...]


@dataclass(frozen=True)
class DoseView:
    """The first programme, line by line: the part and what is done in it."""

    lines: tuple[tuple[str, str], ...]


View = GateView | RiskView | RangeView | EffortView | PlacementView | DoseView | Failed

"""What a prescription and a programme are: plain values that print, store and play."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

from haleward.capacity.model import Capacity
from haleward.record import Posture, Side
from haleward.safety.model import Gate, Placement, RiskLevel
from haleward.worksheet import Figure, NotComputed, Worksheet

MARCH = "march_on_spot"  # the movement that takes the place of a walk
KitKind = Literal["own_weight", "hand_weight", "bottle", "band", "ankle_weight"]


@dataclass(frozen=True)
class Load:
    """What supplies the resistance, and how much of it.

    ``mass_kg`` is the mass of one item (per hand or per leg); for a band, ``band`` names it, ``hold_length_m`` is the
    unstretched length to hold and ``peak_n`` the force at the hardest point. ``fill_ml`` is set for a bottle that is
    filled only in part.
    """

    kit: KitKind
    mass_kg: float | None = None
    band: str = ""
    hold_length_m: float | None = None
    peak_n: float | None = None
    fill_ml: float | None = None


@dataclass(frozen=True)
class Dose:
    """Sets x repetitions x load x tempo x rest. A hold (balance) has ``hold_s`` > 0 and one repetition a side."""

    sets: int
    repetitions: int
    load: Load
    out_s: float  # the move from the start pose to the turning point
    pause_s: float
    back_s: float
    rest_s: int
    hold_s: float = 0.0


@dataclass(frozen=True)
class Exercise:
    """One line of a programme: a movement in the posture and with the kit this person can use."""

    movement_id: str
    posture: Posture
    dose: Dose
    each_side: bool  # True: all repetitions on one side, then the other
    region: str  # pull, push, reach, stand_up, hip, knee, calf, trunk, balance
    reasons: tuple[str, ...] = ()  # why this movement, this posture, this dose; one sentence each
    rung: int = 0  # position on the movement's ladder, 0 the easiest
    rule_ids: tuple[str, ...] = ()
    side: Side | None = None  # done with this arm only, because the other may not


@dataclass(frozen=True)
class Part:
    """One resistance part: up to five movements, on its own days."""

    key: str  # "one", "two"
    days: tuple[str, ...]  # lower-case weekday names
    exercises: tuple[Exercise, ...]
    reasons: tuple[str, ...] = ()  # why these days and this many movements


@dataclass(frozen=True)
class Walking:
    """Aerobic walking: minutes of work in bouts, with the effort to aim for."""

    days: tuple[str, ...]
    bouts: int
    bout_minutes: int
    rest_minutes: int
    pace_km_per_h: float | None = None
    reasons: tuple[str, ...] = ()
    rule_ids: tuple[str, ...] = ()
    movement_id: str = "walking"  # MARCH for a person placed seated, and where walking is forbidden
    posture: Posture = "standing"
    pace: Figure | None = None  # the pace with its likely range, in km/h

    @property
    def kind(self) -> Literal["walk", "march", "march_standing"]:
        """What it is called: a walk, a march sitting down, or one on the feet (free or holding on)."""
        if self.movement_id != MARCH:
            return "walk"
        return "march" if self.posture == "seated" else "march_standing"


@dataclass(frozen=True)
class LeftOut:
    """A movement or region that is not in the programme, and why, in one sentence."""

    movement_id: str  # "" for a gap in a whole region
    region: str
    reason: str
    rule_id: str = ""


@dataclass(frozen=True)
class Ceiling:
    """One upper limit on heart rate, who or what set it, and the rule."""

    bpm: float
    origin: Literal["band_top", "ischaemia", "device", "clinician", "protocol"]
    reason: str
    rule_id: str = ""


@dataclass(frozen=True)
class Intensity:
    """How hard: a heart-rate range when heart rate is usable, and always an effort range and talk test.

    ``low_bpm``/``high_bpm`` are None when heart rate is not usable (``not_usable_reason`` says why, in plain words that
    finish "because ...") or when the lowest ceiling falls below the bottom of the range (``conflict`` says so).
    ``low``, ``high`` and ``maximum`` are the bounds and the maximum with the likely range that a predicted maximum
    gives them, and ``error`` says so in a sentence; a measured maximum gives none.
    """

    low_bpm: float | None
    high_bpm: float | None
    ceilings: tuple[Ceiling, ...]
    effort_low: float
    effort_high: float
    effort_scale: Literal["0-10", "6-20"]
    not_usable_reason: str
    conflict: str
    method: str
    worksheet: Worksheet
    maximum: Figure | None = None
    low: Figure | None = None
    high: Figure | None = None
    error: str = ""


@dataclass(frozen=True)
class Prescription:
    """Everything computed for one person on one day under one protocol version."""

    person_id: str
    made_on: date
    protocol_id: str
    protocol_version: str
    capacity: Capacity | NotComputed
    risk: RiskLevel
    gate: Gate
    intensity: Intensity
    placement: Placement


@dataclass(frozen=True)
class Programme:
    """A signed or draft programme. A signed one is a version and is never changed."""

    person_id: str
    version: int
    made_on: date
    protocol_id: str
    protocol_version: str
    parts: tuple[Part, ...]
    walking: Walking
    left_out: tuple[LeftOut, ...]
    effort_low: float
    effort_high: float
    signed_by: str = ""
    signed_on: date | None = None
    warm_up_more_minutes: int = 0  # beside the warm-up that the protocol has for everybody

    @property
    def movement_ids(self) -> frozenset[str]:
        """The movements of its parts."""
        return frozenset(exercise.movement_id for part in self.parts for exercise in part.exercises)

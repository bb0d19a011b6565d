"""What a movement is: poses, cycles, scene and kit, as read from ``data/movements/<id>.toml``.

Conventions (reference: resistance, section g): x forward, y to the figure's left, z up, the floor is z = 0. Angles
are in degrees and positions in fractions of stature, unless a name ends in ``_m``. Sides are the figure's own.

Joint order of the arrays in a pose:

- ``trunk``  flexion (whole trunk and pelvis, + forward), lateral flexion (+ right), rotation (+ left)
- ``neck``   flexion, rotation
- ``arm_*``  shoulder flexion, abduction, external rotation; elbow flexion; forearm supination; wrist extension;
  shoulder girdle elevation, retraction
- ``leg_*``  hip flexion, abduction, external rotation; knee flexion; ankle plantarflexion
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from haleward.movement.loads import KitKind
from haleward.record import Posture, Side

SIDES: tuple[Side, ...] = ("left", "right")
Region = Literal["pull", "push", "reach", "stand_up", "hip", "knee", "calf", "trunk", "balance", "aerobic"]
Joint = Literal["shoulder", "elbow", "hip", "knee", "ankle"]
Breath = Literal["out", "in", "natural"]
Effort = Literal["to_end", "to_start"]
Held = Literal["each_hand", "working_hand", "left_hand", "both_hands", "each_ankle", "worn", ""]
Angles = dict[str, float]  # "trunk_flexion", "shoulder_flexion_left", ...
Triple = tuple[float, float, float]

TRUNK_JOINTS = ("trunk_flexion", "trunk_lateral_flexion", "trunk_rotation")
NECK_JOINTS = ("neck_flexion", "neck_rotation")
ARM_JOINTS = (
    "shoulder_flexion",
    "shoulder_abduction",
    "shoulder_external_rotation",
    "elbow_flexion",
    "forearm_supination",
    "wrist_extension",
    "scapula_elevation",
    "scapula_retraction",
)
LEG_JOINTS = ("hip_flexion", "hip_abduction", "hip_external_rotation", "knee_flexion", "ankle_plantarflexion")


@dataclass(frozen=True)
class FootContact:
    """How a foot meets its support: ``flat``, ``ball`` (heel up), ``heel`` (toes up), ``air``, ``pedal``, ``plate``."""

    kind: str
    pitch_deg: float = 0.0


@dataclass(frozen=True)
class KeyPose:
    """One posed instant: the intended angles and what the seat, feet and hands touch."""

    name: str
    seated: bool
    feet: dict[Side, FootContact]
    hands: dict[Side, str]  # "free" or the contact a hand is held to, e.g. "front", "thigh", "armrest"
    pelvis: Triple
    angles: Angles
    hand_at: dict[Side, Triple]  # only where the place is the target itself (wall, handlebar, crank, rower)


@dataclass(frozen=True)
class Step:
    """Go to ``pose`` in ``move_s`` seconds, then stay there ``hold_s`` seconds."""

    pose: str
    move_s: float
    hold_s: float
    breath: Breath


@dataclass(frozen=True)
class Cycle:
    """One repetition: from ``start`` out to the turning point and back. ``side`` is "" when both sides work."""

    side: Side | Literal[""]
    start: str
    out: tuple[Step, ...]
    back: tuple[Step, ...]

    @property
    def turning(self) -> str:
        """The pose that shows the movement: where it turns, or the first one reached if it passes the start there."""
        last = self.out[-1].pose
        return last if last != self.start else next(s.pose for s in self.out if s.pose != self.start)

    @property
    def out_poses(self) -> tuple[str, ...]:
        """Key poses passed on the way out, the start included."""
        return (self.start, *(step.pose for step in self.out))

    @property
    def back_poses(self) -> tuple[str, ...]:
        """Key poses passed on the way back, the turning point included."""
        return (self.out[-1].pose, *(step.pose for step in self.back))


@dataclass(frozen=True)
class Prop:
    """A thing in the scene: ``x``, ``y`` as fractions of stature, ``yaw`` in degrees."""

    kind: str
    x: float
    y: float
    yaw: float


@dataclass(frozen=True)
class Camera:
    """Parallel camera: yaw 0 sees the face, +90 the figure's left side, 180 the back; pitch looks down."""

    yaw: float
    pitch: float
    scale: float


@dataclass(frozen=True)
class KitUse:
    """How one kind of kit is used here: what is drawn, how it is held, what else it needs, where a band is fixed.

    ``camera`` is the form's own unless this kit hides there.
    """

    drawn: str
    held: Held = ""
    needs: tuple[str, ...] = ()
    anchor: Prop | None = None
    camera: Camera | None = None


@dataclass(frozen=True)
class Arrow:
    """The joint whose true path the arrow follows, moved aside by ``offset_m``; "none" draws none."""

    joint: str
    offset_m: Triple


@dataclass(frozen=True)
class Scene:
    """Camera, furniture and arrow. ``mirror_right`` mirrors furniture and camera for the right-hand side."""

    camera: Camera
    arrow: Arrow
    near_side: Side
    props: tuple[Prop, ...] = ()
    mirror_right: bool = False
    belt: float = 0.0  # distance the ground moves back per step
    slides: bool = False  # a foot or hand slides along its support
    closeup: bool = False  # a lens shows the working foot large


@dataclass(frozen=True)
class Form:
    """A movement in one posture.

    ``needs`` are :class:`haleward.record.Kit` fields that any kit needs here (furniture); ``kit_use`` adds what one
    kind of kit needs. ``equipment`` names what only a venue has. With ``effort`` "to_start" the work, and breathing
    out, belong to the way back.
    """

    kits: tuple[KitKind, ...]
    needs: tuple[str, ...]
    narrow_base: bool
    each_side: bool
    hold: bool
    out_s: float
    pause_s: float
    back_s: float
    cautions: dict[str, str]
    effort: Effort
    one_leg: bool
    equipment: str
    kit_use: dict[KitKind, KitUse]
    scene: Scene
    poses: dict[str, KeyPose]
    cycles: tuple[Cycle, ...]

    def cycle(self, side: str = "") -> Cycle:
        """The repetition of this side; the first one when the movement has no sides or none is asked for."""
        return next((cycle for cycle in self.cycles if cycle.side == side), self.cycles[0])


@dataclass(frozen=True)
class LadderStep:
    """One rung of a movement's ladder: a posture, its kit, and the rule of ``ladder_rules.csv`` for coming here.

    Kit on one rung is equally hard at equal load; heavier loads of that kit are steps within the rung.
    """

    posture: Posture
    kits: tuple[KitKind, ...]
    rule: str


@dataclass(frozen=True)
class Movement:
    """One exercise of the library in all its postures."""

    id: str
    version: int
    name: str
    category: str
    region: Region
    pattern: str
    purpose: str
    prime_movers: tuple[str, ...]
    small_muscle: bool
    upper: bool
    working_joint: Joint | None  # where the load is computed; None where it is no single joint's work
    laterality: str
    tempo: str
    source: str
    cautions: dict[str, str]
    caution_sources: dict[str, str]
    met: float | None
    met_source: str
    postures: dict[Posture, Form]
    reviewed_by: str = ""  # the clinician who looked at this version, with the day; "" while nobody has
    ladder: tuple[LadderStep, ...] = ()  # easiest first

"""Feet: where a planted foot stands, how it steps, and how a crank carries it round."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from math import atan2, hypot, pi

import numpy as np
from numpy.typing import NDArray

from haleward.movement.body import Body
from haleward.movement.furniture import STEP_OF_STATURE
from haleward.movement.geometry import Numbers, Vec, mix, points, rot_y, vec
from haleward.movement.model import FootContact
from haleward.movement.skeleton import Joints
from haleward.record import Side

ON_FLOOR = ("flat", "ball", "heel")
ON_BALL = ("ball", "pedal", "plate")
PLANTED = (*ON_FLOOR, "pedal", "plate")
SAME_PLACE_OF_STATURE = 0.018  # planted feet nearer than this share one point
STEP_LIFT_M = 0.045


@dataclass(frozen=True)
class Foot:
    """A foot's contact. ``origin`` is the point under the ankle with the foot flat, or the ankle itself in the air."""

    kind: str
    pitch_deg: float
    origin: Vec

    @property
    def planted(self) -> bool:
        """Whether the foot is held by something."""
        return self.kind in PLANTED


@dataclass(frozen=True)
class FootRows:
    """One foot's contact at each instant, one row an instant."""

    kinds: tuple[str, ...]
    pitch_deg: Numbers
    origin: Vec

    @cached_property
    def planted(self) -> NDArray[np.bool_]:
        """At which instants the foot is held by something."""
        return self.of_kind(*PLANTED)

    def of_kind(self, *kinds: str) -> NDArray[np.bool_]:
        """At which instants the contact is one of these kinds."""
        return np.array([kind in kinds for kind in self.kinds])

    def __getitem__(self, row: int) -> Foot:
        return Foot(self.kinds[row], float(self.pitch_deg[row]), self.origin[row])


def foot_rows(feet: Sequence[Foot]) -> FootRows:
    """Contacts of one foot, one after the other."""
    return FootRows(
        tuple(foot.kind for foot in feet),
        np.array([foot.pitch_deg for foot in feet]),
        np.array([foot.origin for foot in feet]),
    )


def feet_together(parts: Sequence[FootRows]) -> FootRows:
    """The rows of several moves, one after the other."""
    return FootRows(
        tuple(kind for part in parts for kind in part.kinds),
        np.concatenate([part.pitch_deg for part in parts]),
        np.concatenate([part.origin for part in parts]),
    )


def _pivot_ahead(body: Body, kind: str, pitch_deg: float) -> float:
    """A raised heel turns on the ball of the foot, raised toes on the heel."""
    return body.ball if kind in ON_BALL or pitch_deg < 0 else -body.heel


def foot_of(body: Body, contact: FootContact, joints: Joints, side: Side, before: Foot | None) -> Foot:
    """The contact of a key pose, given where its intended angles put the ankle and where the foot stood before."""
    ankle = joints[f"ankle_{side}"]
    if contact.kind == "air":
        return Foot("air", 0.0, ankle)
    pitch = -contact.pitch_deg if contact.kind == "ball" else contact.pitch_deg
    ahead = _pivot_ahead(body, contact.kind, pitch)
    origin = ankle - rot_y(-pitch) @ vec(-ahead, 0, body.ankle_height) - vec(ahead, 0, 0)
    if contact.kind in ON_FLOOR:
        origin[2] = STEP_OF_STATURE * body.stature_m if origin[2] > 0.055 * body.stature_m else 0.0
        if before is not None and before.planted:
            apart = before.origin - origin
            if float(apart @ apart) < (SAME_PLACE_OF_STATURE * body.stature_m) ** 2:
                origin = before.origin
    return Foot(contact.kind, pitch, origin)


def ankle_over(body: Body, foot: Foot) -> Vec:
    """Where the ankle is when a foot is planted so."""
    ahead = _pivot_ahead(body, foot.kind, foot.pitch_deg)
    return foot.origin + vec(ahead, 0, 0) + rot_y(-foot.pitch_deg) @ vec(-ahead, 0, body.ankle_height)


def ankles_over(body: Body, feet: FootRows) -> Vec:
    """:func:`ankle_over` at each instant."""
    ahead = np.where(feet.of_kind(*ON_BALL) | (feet.pitch_deg < 0), body.ball, -body.heel)
    frame = rot_y(-feet.pitch_deg)
    return feet.origin + points(ahead, 0, 0) - frame[..., 0] * ahead[:, None] + frame[..., 2] * body.ankle_height


def swing(start: Vec, stop: Vec, share: Numbers) -> Vec:
    """Path of a stepping foot: up first, then across; the other way round when stepping down."""
    rise = float(stop[2] - start[2])
    if rise < -0.05:
        return swing(stop, start, 1 - share)
    lift = STEP_LIFT_M * np.sin(pi * share)
    if rise <= 0.05:
        return mix(start, stop, share) + points(0, 0, lift)
    across, up = _smooth((share - 0.15) / 0.85), _smooth(share / 0.60)
    flat = mix(start, stop, across)
    return points(flat[..., 0], flat[..., 1], start[2] + rise * up + lift)


def _smooth(v: Numbers) -> Numbers:
    v = np.clip(v, 0.0, 1.0)
    return v * v * (3 - 2 * v)


def round_crank(a: Vec, b: Vec, centre_a: Vec, centre_b: Vec, share: Numbers) -> Vec:
    """Move a point round a crank in the x-z plane, the shorter way."""
    from_a, from_b = a - centre_a, b - centre_b
    first, last = atan2(from_a[2], from_a[0]), atan2(from_b[2], from_b[0])
    angle = first + ((last - first + pi) % (2 * pi) - pi) * share
    r = hypot(from_a[0], from_a[2]) * (1 - share) + hypot(from_b[0], from_b[2]) * share
    sideways = from_a[1] * (1 - share) + from_b[1] * share
    return mix(centre_a, centre_b, share) + points(r * np.cos(angle), sideways, r * np.sin(angle))

"""Forward kinematics: joint angles and a body give every joint in metres."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import radians, sin

from haleward.movement.body import Body
from haleward.movement.geometry import Mat, Vec, limb, rot_x, rot_y, rot_z, sign, vec
from haleward.movement.model import SIDES, Angles
from haleward.record import Side

DOWN = vec(0, 0, -1)


@dataclass
class Joints:
    """World positions (``p``) and frames (``frame``) of one posed body."""

    p: dict[str, Vec]
    frame: dict[str, Mat]

    def __getitem__(self, name: str) -> Vec:
        return self.p[name]


def trunk_frame(angles: Angles) -> Mat:
    """Frame of the trunk above the pelvis."""
    turn = rot_z(angles["trunk_rotation"]) @ rot_x(angles["trunk_lateral_flexion"])
    return rot_y(angles["trunk_flexion"]) @ turn


def shoulder_centre(body: Body, angles: Angles, pelvis: Vec, trunk: Mat, side: Side) -> Vec:
    """Shoulder joint with the girdle's draw-back and lift."""
    back = 0.066 * sin(radians(angles[f"scapula_retraction_{side}"])) * body.scale
    lift = 0.128 * sin(radians(angles[f"scapula_elevation_{side}"])) * body.scale
    return pelvis + trunk @ vec(-back, sign(side) * body.shoulder_half, body.trunk + lift)


def hip_centre(body: Body, pelvis_frame: Mat, pelvis: Vec, side: Side) -> Vec:
    """Hip joint."""
    return pelvis + pelvis_frame @ vec(0, sign(side) * body.hip_half, 0)


def forward(body: Body, angles: Angles, pelvis: Vec, *, arms: Sequence[Side] = SIDES) -> Joints:
    """Place every joint of trunk, head and legs, and of these arms."""
    points: dict[str, Vec] = {"pelvis": pelvis}
    frames: dict[str, Mat] = {"pelvis": rot_y(angles["trunk_flexion"]), "trunk": trunk_frame(angles)}
    _head(body, angles, points, frames)
    for side in SIDES:
        leg_joints(body, angles, points, frames, side)
    for side in arms:
        arm_joints(body, angles, points, frames, side, None)
    return Joints(points, frames)


def _head(body: Body, angles: Angles, points: dict[str, Vec], frames: dict[str, Mat]) -> None:
    trunk, pelvis = frames["trunk"], points["pelvis"]
    turn, nod = angles["neck_rotation"], angles["neck_flexion"]
    frames["head"] = trunk @ rot_z(turn) @ rot_y(nod)
    points["neck"] = pelvis + trunk @ vec(0, 0, body.trunk + 0.045 * body.scale)
    half_way = trunk @ rot_z(turn * 0.4) @ rot_y(nod * 0.6)
    points["head"] = (
        points["neck"] + half_way @ vec(0.012, 0, 0.062 * body.scale) + frames["head"] @ vec(0.015, 0, 0.085)
    )
    points["nose"] = points["head"] + frames["head"] @ vec(0.13, 0, 0)
    points["chest"] = pelvis + trunk @ vec(0, 0, 0.20 * body.stature_m)
    points["breast"] = points["chest"] + trunk @ vec(0.16, 0, 0)


def leg(body: Body, angles: Angles, pelvis: Vec, side: Side) -> Joints:
    """One leg alone."""
    found = Joints({"pelvis": pelvis}, {"pelvis": rot_y(angles["trunk_flexion"])})
    leg_joints(body, angles, found.p, found.frame, side)
    return found


def leg_joints(body: Body, angles: Angles, points: dict[str, Vec], frames: dict[str, Mat], side: Side) -> None:
    """Add hip, knee, ankle, heel, ball and toe of one leg."""
    hip = hip_centre(body, frames["pelvis"], points["pelvis"], side)
    flexion, abduction, axial = (angles[f"hip_{name}_{side}"] for name in ("flexion", "abduction", "external_rotation"))
    thigh = frames["pelvis"] @ limb(flexion, abduction, axial, side)
    shank = thigh @ rot_y(angles[f"knee_flexion_{side}"])
    foot = shank @ rot_y(angles[f"ankle_plantarflexion_{side}"])
    knee = hip - thigh[:, 2] * body.thigh
    ankle = knee - shank[:, 2] * body.shank
    points[f"hip_{side}"], points[f"knee_{side}"], points[f"ankle_{side}"] = hip, knee, ankle
    frames[f"thigh_{side}"], frames[f"shank_{side}"], frames[f"foot_{side}"] = thigh, shank, foot
    sole = ankle - foot[:, 2] * body.ankle_height
    points[f"heel_{side}"] = sole - foot[:, 0] * body.heel
    points[f"ball_{side}"] = sole + foot[:, 0] * body.ball
    points[f"toe_{side}"] = sole + foot[:, 0] * body.toe


def arm_joints(
    body: Body, angles: Angles, points: dict[str, Vec], frames: dict[str, Mat], side: Side, direction: Vec | None
) -> None:
    """Add shoulder, elbow, wrist and hand of one arm."""
    shoulder = shoulder_centre(body, angles, points["pelvis"], frames["trunk"], side)
    flexion, abduction, axial = (
        angles[f"shoulder_{name}_{side}"] for name in ("flexion", "abduction", "external_rotation")
    )
    upper = frames["trunk"] @ limb(flexion, abduction, axial, side)
    fore = upper @ rot_y(-angles[f"elbow_flexion_{side}"])
    elbow = shoulder - upper[:, 2] * body.upper_arm
    wrist = elbow - fore[:, 2] * body.forearm
    points[f"shoulder_{side}"], points[f"elbow_{side}"], points[f"wrist_{side}"] = shoulder, elbow, wrist
    points[f"hand_{side}"] = wrist + (-fore[:, 2] if direction is None else direction) * body.grip
    frames[f"arm_{side}"], frames[f"forearm_{side}"] = upper, fore

"""Forward kinematics: joint angles and a body give every joint in metres, at one instant or at many."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from haleward.movement.body import Body
from haleward.movement.geometry import Mat, Number, Vec, limb, points, rot_x, rot_y, rot_z, sign, turned, vec
from haleward.movement.model import SIDES
from haleward.record import Side

DOWN = vec(0, 0, -1)
Turns = Mapping[str, Number]  # every joint angle in degrees, or a row of it for each instant


@dataclass
class Joints:
    """World positions (``p``) and frames (``frame``) of one posed body, or a row of them for each instant."""

    p: dict[str, Vec]
    frame: dict[str, Mat]

    def __getitem__(self, name: str) -> Vec:
        return self.p[name]


def trunk_frame(angles: Turns) -> Mat:
    """Frame of the trunk above the pelvis."""
    turn = rot_z(angles["trunk_rotation"]) @ rot_x(angles["trunk_lateral_flexion"])
    return rot_y(angles["trunk_flexion"]) @ turn


def shoulder_centre(body: Body, angles: Turns, pelvis: Vec, trunk: Mat, side: Side) -> Vec:
    """Shoulder joint with the girdle's draw-back and lift."""
    back = 0.066 * np.sin(np.radians(angles[f"scapula_retraction_{side}"])) * body.scale
    lift = 0.128 * np.sin(np.radians(angles[f"scapula_elevation_{side}"])) * body.scale
    return pelvis + turned(trunk, points(-back, sign(side) * body.shoulder_half, body.trunk + lift))


def hip_centre(body: Body, pelvis_frame: Mat, pelvis: Vec, side: Side) -> Vec:
    """Hip joint."""
    return pelvis + pelvis_frame[..., 1] * (sign(side) * body.hip_half)


def trunk_joints(body: Body, angles: Turns, pelvis: Vec) -> Joints:
    """Pelvis, trunk and shoulders alone."""
    joints = Joints({"pelvis": pelvis}, {"pelvis": rot_y(angles["trunk_flexion"]), "trunk": trunk_frame(angles)})
    for side in SIDES:
        joints.p[f"shoulder_{side}"] = shoulder_centre(body, angles, pelvis, joints.frame["trunk"], side)
    return joints


def forward(body: Body, angles: Turns, pelvis: Vec, *, arms: Sequence[Side] = SIDES) -> Joints:
    """Place every joint of trunk, head and legs, and of these arms."""
    joints = trunk_joints(body, angles, pelvis)
    head_joints(body, angles, joints)
    for side in SIDES:
        leg_joints(body, angles, joints, side)
    for side in arms:
        arm_joints(body, angles, joints, side, None)
    return joints


def head_joints(body: Body, angles: Turns, joints: Joints) -> None:
    """Add neck and head, and the marks on the chest."""
    p, trunk = joints.p, joints.frame["trunk"]
    turn, nod = angles["neck_rotation"], angles["neck_flexion"]
    head = joints.frame["head"] = trunk @ rot_z(turn) @ rot_y(nod)
    p["neck"] = p["pelvis"] + trunk[..., 2] * (body.trunk + 0.045 * body.scale)
    half_way = trunk @ rot_z(turn * 0.4) @ rot_y(nod * 0.6)
    p["head"] = p["neck"] + half_way @ vec(0.012, 0, 0.062 * body.scale) + head @ vec(0.015, 0, 0.085)
    p["nose"] = p["head"] + head[..., 0] * 0.13
    p["chest"] = p["pelvis"] + trunk[..., 2] * (0.20 * body.stature_m)
    p["breast"] = p["chest"] + trunk[..., 0] * 0.16


def legs(body: Body, angles: Turns, pelvis: Vec) -> Joints:
    """The legs alone."""
    joints = Joints({"pelvis": pelvis}, {"pelvis": rot_y(angles["trunk_flexion"])})
    for side in SIDES:
        leg_joints(body, angles, joints, side)
    return joints


def leg_joints(body: Body, angles: Turns, joints: Joints, side: Side) -> None:
    """Add hip, knee, ankle, heel, ball and toe of one leg."""
    points, frames = joints.p, joints.frame
    hip = hip_centre(body, frames["pelvis"], points["pelvis"], side)
    flexion, abduction, axial = (angles[f"hip_{name}_{side}"] for name in ("flexion", "abduction", "external_rotation"))
    thigh = frames["pelvis"] @ limb(flexion, abduction, axial, side)
    shank = thigh @ rot_y(angles[f"knee_flexion_{side}"])
    foot = shank @ rot_y(angles[f"ankle_plantarflexion_{side}"])
    knee = hip - thigh[..., 2] * body.thigh
    ankle = knee - shank[..., 2] * body.shank
    points[f"hip_{side}"], points[f"knee_{side}"], points[f"ankle_{side}"] = hip, knee, ankle
    frames[f"thigh_{side}"], frames[f"shank_{side}"], frames[f"foot_{side}"] = thigh, shank, foot
    sole = ankle - foot[..., 2] * body.ankle_height
    points[f"heel_{side}"] = sole - foot[..., 0] * body.heel
    points[f"ball_{side}"] = sole + foot[..., 0] * body.ball
    points[f"toe_{side}"] = sole + foot[..., 0] * body.toe


def arm_joints(body: Body, angles: Turns, joints: Joints, side: Side, direction: Vec | None) -> None:
    """Add elbow, wrist and hand of one arm; the hand points in ``direction`` where it lies on something."""
    points, frames = joints.p, joints.frame
    flexion, abduction, axial = (
        angles[f"shoulder_{name}_{side}"] for name in ("flexion", "abduction", "external_rotation")
    )
    upper = frames["trunk"] @ limb(flexion, abduction, axial, side)
    fore = upper @ rot_y(-angles[f"elbow_flexion_{side}"])
    elbow = points[f"shoulder_{side}"] - upper[..., 2] * body.upper_arm
    wrist = elbow - fore[..., 2] * body.forearm
    points[f"elbow_{side}"], points[f"wrist_{side}"] = elbow, wrist
    points[f"hand_{side}"] = wrist + (-fore[..., 2] if direction is None else direction) * body.grip
    frames[f"arm_{side}"], frames[f"forearm_{side}"] = upper, fore

"""Two-bone inverse kinematics in closed form: a limb whose end must be at a point, one row an instant."""

from __future__ import annotations

from math import pi

import numpy as np
from numpy.typing import NDArray

from haleward.movement.body import Body
from haleward.movement.geometry import Mat, Numbers, Vec, cos_sin, in_frame, lengths, limb, points, rot_y, sign
from haleward.movement.skeleton import Joints, hip_centre
from haleward.record import Side

KNEE, ELBOW = 1, -1  # a knee folds back, an elbow forward
MOST_KNEE_DEG, MOST_ELBOW_DEG = 135.0, 143.0
AngleRows = dict[str, Numbers]
Rows = NDArray[np.bool_]  # the instants that are meant


def two_bone(
    target: Vec, *, upper: float, lower: float, axial: Numbers, side: Side, bend: int, most_bend_deg: float
) -> tuple[Numbers, Numbers, Numbers, Numbers]:
    """Flexion, abduction and bend in degrees, and the miss in metres, that put the limb's end on ``target``.

    ``target`` is in the parent's frame with the limb's root at the origin. The axial rotation is kept: it decides where
    knee and elbow point.
    """
    wish = lengths(target)
    reach = np.clip(wish, abs(upper - lower) + 1e-6, (upper + lower) * 0.9995)
    cosine = (reach**2 - upper**2 - lower**2) / (2 * upper * lower)
    fold = np.minimum(np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0))), most_bend_deg)
    (c_fold, s_fold), (c_axial, s_axial) = cos_sin(fold), cos_sin(sign(side) * axial)
    ahead = -bend * lower * s_fold
    local = points(c_axial * ahead, s_axial * ahead, -upper - lower * c_fold)
    got = lengths(local)
    aim = target * (got / np.maximum(wish, 1e-9))[..., None]
    sideways, forwards = _least_turn(local, aim)
    return np.degrees(forwards), sign(side) * np.degrees(sideways), fold, np.abs(wish - got)


def _least_turn(local: Vec, aim: Vec) -> tuple[Numbers, Numbers]:
    """Turns (radians), sideways and then forwards, that bring ``local`` onto ``aim``: the lesser of the two ways."""
    radius, start = np.hypot(local[..., 1], local[..., 2]), np.arctan2(local[..., 2], local[..., 1])
    swing = np.arccos(np.clip(aim[..., 1] / radius, -1.0, 1.0))
    sideways = _wrap(np.array([swing, -swing]) - start)
    from_angle = np.arctan2(local[..., 0], -radius * np.sin(start + sideways))
    forwards = _wrap(np.arctan2(aim[..., 0], -aim[..., 2]) - from_angle)
    cost = np.abs(sideways) + 0.2 * np.abs(forwards)
    first = (cost[0] < cost[1]) | ((cost[0] == cost[1]) & (sideways[0] < sideways[1]))
    return np.where(first, sideways[0], sideways[1]), np.where(first, forwards[0], forwards[1])


def _wrap(angle: Numbers) -> Numbers:
    return (angle + pi) % (2 * pi) - pi


def reach_ankle(body: Body, angles: AngleRows, joints: Joints, side: Side, ankle: Vec, rows: Rows) -> Numbers:
    """Change hip flexion, hip abduction and knee so that the ankle is there; returns the miss in metres.

    ``joints`` has at least pelvis, trunk and shoulders, here and below.
    """
    frame = joints.frame["pelvis"]
    flexion, abduction, knee, miss = two_bone(
        in_frame(frame, ankle - hip_centre(body, frame, joints["pelvis"], side)),
        upper=body.thigh,
        lower=body.shank,
        axial=angles[f"hip_external_rotation_{side}"],
        side=side,
        bend=KNEE,
        most_bend_deg=MOST_KNEE_DEG,
    )
    for name, found in (("hip_flexion", flexion), ("hip_abduction", abduction), ("knee_flexion", knee)):
        angles[f"{name}_{side}"] = np.where(rows, found, angles[f"{name}_{side}"])
    return np.where(rows, miss, 0.0)


def reach_hand(body: Body, angles: AngleRows, joints: Joints, side: Side, hand: Vec, direction: Vec | None) -> Numbers:
    """Change shoulder flexion, abduction and elbow so that the hand is there; returns the miss in metres."""
    end = hand if direction is None else hand - direction * body.grip
    flexion, abduction, elbow, miss = two_bone(
        in_frame(joints.frame["trunk"], end - joints[f"shoulder_{side}"]),
        upper=body.upper_arm,
        lower=body.forearm + (body.grip if direction is None else 0.0),
        axial=angles[f"shoulder_external_rotation_{side}"],
        side=side,
        bend=ELBOW,
        most_bend_deg=MOST_ELBOW_DEG,
    )
    angles[f"shoulder_flexion_{side}"], angles[f"shoulder_abduction_{side}"] = flexion, abduction
    angles[f"elbow_flexion_{side}"] = elbow
    return miss


def level_foot(angles: AngleRows, joints: Joints, side: Side, pitch_deg: Numbers, rows: Rows) -> None:
    """Set the ankle so that the sole has this pitch in the world, toes up positive."""
    flexion, abduction, axial = (angles[f"hip_{name}_{side}"] for name in ("flexion", "abduction", "external_rotation"))
    thigh = limb(flexion, abduction, axial, side)
    shank = joints.frame["pelvis"] @ thigh @ rot_y(angles[f"knee_flexion_{side}"])
    size, phase = np.hypot(shank[..., 2, 0], shank[..., 2, 2]), np.arctan2(shank[..., 2, 2], shank[..., 2, 0])
    want = np.arccos(np.clip(np.sin(np.radians(pitch_deg)) / np.maximum(size, 1e-9), -1.0, 1.0))
    one, two = (np.degrees(np.array([want, -want]) - phase) + 180) % 360 - 180
    name = f"ankle_plantarflexion_{side}"
    angles[name] = np.where(rows, np.where(np.abs(one) <= np.abs(two), one, two), angles[name])


def sole_pitch_deg(foot: Mat) -> Numbers:
    """Pitch of a sole in the world, toes up positive."""
    return 90.0 - np.degrees(np.arccos(np.clip(foot[..., 2, 0], -1.0, 1.0)))

"""Keep free limbs out of the trunk, the thighs, the seat and the floor, one row an instant."""

from __future__ import annotations

import numpy as np

from haleward.movement.body import Body
from haleward.movement.geometry import Numbers, in_frame, points, sign
from haleward.movement.reach import AngleRows, Rows, level_foot, reach_ankle, sole_pitch_deg
from haleward.movement.skeleton import Joints, arm_joints, leg_joints
from haleward.movement.stage import Stage
from haleward.record import Side

FLOOR_GAP_M = 0.004
OVERLAP_MOST_M = 0.004
STEP_OUT_DEG = 2.0
ARM_BALLS = (("elbow", 0.036), ("wrist", 0.028), ("hand", 0.034))


def clear_floor(body: Body, angles: AngleRows, joints: Joints, side: Side, rows: Rows) -> None:
    """Lift a foot, in the air in these rows, until its sole is above the floor; its leg is placed in ``joints``."""
    leg_joints(body, angles, joints, side)
    low = np.min([joints[f"{name}_{side}"][:, 2] for name in ("heel", "ball", "toe")], axis=0)
    rows = rows & (low < FLOOR_GAP_M)
    if rows.any():
        pitch_deg = sole_pitch_deg(joints.frame[f"foot_{side}"])
        reach_ankle(body, angles, joints, side, joints[f"ankle_{side}"] + points(0, 0, FLOOR_GAP_M - low), rows)
        level_foot(angles, joints, side, pitch_deg, rows)


def elbow_depth_m(body: Body, joints: Joints, side: Side) -> Numbers:
    """How far the elbow goes into the trunk, a rounded slab."""
    x, y, z = in_frame(joints.frame["trunk"], joints[f"elbow_{side}"] - joints["pelvis"]).T
    sideways = np.maximum(sign(side) * y - 0.062 * body.scale, 0.0)
    ahead = np.where(x > 0, np.maximum(x - body.belly * 0.6, 0.0), x)
    depth = np.maximum(0.0, body.trunk_radius + 0.03 * body.scale - np.hypot(sideways, ahead))
    return np.where((z > -0.05) & (z < body.trunk - 0.03), depth, 0.0)


def clear_trunk(stage: Stage, angles: AngleRows, joints: Joints, side: Side) -> None:
    """Lift a free arm sideways, 2 degrees at a time, until it clears the trunk, the thigh and the seat.

    ``joints`` is the body posed in these angles; its arm is moved along.
    """
    for _ in range(20):
        overlaps = _worst_overlap_m(stage, joints, side) >= OVERLAP_MOST_M
        if not overlaps.any():
            return
        angles[f"shoulder_abduction_{side}"] = angles[f"shoulder_abduction_{side}"] + STEP_OUT_DEG * overlaps
        arm_joints(stage.body, angles, joints, side, None)


def _worst_overlap_m(stage: Stage, joints: Joints, side: Side) -> Numbers:
    body, g, pelvis = stage.body, sign(side), joints["pelvis"]
    radius = np.array([radius for _, radius in ARM_BALLS])
    balls = np.stack([joints[f"{name}_{side}"] for name, _ in ARM_BALLS], axis=1)
    x, y, z = np.moveaxis((balls - pelvis[:, None]) @ joints.frame["trunk"], -1, 0)
    depth = np.maximum(np.abs(x) - np.where(x > 0, body.belly * 0.5, 0.0), 0.0)
    aside = np.maximum(g * y - 0.06 * body.scale, 0.0)
    beside = (z > -0.1) & (z < body.trunk - 0.06)
    worst = np.where(beside, body.trunk_radius + radius * 0.8 - np.hypot(aside, depth), 0.0)
    if stage.sits:
        outside, top = stage.beside_seat_m
        at_seat = (balls[..., 2] < top) & (balls[..., 0] < pelvis[:, None, 0] + 0.27)
        worst = np.maximum(worst, np.where(at_seat, outside + radius - g * balls[..., 1], 0.0))
    deepest: Numbers = np.maximum(worst.max(axis=1), 0.0)
    return deepest

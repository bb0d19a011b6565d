"""Keep free limbs out of the trunk, the thighs, the seat and the floor."""

from __future__ import annotations

from math import hypot

from haleward.movement.body import Body
from haleward.movement.geometry import Vec, sign, vec
from haleward.movement.model import Angles
from haleward.movement.reach import level_foot, reach_ankle, sole_pitch_deg
from haleward.movement.skeleton import Joints, arm_joints
from haleward.movement.stage import Stage
from haleward.record import Side

FLOOR_GAP_M = 0.004
ARM_BALLS = (("elbow", 0.036), ("wrist", 0.028), ("hand", 0.034))


def clear_floor(body: Body, angles: Angles, pelvis: Vec, side: Side, joints: Joints) -> None:
    """Lift a foot in the air until its sole is above the floor."""
    low = min(float(joints[f"{name}_{side}"][2]) for name in ("heel", "ball", "toe"))
    if low < FLOOR_GAP_M:
        pitch = sole_pitch_deg(joints.frame[f"foot_{side}"])
        reach_ankle(body, angles, pelvis, side, joints[f"ankle_{side}"] + vec(0, 0, FLOOR_GAP_M - low))
        level_foot(angles, side, pitch)


def elbow_depth_m(body: Body, joints: Joints, side: Side) -> float:
    """How far the elbow goes into the trunk, a rounded slab."""
    local = joints.frame["trunk"].T @ (joints[f"elbow_{side}"] - joints["pelvis"])
    if not -0.05 < local[2] < body.trunk - 0.03:
        return 0.0
    sideways = max(sign(side) * float(local[1]) - 0.062 * body.scale, 0.0)
    ahead = max(float(local[0]) - body.belly * 0.6, 0.0) if local[0] > 0 else float(local[0])
    return max(0.0, body.trunk_radius + 0.03 * body.scale - hypot(sideways, ahead))


def clear_trunk(stage: Stage, angles: Angles, joints: Joints, side: Side) -> None:
    """Lift a free arm sideways, 2 degrees at a time, until it clears the trunk, the thigh and the seat.

    ``joints`` is the body posed in these angles; its arm is moved along.
    """
    for _ in range(20):
        if _worst_overlap_m(stage, joints, side) < 0.004:
            return
        angles[f"shoulder_abduction_{side}"] += 2.0
        arm_joints(stage.body, angles, joints.p, joints.frame, side, None)


def _worst_overlap_m(stage: Stage, joints: Joints, side: Side) -> float:
    body, g, worst = stage.body, sign(side), 0.0
    trunk, pelvis = joints.frame["trunk"], joints["pelvis"]
    for name, radius in ARM_BALLS:
        point = joints[f"{name}_{side}"]
        local = trunk.T @ (point - pelvis)
        if -0.1 < local[2] < body.trunk - 0.06:
            depth = max(abs(float(local[0])) - (body.belly * 0.5 if local[0] > 0 else 0.0), 0.0)
            worst = max(
                worst, body.trunk_radius + radius * 0.8 - hypot(max(g * local[1] - 0.06 * body.scale, 0.0), depth)
            )
        outside, top = stage.beside_seat_m
        if stage.sits and point[2] < top and point[0] < pelvis[0] + 0.27:
            worst = max(worst, outside + radius - g * float(point[1]))
    return worst

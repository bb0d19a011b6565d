"""Contacts made exact for the body at hand, at many instants at once: planted feet, then hands on a support.

Angles give the intent. Each limb is then solved in closed form, keeping its axial rotation. Every array has one row an
instant; a limb is changed only at the instants where it has to be.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from haleward.movement.body import Body
from haleward.movement.clearance import clear_floor, clear_trunk, elbow_depth_m
from haleward.movement.feet import FootRows, ankles_over, feet_together
from haleward.movement.geometry import Numbers, Vec, points
from haleward.movement.hands import FREE, Grasp, hand_target
from haleward.movement.limits import joint_limits
from haleward.movement.model import SIDES, KeyPose
from haleward.movement.reach import AngleRows, Rows, level_foot, reach_ankle, reach_hand
from haleward.movement.skeleton import Joints, arm_joints, head_joints, leg_joints, trunk_joints
from haleward.movement.stack import Stack
from haleward.movement.stage import Stage
from haleward.record import Side

FOOT_GOOD_M = 0.002
SHORT_LEG_M = 0.004  # legs too short by more than this lower the pelvis of a standing body
PELVIS_STEP_M = 0.006
NEARER_STEP_M = 0.008
ELBOW_OUT_DEG = 5.0
ELBOW_INTO_TRUNK_MOST_M = 0.010
UPPER_ARM_BACK_DEG = 52.0
UPPER_ARM_BACK_BETWEEN_DEG = 57.0  # more play on the way, so that an arm between two good key poses does not swing out


@dataclass(frozen=True)
class Intent:
    """Instants before their contacts are solved: shares of the way from one key pose to the next."""

    angles: AngleRows
    pelvis: Vec
    feet: dict[Side, FootRows]
    hands: dict[Side, str]
    first: KeyPose
    last: KeyPose
    share: Numbers


def together(parts: Sequence[Intent]) -> Intent:
    """The instants of several moves, one after the other; they differ in nothing that a hand's place depends on."""
    if len(parts) == 1:
        return parts[0]
    return replace(
        parts[0],
        angles={name: np.concatenate([part.angles[name] for part in parts]) for name in parts[0].angles},
        pelvis=np.concatenate([part.pelvis for part in parts]),
        feet={side: feet_together([part.feet[side] for part in parts]) for side in SIDES},
        share=np.concatenate([part.share for part in parts]),
    )


def solve(stage: Stage, intent: Intent) -> Stack:
    """The instants with every contact made; ``intent`` keeps its own angles."""
    body, hands = stage.body, intent.hands
    angles, feet = dict(intent.angles), dict(intent.feet)
    joints = trunk_joints(body, angles, intent.pelvis)
    miss = _sit(body, angles, joints, feet) if intent.first.seated else _stand(body, angles, joints, feet)
    head_joints(body, angles, joints)
    for side in SIDES:
        leg_joints(body, angles, joints, side)
    back_deg = UPPER_ARM_BACK_DEG if intent.first is intent.last else UPPER_ARM_BACK_BETWEEN_DEG
    for side in SIDES:
        if hands[side] == FREE:
            arm_joints(body, angles, joints, side, None)
            clear_trunk(stage, angles, joints, side)
        else:
            grasp = Grasp(stage, joints, intent.first, intent.last, intent.share, side)
            point, direction = hand_target(grasp, hands[side])
            miss = np.maximum(miss, _hold_on(body, angles, joints, side, point, direction, back_deg))
    return Stack(angles, joints["pelvis"], feet, hands, joints, miss)


def _hold_on(
    body: Body, angles: AngleRows, joints: Joints, side: Side, point: Vec, direction: Vec | None, back_deg: float
) -> Numbers:
    """Put the hand there and swing the elbow outward, about the line to the hand, until it clears the trunk.

    The elbow swings out as well where the upper arm would go further back than ``back_deg``.
    """
    turn, lowest_deg = f"shoulder_external_rotation_{side}", joint_limits()["shoulder_external_rotation"].lowest_deg
    miss = _put_hand(body, angles, joints, side, point, direction)
    for _ in range(14):
        into = elbow_depth_m(body, joints, side) >= ELBOW_INTO_TRUNK_MOST_M
        far_back = angles[f"shoulder_flexion_{side}"] <= -back_deg
        swings = (into | far_back) & (angles[turn] - ELBOW_OUT_DEG >= lowest_deg)
        if not swings.any():
            break
        angles[turn] = angles[turn] - ELBOW_OUT_DEG * swings
        miss = _put_hand(body, angles, joints, side, point, direction)
    return miss


def _put_hand(body: Body, angles: AngleRows, joints: Joints, side: Side, point: Vec, direction: Vec | None) -> Numbers:
    miss = reach_hand(body, angles, joints, side, point, direction)
    arm_joints(body, angles, joints, side, direction)
    return miss


def _sit(body: Body, angles: AngleRows, joints: Joints, feet: dict[Side, FootRows]) -> Numbers:
    """Solve the legs of a body on a seat; returns the worst miss."""
    _clear_floor(body, angles, joints, feet)
    left, right = (_plant_nearer(body, angles, joints, side, feet) for side in SIDES)
    return np.maximum(left, right)


def _stand(body: Body, angles: AngleRows, joints: Joints, feet: dict[Side, FootRows]) -> Numbers:
    """Solve the legs, the whole body a little lower if they are too short; returns the worst miss."""
    _clear_floor(body, angles, joints, feet)
    miss = _plant_both(body, angles, joints, feet)
    short = miss > SHORT_LEG_M
    for _ in range(12):
        if not short.any():
            break
        for name, point in joints.p.items():
            joints.p[name] = point - points(0, 0, PELVIS_STEP_M * short)
        miss = _plant_both(body, angles, joints, feet)
        short = short & (miss >= FOOT_GOOD_M)
    return miss


def _clear_floor(body: Body, angles: AngleRows, joints: Joints, feet: dict[Side, FootRows]) -> None:
    for side in SIDES:
        if not feet[side].planted.all():
            clear_floor(body, angles, joints, side, ~feet[side].planted)


def _plant_nearer(body: Body, angles: AngleRows, joints: Joints, side: Side, feet: dict[Side, FootRows]) -> Numbers:
    """Plant a foot, brought nearer to the seat where a leg is short and nothing fixes the foot's place."""
    loose = ~feet[side].of_kind("pedal", "plate")
    miss = _plant(body, angles, joints, side, feet[side])
    for _ in range(40):
        short = loose & (miss > FOOT_GOOD_M)
        if not short.any():
            break
        feet[side] = replace(feet[side], origin=feet[side].origin + points(-NEARER_STEP_M * short, 0, 0))
        miss = _plant(body, angles, joints, side, feet[side])
    return miss


def _plant_both(body: Body, angles: AngleRows, joints: Joints, feet: dict[Side, FootRows]) -> Numbers:
    left, right = (_plant(body, angles, joints, side, feet[side]) for side in SIDES)
    return np.maximum(left, right)


def _plant(body: Body, angles: AngleRows, joints: Joints, side: Side, foot: FootRows) -> Numbers:
    """Put a foot where it stands, at the instants where it is planted."""
    rows: Rows = foot.planted
    if not rows.any():
        return np.zeros(len(rows))
    miss = reach_ankle(body, angles, joints, side, ankles_over(body, foot), rows)
    level_foot(angles, joints, side, foot.pitch_deg, rows)
    return miss

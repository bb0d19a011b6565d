"""Two-bone inverse kinematics in closed form: a limb whose end must be at a point."""

from __future__ import annotations

from math import acos, atan2, cos, degrees, pi, radians, sin, sqrt

from haleward.movement.body import Body
from haleward.movement.geometry import Mat, Vec, length, limb, rot_y, rot_z, sign, vec
from haleward.movement.model import Angles
from haleward.movement.skeleton import hip_centre, shoulder_centre, trunk_frame
from haleward.record import Side

KNEE, ELBOW = 1, -1  # a knee folds back, an elbow forward
MOST_KNEE_DEG, MOST_ELBOW_DEG = 135.0, 143.0


def two_bone(
    target: Vec, *, upper: float, lower: float, axial: float, side: Side, bend: int, most_bend_deg: float
) -> tuple[float, float, float, float]:
    """Flexion, abduction and bend in degrees, and the miss in metres, that put the limb's end on ``target``.

    ``target`` is in the parent's frame with the limb's root at the origin. The axial rotation is kept: it decides where
    knee and elbow point.
    """
    wish = length(target)
    reach = min(max(wish, abs(upper - lower) + 1e-6), (upper + lower) * 0.9995)
    cosine = (reach**2 - upper**2 - lower**2) / (2 * upper * lower)
    fold = min(degrees(acos(min(1.0, max(-1.0, cosine)))), most_bend_deg)
    k, s = radians(fold), sign(side)
    local = rot_z(s * axial) @ vec(-bend * lower * sin(k), 0, -upper - lower * cos(k))
    got = length(local)
    aim = target / max(wish, 1e-9) * got
    radius, start = sqrt(local[1] ** 2 + local[2] ** 2), atan2(local[2], local[1])
    swing = acos(min(1.0, max(-1.0, float(aim[1]) / radius)))
    best = (float("inf"), 0.0, 0.0)
    for root in (swing, -swing):
        sideways = _wrap(root - start)
        forwards = _wrap(atan2(aim[0], -aim[2]) - atan2(local[0], -radius * sin(start + sideways)))
        best = min(best, (abs(sideways) + 0.2 * abs(forwards), sideways, forwards))
    return degrees(best[2]), s * degrees(best[1]), fold, abs(wish - got)


def _wrap(angle: float) -> float:
    return (angle + pi) % (2 * pi) - pi


def reach_ankle(body: Body, angles: Angles, pelvis: Vec, side: Side, ankle: Vec) -> float:
    """Change hip flexion, hip abduction and knee so that the ankle is there; returns the miss in metres."""
    frame = rot_y(angles["trunk_flexion"])
    flexion, abduction, knee, miss = two_bone(
        frame.T @ (ankle - hip_centre(body, frame, pelvis, side)),
        upper=body.thigh,
        lower=body.shank,
        axial=angles[f"hip_external_rotation_{side}"],
        side=side,
        bend=KNEE,
        most_bend_deg=MOST_KNEE_DEG,
    )
    angles[f"hip_flexion_{side}"], angles[f"hip_abduction_{side}"] = flexion, abduction
    angles[f"knee_flexion_{side}"] = knee
    return miss


def reach_hand(body: Body, angles: Angles, pelvis: Vec, side: Side, hand: Vec, direction: Vec | None) -> float:
    """Change shoulder flexion, abduction and elbow so that the hand is there; returns the miss in metres."""
    frame = trunk_frame(angles)
    end = hand if direction is None else hand - direction * body.grip
    flexion, abduction, elbow, miss = two_bone(
        frame.T @ (end - shoulder_centre(body, angles, pelvis, frame, side)),
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


def level_foot(angles: Angles, side: Side, pitch_deg: float) -> None:
    """Set the ankle so that the sole has this pitch in the world, toes up positive."""
    flexion, abduction, axial = (angles[f"hip_{name}_{side}"] for name in ("flexion", "abduction", "external_rotation"))
    thigh = limb(flexion, abduction, axial, side)
    shank = rot_y(angles["trunk_flexion"]) @ thigh @ rot_y(angles[f"knee_flexion_{side}"])
    size, phase = sqrt(shank[2, 0] ** 2 + shank[2, 2] ** 2), atan2(shank[2, 2], shank[2, 0])
    want = acos(min(1.0, max(-1.0, sin(radians(pitch_deg)) / max(size, 1e-9))))
    options = [(degrees(root - phase) + 180) % 360 - 180 for root in (want, -want)]
    angles[f"ankle_plantarflexion_{side}"] = min(options, key=abs)


def sole_pitch_deg(foot: Mat) -> float:
    """Pitch of a sole in the world, toes up positive."""
    return 90.0 - degrees(acos(min(1.0, max(-1.0, float(foot[2, 0])))))

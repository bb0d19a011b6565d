"""Key poses and the instants between them, with every contact made exact for the body at hand.

A key pose gives the intent as angles. Planted feet and hands on a support are then solved in closed form, keeping each
limb's axial rotation.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi, sin

from haleward.movement.body import Body
from haleward.movement.clearance import clear_floor, clear_trunk, elbow_depth_m
from haleward.movement.feet import Foot, ankle_over, foot_of, round_crank, swing
from haleward.movement.furniture import SEAT_TOP_M
from haleward.movement.geometry import Vec, length, mix, vec
from haleward.movement.hands import FREE, SUPPORTS, Grasp, hand_target
from haleward.movement.limits import joint_limits
from haleward.movement.model import LEG_JOINTS, SIDES, Angles, Form, KeyPose
from haleward.movement.reach import level_foot, reach_ankle, reach_hand
from haleward.movement.skeleton import Joints, arm_joints, forward, leg
from haleward.movement.stage import NEAREST, STEP_NEARER, Stage
from haleward.record import Side

CONTACT_GOOD_M = 0.006
LEAN_STEP_DEG = 1.5
ELBOW_OUT_DEG = 5.0
UPPER_ARM_BACK_DEG = 52.0
UPPER_ARM_BACK_BETWEEN_DEG = 57.0  # more play on the way, so that an arm between two good key poses does not swing out


@dataclass
class State:
    """One solved instant. ``miss_m`` is the worst contact error in metres."""

    angles: Angles
    pelvis: Vec
    feet: dict[Side, Foot]
    hands: dict[Side, str]
    joints: Joints
    miss_m: float


def ease(share: float) -> float:
    """Minimum-jerk share of a move: starts and ends at rest."""
    return share**3 * (10 - 15 * share + 6 * share * share)


class Poser:
    """Solves one form of a movement for one body."""

    def __init__(
        self, form: Form, body: Body, *, seat_top_m: float | None = SEAT_TOP_M, wheelchair: bool = False
    ) -> None:
        """Solve the key poses; who cannot reach a support stands nearer first, then leans from the hips."""
        self.form, self.body = form, body
        self.stage = Stage(form, body, seat_top_m=seat_top_m, wheelchair=wheelchair)
        self.keys: dict[str, State] = {}
        self._lean_deg = 0.0
        for _ in range(22):
            self._solve_keys()
            if self._support_miss() < CONTACT_GOOD_M:
                break
            if self.stage.near > NEAREST:
                self.stage.near *= STEP_NEARER
            else:
                self._lean_deg += LEAN_STEP_DEG

    def _support_miss(self) -> float:
        held = (key for key in self.keys.values() if SUPPORTS & set(key.hands.values()))
        return max((key.miss_m for key in held), default=0.0)

    def _solve_keys(self) -> None:
        self.keys = {}
        before: State | None = None
        for cycle in self.form.cycles:
            for name in (*cycle.out_poses, *cycle.back_poses):
                if name not in self.keys:
                    self.keys[name] = self._key(self.form.poses[name], before)
                before = self.keys[name]

    def _key(self, pose: KeyPose, before: State | None) -> State:
        angles = dict(pose.angles)
        if self._lean_deg and SUPPORTS & set(pose.hands.values()):
            angles["trunk_flexion"] += self._lean_deg
            angles["neck_flexion"] -= 0.6 * self._lean_deg
            for side in SIDES:
                angles[f"hip_flexion_{side}"] += self._lean_deg
        h = self.body.stature_m
        moved = vec(self.stage.feet_forward_m(pose), 0, 0)
        raw = forward(self.body, angles, vec(*(part * h for part in pose.pelvis)) + moved, arms=())
        feet = {
            side: foot_of(self.body, pose.feet[side], raw, side, before.feet[side] if before else None)
            for side in SIDES
        }
        return self._solve(angles, self.stage.pelvis(pose), feet, dict(pose.hands), pose, pose, 0.0)

    # ---- solving -----------------------------------------------------------------------------------------------

    def _solve(
        self,
        angles: Angles,
        pelvis: Vec,
        feet: dict[Side, Foot],
        hands: dict[Side, str],
        first: KeyPose,
        last: KeyPose,
        share: float,
    ) -> State:
        pelvis, miss = self._stand(angles, pelvis, feet, first.seated)
        joints = forward(self.body, angles, pelvis, arms=[side for side in SIDES if hands[side] == FREE])
        for side in SIDES:
            if hands[side] == FREE:
                clear_trunk(self.stage, angles, joints, side)
            else:
                point, direction = hand_target(Grasp(self.stage, joints, first, last, share, side), hands[side])
                back_deg = UPPER_ARM_BACK_DEG if first is last else UPPER_ARM_BACK_BETWEEN_DEG
                miss = max(miss, self._hold_on(angles, joints, side, point, direction, back_deg))
        return State(angles, pelvis, feet, hands, joints, miss)

    def _hold_on(
        self, angles: Angles, joints: Joints, side: Side, point: Vec, direction: Vec | None, back_deg: float
    ) -> float:
        """Put the hand there and swing the elbow outward, about the line to the hand, until it clears the trunk.

        The elbow swings out as well where the upper arm would go further back than ``back_deg``.
        """
        pelvis, turn = joints["pelvis"], f"shoulder_external_rotation_{side}"
        miss = reach_hand(self.body, angles, pelvis, side, point, direction)
        for _ in range(14):
            arm_joints(self.body, angles, joints.p, joints.frame, side, direction)
            free = elbow_depth_m(self.body, joints, side) < 0.010 and angles[f"shoulder_flexion_{side}"] > -back_deg
            if free or angles[turn] - ELBOW_OUT_DEG < joint_limits()["shoulder_external_rotation"].lowest_deg:
                return miss
            angles[turn] -= ELBOW_OUT_DEG
            miss = reach_hand(self.body, angles, pelvis, side, point, direction)
        arm_joints(self.body, angles, joints.p, joints.frame, side, direction)
        return miss

    def _stand(self, angles: Angles, pelvis: Vec, feet: dict[Side, Foot], seated: bool) -> tuple[Vec, float]:
        """Solve the legs. Returns the pelvis, a little lower if the legs are too short, and the worst miss."""
        planted = [side for side in SIDES if feet[side].planted]
        for side in SIDES:
            if side not in planted:
                clear_floor(self.body, angles, pelvis, side, leg(self.body, angles, pelvis, side))
        miss = max((self._plant(angles, pelvis, side, feet[side]) for side in planted), default=0.0)
        if seated and miss > 0.002:
            for side in planted:
                feet[side] = self._nearer(angles, pelvis, side, feet[side])
            miss = max(self._plant(angles, pelvis, side, feet[side]) for side in planted)
        for _ in range(0 if seated or miss <= 0.004 else 12):
            pelvis = pelvis - vec(0, 0, 0.006)
            miss = max(self._plant(angles, pelvis, side, feet[side]) for side in planted)
            if miss < 0.002:
                break
        return pelvis, miss

    def _nearer(self, angles: Angles, pelvis: Vec, side: Side, foot: Foot) -> Foot:
        """Bring the foot of a short leg nearer to the seat."""
        for _ in range(40):
            if foot.kind in ("pedal", "plate") or self._plant(angles, pelvis, side, foot) < 0.002:
                break
            foot = Foot(foot.kind, foot.pitch_deg, foot.origin - vec(0.008, 0, 0))
        return foot

    def _plant(self, angles: Angles, pelvis: Vec, side: Side, foot: Foot) -> float:
        miss = reach_ankle(self.body, angles, pelvis, side, ankle_over(self.body, foot))
        level_foot(angles, side, foot.pitch_deg)
        return miss

    # ---- in between --------------------------------------------------------------------------------------------

    def between(self, first: str, last: str, share: float) -> State:
        """The instant a share (already eased) of the way from one key pose to the next."""
        a, b = self.keys[first], self.keys[last]
        if share <= 0 or first == last:
            return a
        if share >= 1:
            return b
        angles = {name: value + (b.angles[name] - value) * share for name, value in a.angles.items()}
        feet = {side: self._foot_between(a, b, side, share, angles) for side in SIDES}
        hands = {side: _hand_between(a.hands[side], b.hands[side]) for side in SIDES}
        poses = self.form.poses
        return self._solve(angles, mix(a.pelvis, b.pelvis, share), feet, hands, poses[first], poses[last], share)

    def _foot_between(self, a: State, b: State, side: Side, share: float, angles: Angles) -> Foot:
        first, last = a.feet[side], b.feet[side]
        if first.planted and last.planted:
            return self._both_planted(a, b, side, share)
        share = _swap_share(a, b, side, share)
        if share <= 0 or (share >= 1 and last.planted):
            return first if share <= 0 else last
        for name in (f"{joint}_{side}" for joint in LEG_JOINTS):
            angles[name] = a.angles[name] + (b.angles[name] - a.angles[name]) * share
        return Foot("air", 0.0, mix(first.origin, last.origin, share))

    def _both_planted(self, a: State, b: State, side: Side, share: float) -> Foot:
        first, last = a.feet[side], b.feet[side]
        pitch = first.pitch_deg + (last.pitch_deg - first.pitch_deg) * share
        if first.kind == "pedal":
            ahead = vec(self.body.ball, 0, 0)
            centres = [(key.feet["left"].origin + key.feet["right"].origin) / 2 + ahead for key in (a, b)]
            point = round_crank(first.origin + ahead, last.origin + ahead, centres[0], centres[1], share)
            return Foot("pedal", pitch, point - ahead)
        kind = last.kind if first.kind == "flat" else first.kind
        slides = self.form.scene.slides and self.form.poses[next(iter(self.form.poses))].seated
        if length(first.origin - last.origin) <= 0.012 or slides or self._on_belt(first, last):
            return Foot(kind, pitch, mix(first.origin, last.origin, share))
        return Foot(kind, pitch - 16 * sin(pi * share), swing(first.origin, last.origin, share))

    def _on_belt(self, first: Foot, last: Foot) -> bool:
        """A standing foot carried back by a treadmill belt, or by walking past the camera."""
        step = self.form.scene.belt * self.body.stature_m
        return step > 0 and abs(float(first.origin[0] - last.origin[0]) - step) < 0.35 * step


def _hand_between(first: str, last: str) -> str:
    if first == last:
        return first
    return FREE if FREE in (first, last) else f"{first}>{last}"


def _swap_share(a: State, b: State, side: Side, share: float) -> float:
    """When one foot lands while the other lifts, land in the first half of the move and lift in the second."""
    lands = any(not a.feet[s].planted and b.feet[s].planted for s in SIDES)
    lifts = any(a.feet[s].planted and not b.feet[s].planted for s in SIDES)
    if not (lands and lifts):
        return share
    if b.feet[side].planted:
        return min(2 * share, 1.0)
    return max(2 * share - 1, 0.0) if a.feet[side].planted else share

"""Key poses and the instants between them, with every contact made exact for the body at hand.

A key pose gives the intent as angles; :mod:`haleward.movement.solve` then makes the contacts.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import pi

import numpy as np

from haleward.movement.body import Body
from haleward.movement.feet import FootRows, foot_of, foot_rows, round_crank, swing
from haleward.movement.furniture import SEAT_TOP_M
from haleward.movement.geometry import Numbers, Vec, length, mix, vec
from haleward.movement.hands import FREE, STILL_PLACES, SUPPORTS
from haleward.movement.model import LEG_JOINTS, SIDES, Form, KeyPose
from haleward.movement.reach import AngleRows
from haleward.movement.skeleton import legs
from haleward.movement.solve import Intent, solve, together
from haleward.movement.stack import State
from haleward.movement.stage import NEAREST, STEP_NEARER, Stage
from haleward.record import Side

CONTACT_GOOD_M = 0.006
LEAN_STEP_DEG = 1.5
STEPS_PITCH_DEG = 16  # how far the toes of a stepping foot point down
STANDS_STILL_M = 0.012


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
        raw = legs(self.body, angles, vec(*(part * h for part in pose.pelvis)) + moved)
        stood: dict[Side, FootRows] = {}
        for side in SIDES:
            stands = before.feet[side] if before else None
            stood[side] = foot_rows([foot_of(self.body, pose.feet[side], raw, side, stands)])
        rows = {name: np.array([value]) for name, value in angles.items()}
        intent = Intent(rows, self.stage.pelvis(pose)[None], stood, dict(pose.hands), pose, pose, np.zeros(1))
        return solve(self.stage, intent).states()[0]

    # ---- in between --------------------------------------------------------------------------------------------

    def between(self, first: str, last: str, share: float) -> State:
        """The instant a share (already eased) of the way from one key pose to the next."""
        return self.at([(first, last, share)])[0]

    def along(self, first: str, last: str, shares: Sequence[float]) -> list[State]:
        """The instants at these shares (already eased) of the way from one key pose to the next."""
        return self.at([(first, last, share) for share in shares])

    def at(self, instants: Sequence[tuple[str, str, float]]) -> list[State]:
        """Instants, each given by two key poses and a share of the way (already eased), solved together."""
        found: dict[int, State] = {}
        moves: dict[tuple[str, str], list[int]] = {}
        for n, (first, last, share) in enumerate(instants):
            if 0 < share < 1 and first != last:
                moves.setdefault((first, last), []).append(n)
            else:
                found[n] = self.keys[last if share >= 1 else first]
        alike: dict[object, list[tuple[Intent, list[int]]]] = {}
        for (first, last), numbers in moves.items():
            intent = self._intent(first, last, np.array([instants[n][2] for n in numbers]))
            alike.setdefault(_solved_alike(self.stage, intent), []).append((intent, numbers))
        for intents in alike.values():
            solved = solve(self.stage, together([intent for intent, _ in intents])).states()
            found.update(zip((n for _, numbers in intents for n in numbers), solved, strict=True))
        return [found[n] for n in range(len(instants))]

    def _intent(self, first: str, last: str, share: Numbers) -> Intent:
        a, b = self.keys[first], self.keys[last]
        angles = _angles_between(a, b, share)
        feet = {side: self._foot_between(a, b, side, share, angles) for side in SIDES}
        hands = {side: _hand_between(a.hands[side], b.hands[side]) for side in SIDES}
        poses = self.form.poses
        return Intent(angles, mix(a.pelvis, b.pelvis, share), feet, hands, poses[first], poses[last], share)

    def _foot_between(self, a: State, b: State, side: Side, share: Numbers, angles: AngleRows) -> FootRows:
        """The foot on its way; a leg that lifts or lands gets its ``angles`` in its own time."""
        first, last = a.feet[side], b.feet[side]
        if first.planted and last.planted:
            return self._both_planted(a, b, side, share)
        share = _swap_share(a, b, side, share)
        begun, landed = share > 0, (share >= 1) & last.planted
        for name in (f"{joint}_{side}" for joint in LEG_JOINTS):
            own = a.angles[name] + (b.angles[name] - a.angles[name]) * share
            angles[name] = np.where(begun & ~landed, own, angles[name])
        pitch_deg = np.where(landed, last.pitch_deg, np.where(begun, 0.0, first.pitch_deg))
        kinds = tuple(
            last.kind if lands else "air" if moves else first.kind
            for moves, lands in zip(begun.tolist(), landed.tolist(), strict=True)
        )
        return FootRows(kinds, pitch_deg, mix(first.origin, last.origin, share))

    def _both_planted(self, a: State, b: State, side: Side, share: Numbers) -> FootRows:
        first, last = a.feet[side], b.feet[side]
        pitch_deg = first.pitch_deg + (last.pitch_deg - first.pitch_deg) * share
        if first.kind == "pedal":
            ahead = vec(self.body.ball, 0, 0)
            centres = [(key.feet["left"].origin + key.feet["right"].origin) / 2 + ahead for key in (a, b)]
            point = round_crank(first.origin + ahead, last.origin + ahead, centres[0], centres[1], share)
            return FootRows(("pedal",) * len(share), pitch_deg, point - ahead)
        kinds = (last.kind if first.kind == "flat" else first.kind,) * len(share)
        slides = self.form.scene.slides and self.form.poses[next(iter(self.form.poses))].seated
        if length(first.origin - last.origin) <= STANDS_STILL_M or slides or self._on_belt(first.origin, last.origin):
            return FootRows(kinds, pitch_deg, mix(first.origin, last.origin, share))
        lifted_deg = STEPS_PITCH_DEG * np.sin(pi * share)
        return FootRows(kinds, pitch_deg - lifted_deg, swing(first.origin, last.origin, share))

    def _on_belt(self, first: Vec, last: Vec) -> bool:
        """A standing foot carried back by a treadmill belt, or by walking past the camera."""
        step = self.form.scene.belt * self.body.stature_m
        return step > 0 and abs(float(first[0] - last[0]) - step) < 0.35 * step


def _solved_alike(stage: Stage, intent: Intent) -> object:
    """The same for moves that can be solved together: nothing that a hand's place depends on differs."""
    first, hands = intent.first, tuple(intent.hands.values())
    move = None if STILL_PLACES.issuperset(hands) else (first.name, intent.last.name)
    return (first.seated, stage.mirrored(first.name), hands, move)


def _angles_between(a: State, b: State, share: Numbers) -> AngleRows:
    first, last = np.array([list(a.angles.values()), [b.angles[name] for name in a.angles]])
    return dict(zip(a.angles, first[:, None] + (last - first)[:, None] * share, strict=True))


def _hand_between(first: str, last: str) -> str:
    if first == last:
        return first
    return FREE if FREE in (first, last) else f"{first}>{last}"


def _swap_share(a: State, b: State, side: Side, share: Numbers) -> Numbers:
    """When one foot lands while the other lifts, land in the first half of the move and lift in the second."""
    lands = any(not a.feet[s].planted and b.feet[s].planted for s in SIDES)
    lifts = any(a.feet[s].planted and not b.feet[s].planted for s in SIDES)
    if not (lands and lifts):
        return share
    if b.feet[side].planted:
        return np.minimum(2 * share, 1.0)
    return np.maximum(2 * share - 1, 0.0) if a.feet[side].planted else share

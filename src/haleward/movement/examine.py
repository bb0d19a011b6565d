"""Checks of a movement on a real body, key poses and every instant between: each finding is one sentence.

Contacts met and kept, joints within their range, limbs clear of trunk, legs and furniture, no jump, one foot at a time,
and balance where nothing is held. The tolerances are what an eye does not see on a drawing of a person.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from haleward.movement.body import Body
from haleward.movement.collide import boxes, gap_m, trunk_depth_m
from haleward.movement.feet import ON_FLOOR, ankle_over
from haleward.movement.hands import FREE
from haleward.movement.limits import joint_limits, joint_of, plain
from haleward.movement.model import SIDES, Form
from haleward.movement.motion import Poser
from haleward.movement.segments import all_masses, centre_of_mass
from haleward.movement.stack import State
from haleward.movement.track import Track, all_moves, track
from haleward.record import Side

CONTACT_MOST_M = 0.010
SLIP_MOST_M = 0.010
SAME_PLACE_M = 0.012
JUMP_MOST_DEG = 22.0
JUMP_SHARE = 0.05  # of a move, in which a joint must not turn further than that
INTO_TRUNK_MOST_M = 0.030
INTO_FURNITURE_MOST_M = 0.012
UNDER_FLOOR_MOST_M = 0.012
ARM_TO_THIGH_LEAST_M = 0.068  # at 1.70 m, axis to axis
SHIN_TO_SHIN_LEAST_M = 0.060
OFF_BALANCE_MOST_M = 0.010
STEP_LEAST_M = 0.015
SOLE_HALF_WIDTH_OF_STATURE = 0.028
HEEL_EDGE_M = 0.03
ARM_RADII = {"elbow": 0.03, "wrist": 0.024, "hand": 0.03}
LIMB_RADII = {"hand": 0.022, "wrist": 0.02, "elbow": 0.02, "knee": 0.04, "ankle": 0.03, "toe": 0.005, "heel": 0.005}
SEATED_HANDS = ("thigh", "other_thigh", "seat_edge", "armrest")
SOLVED_JOINTS = tuple(joint for joint in joint_limits() if not joint.startswith(("neck", "scapula")))


@dataclass(frozen=True)
class Finding:
    """What is wrong with a move: the kind of fault, the sentence, and the key pose that the move starts from."""

    kind: str
    text: str
    pose: str

    @property
    def what(self) -> str:
        """The sentence without its amount, to count the same finding of several bodies once."""
        return self.text.split(" by ")[0].split(" is ")[0]


def examine(form: Form, body: Body, *, instants: int) -> list[Finding]:
    """Every finding in a form for one body, looked at in ``instants`` of each move."""
    poser = Poser(form, body)
    found = [*_balance(poser)]
    for first, last in all_moves(form):
        if poser.stage.mirrored(first) == poser.stage.mirrored(last):  # from left to right is a cut, not a move
            move = track(poser, first, last, instants)
            found += [Finding(kind, text, first) for kind, text in (*_instants(move), *_between(move))]
    return list({(each.what, each.pose): each for each in found}.values())


def _instants(move: Track) -> Iterator[tuple[str, str]]:
    """Checks of each instant by itself."""
    miss = max(state.miss_m for state in move.states)
    if miss > CONTACT_MOST_M:
        yield "contact", f"a planted foot or a hand misses its support by {_cm(miss)}"
    yield from _range(move)
    yield from _floor(move)
    yield from _arms(move)
    yield from _furniture(move)
    if gap_m(move, ("knee_left", "ankle_left"), ("knee_right", "ankle_right")) < _scaled(move, SHIN_TO_SHIN_LEAST_M):
        yield "body", "the shins go through each other"


def _range(move: Track) -> Iterator[tuple[str, str]]:
    limits = joint_limits()
    for name in move.states[0].angles:
        if joint_of(name) not in SOLVED_JOINTS:
            continue
        angles, limit = move.angle(name), limits[joint_of(name)]
        for angle in (float(angles.min()), float(angles.max())):
            if not limit.holds(angle):
                yield "limit", f"the {plain(name)} is {angle:.0f} degrees; it must be {limit}"


def _floor(move: Track) -> Iterator[tuple[str, str]]:
    for side in SIDES:
        low = -min(float(move.point(f"{part}_{side}")[:, 2].min()) for part in ("heel", "ball"))
        if low > UNDER_FLOOR_MOST_M:
            yield "floor", f"the {side} foot sinks into the floor by {_cm(low)}"


def _arms(move: Track) -> Iterator[tuple[str, str]]:
    scale = move.poser.body.scale
    for side in SIDES:
        hands = {state.hands[side] for state in move.states}
        if "chest" not in hands:
            for part, radius in ARM_RADII.items():
                deep = trunk_depth_m(move, f"{part}_{side}", radius * scale)
                if deep > INTO_TRUNK_MOST_M:
                    yield "body", f"the {side} {part} goes into the trunk by {_cm(deep)}"
        if not hands & set(SEATED_HANDS):
            yield from _arm_and_thighs(move, side)
        across = (move.point(f"elbow_{side}") - move.point("pelvis"))[:, 1] * (1 if side == "left" else -1)
        if float(across.min()) < -0.08:
            yield "body", f"the {side} elbow crosses to the other side"


def _arm_and_thighs(move: Track, side: Side) -> Iterator[tuple[str, str]]:
    for start, end in (("elbow", "wrist"), ("wrist", "hand")):
        for leg in SIDES:
            gap = gap_m(move, (f"{start}_{side}", f"{end}_{side}"), (f"hip_{leg}", f"knee_{leg}"))
            if gap < _scaled(move, ARM_TO_THIGH_LEAST_M):
                yield "body", f"the {side} {end} goes into the {leg} thigh"


def _furniture(move: Track) -> Iterator[tuple[str, str]]:
    for box in boxes(move.poser, move.first):
        for side in SIDES:
            held = any(state.hands[side] != FREE for state in move.states)
            for part, radius in LIMB_RADII.items():
                if part in ("hand", "wrist") and held:
                    continue
                if box.name == "the step" and part in ("toe", "heel") and move.states[0].feet[side].planted:
                    continue
                deep = box.depth(move.point(f"{part}_{side}"), radius * move.poser.body.scale)
                if deep > INTO_FURNITURE_MOST_M:
                    yield "furniture", f"the {side} {part} goes into {box.name} by {_cm(deep)}"


def _between(move: Track) -> Iterator[tuple[str, str]]:
    """Checks of one instant against the next."""
    poser, keys = move.poser, move.poser.keys
    stepping = []
    for side in SIDES:
        a, b = keys[move.first].feet[side], keys[move.last].feet[side]
        if not (a.planted and b.planted):
            continue
        apart = float(np.linalg.norm(a.origin - b.origin))
        if apart > STEP_LEAST_M:
            stepping.append(side)
        if apart < SAME_PLACE_M and a.kind in ON_FLOOR and b.kind in ON_FLOOR:
            slip = max(_slip_m(poser.body, state, side, a.origin) for state in move.states)
            if slip > SLIP_MOST_M:
                yield "slip", f"the planted {side} foot slides by {_cm(slip)}"
    by_machine = any(keys[move.first].feet[side].kind == "pedal" for side in SIDES)
    if len(stepping) == len(SIDES) and not poser.form.scene.belt and not by_machine and not poser.form.scene.slides:
        yield "step", "both feet step at once"
    if not poser.form.poses[move.first].seated and not all(
        any(foot.planted for foot in state.feet.values()) for state in move.states
    ):
        yield "step", "both feet are in the air"
    yield from _jumps(move)


def _slip_m(body: Body, state: State, side: Side, origin: np.ndarray) -> float:
    foot = state.feet[side]
    off = state.joints[f"ankle_{side}"] - ankle_over(body, foot)
    return float(np.linalg.norm(off[:2]) + np.linalg.norm((foot.origin - origin)[:2]))


def _jumps(move: Track) -> Iterator[tuple[str, str]]:
    most = max(JUMP_MOST_DEG, JUMP_MOST_DEG / JUMP_SHARE / (len(move.states) - 1))
    names = tuple(move.states[0].angles)
    angles = np.array([[state.angles[name] for name in names] for state in move.states])
    change = np.abs(np.diff(angles, axis=0)).max(axis=0)
    worst = int(change.argmax())
    if change[worst] > most:
        yield "jump", f"the {plain(names[worst])} jumps by {change[worst]:.0f} degrees"


def _balance(poser: Poser) -> Iterator[Finding]:
    """A standing person who holds nothing keeps the centre of mass over the feet, where the movement rests."""
    for name in _rests(poser.form):
        state = poser.keys[name]
        if poser.form.poses[name].seated or any(hand != FREE for hand in state.hands.values()):
            continue
        off = _off_base_m(poser.body, state)
        if off > OFF_BALANCE_MOST_M:
            yield Finding("balance", f"the centre of mass leaves the feet by {_cm(off)}", name)


def _rests(form: Form) -> list[str]:
    """Poses in which a movement stands still: where it begins, and where it holds."""
    starts = [cycle.start for cycle in form.cycles]
    holds = [s.pose for cycle in form.cycles for s in (*cycle.out, *cycle.back) if s.hold_s > 0]
    return list(dict.fromkeys((*starts, *holds)))


def _off_base_m(body: Body, state: State) -> float:
    corners = []
    for side in SIDES:
        foot = state.feet[side]
        if foot.planted:
            back = body.ball if foot.kind == "ball" else -body.heel
            front = HEEL_EDGE_M - body.heel if foot.kind == "heel" else body.toe
            wide = SOLE_HALF_WIDTH_OF_STATURE * body.stature_m
            corners += [foot.origin[:2] + np.array((x, y)) for x in (back, front) for y in (-wide, wide)]
    if not corners:
        return 0.0
    low, high = np.min(corners, axis=0), np.max(corners, axis=0)
    centre = centre_of_mass(all_masses(state.joints, body, scheme="winter"))[:2]
    return float(np.maximum(np.maximum(low - centre, centre - high), 0).max())


def _scaled(move: Track, at_reference_m: float) -> float:
    return at_reference_m * move.poser.body.scale


def _cm(metres: float) -> str:
    return f"{metres * 100:.1f} cm"

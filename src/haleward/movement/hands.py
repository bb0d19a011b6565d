"""Where a hand that holds on to something is, and which way its fingers point."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import pi

import numpy as np

from haleward.movement.feet import round_crank
from haleward.movement.furniture import (
    ARMREST_ABOVE_SEAT_M,
    SEATED_HIP_OF_STATURE,
    TREADMILL_RAIL_TOP_M,
)
from haleward.movement.geometry import Numbers, Vec, directions, mix, other, points, sign, vec
from haleward.movement.model import KeyPose
from haleward.movement.skeleton import Joints
from haleward.movement.stage import Stage
from haleward.record import Side

FREE = "free"
SUPPORTS = frozenset({"front", "front_one", "side", "rails"})  # supports that a tall person may have to come nearer to


@dataclass(frozen=True)
class Grasp:
    """What is known when a hand's place is asked for: the body so far at each instant, and the two key poses around."""

    stage: Stage
    joints: Joints
    first: KeyPose
    last: KeyPose
    share: Numbers
    side: Side


# Hand centre, and the direction of the fingers where the hand lies on something: one for all instants, or rows.
Target = tuple[Vec, Vec | None]


def hand_target(grasp: Grasp, contact: str) -> Target:
    """Centre of the hand in metres and, where it lies on something, the direction of the fingers (a unit vector)."""
    if ">" in contact:
        return _on_the_way(grasp, contact)
    point, direction = PLACES[contact](grasp)
    return point, None if direction is None else directions(direction)


def _on_the_way(grasp: Grasp, contact: str) -> Target:
    """A hand that goes from one support to another, in a small arc."""
    first, last = contact.split(">")
    (a, a_dir), (b, b_dir) = hand_target(grasp, first), hand_target(grasp, last)
    if a_dir is None or b_dir is None:
        return mix(a, b, grasp.share), None
    direction = mix(a_dir, b_dir, grasp.share)
    return mix(a, b, grasp.share) + points(0, 0, 0.07 * np.sin(pi * grasp.share)), directions(direction)


def _thigh(grasp: Grasp) -> Target:
    return _on_thigh(grasp, grasp.side, along=0.66, inward=-0.012)


def _other_thigh(grasp: Grasp) -> Target:
    return _on_thigh(grasp, other(grasp.side), along=0.78, inward=0.03)


def _on_thigh(grasp: Grasp, leg: Side, *, along: float, inward: float) -> Target:
    body, joints, g = grasp.stage.body, grasp.joints, sign(grasp.side)
    frame = joints.frame[f"thigh_{leg}"]
    along += 0.4 * max(0.0, body.girth - 1.15)
    base = mix(joints[f"hip_{leg}"], joints[f"knee_{leg}"], along)
    lift = body.thigh_radius * (1 - along) + 0.060 * along * body.girth**0.5 * body.scale + 0.028
    return base + frame @ vec(lift, g * inward, 0), frame @ vec(0.12, -0.28 * g, -0.95)


def _chest(grasp: Grasp) -> Target:
    """Forearms crossed, the left one in front."""
    body, joints, g = grasp.stage.body, grasp.joints, sign(grasp.side)
    up, ahead = (0.215, 0.062) if grasp.side == "left" else (0.190, 0.030)
    trunk = joints.frame["trunk"]
    front = body.trunk_radius + body.belly * 0.35 + ahead
    point = joints["pelvis"] + trunk @ vec(front, -g * 0.070 * body.scale, up * body.stature_m)
    return point, trunk @ vec(-0.30, -g * 0.85, 0.42)


def _seat_edge(grasp: Grasp) -> Target:
    pelvis, g = grasp.joints["pelvis"], sign(grasp.side)
    out = g * (0.225 + 0.06 * (grasp.stage.body.girth - 1))
    ahead = 0.12 * max(1.0, grasp.stage.body.scale)  # further for a tall person, whose elbows else meet the backrest
    edge = points(pelvis[..., 0] + ahead, pelvis[..., 1] + out, grasp.stage.seat_top_m + 0.01)
    return edge, vec(0.35, 0, -1)


def _armrest(grasp: Grasp) -> Target:
    stage = grasp.stage
    chair = stage.prop(grasp.first.name, "armchair")
    x = (chair.x if chair else 0.0) * stage.body.stature_m + 0.13
    top = stage.seat_top_m + ARMREST_ABOVE_SEAT_M
    return vec(x, sign(grasp.side) * 0.265, top + 0.030), vec(1, 0, -0.25)


def _wall(grasp: Grasp) -> Target:
    h, g = grasp.stage.body.stature_m, sign(grasp.side)
    wall = grasp.stage.prop(grasp.first.name, "wall")
    low, high = grasp.first.hand_at[grasp.side][2], grasp.last.hand_at[grasp.side][2]
    z = (low * (1 - grasp.share) + high * grasp.share) * h
    return points((wall.x if wall else 0.5) * h - 0.030, g * 0.125 * h, z), vec(0.10, -0.1 * g, 1)


def _front(grasp: Grasp) -> Target:
    return _in_front(grasp, min(0.105 * grasp.stage.body.stature_m, 0.17))


def _front_one(grasp: Grasp) -> Target:
    return _in_front(grasp, 0.10)


def _in_front(grasp: Grasp, sideways: float) -> Target:
    stage, g = grasp.stage, sign(grasp.side)
    h = stage.body.stature_m
    top = stage.prop(grasp.first.name, "worktop")
    if top is not None:
        follow = grasp.joints["pelvis"][..., 1] if stage.form.scene.slides else 0.0
        edge = points(top.x * h + 0.05, g * 0.115 * h + follow, stage.worktop_top_m + 0.022)
        return edge, vec(1, 0, -0.05)
    chair = stage.prop(grasp.first.name, "chair_back")
    return vec((chair.x if chair else 0.24) * h, g * sideways, stage.chair_back_top_m + 0.026), vec(0.75, 0, -0.55)


def _side(grasp: Grasp) -> Target:
    stage, g = grasp.stage, sign(grasp.side)
    h = stage.body.stature_m
    tops = {
        "rail": stage.rail_top_m,
        "worktop_side": stage.worktop_top_m,
        "chair_side": stage.chair_back_top_m,
    }
    support = stage.prop(grasp.first.name, *tops)
    if support is None:
        raise ValueError(f'pose "{grasp.first.name}" holds on at the side, but no support stands there')
    onto = 0.05 if support.kind == "worktop_side" else 0.0
    return vec(support.x * h, g * (abs(support.y) * h + onto), tops[support.kind] + 0.026), vec(0.85, g * 0.1, -0.30)


def _rails(grasp: Grasp) -> Target:
    x = 0.13 * grasp.stage.body.stature_m
    return vec(x, sign(grasp.side) * 0.30, TREADMILL_RAIL_TOP_M + 0.026), vec(1, 0, -0.2)


def _placed(grasp: Grasp, key: KeyPose, side: Side) -> Vec:
    return np.array(key.hand_at[side]) * grasp.stage.body.stature_m


def _crank(grasp: Grasp) -> Target:
    stage = grasp.stage
    a, b = _placed(grasp, grasp.first, grasp.side), _placed(grasp, grasp.last, grasp.side)
    centres = [(_placed(grasp, key, "left") + _placed(grasp, key, "right")) / 2 for key in (grasp.first, grasp.last)]
    lift = stage.seat_top_m + 0.88 * stage.body.thigh_radius - SEATED_HIP_OF_STATURE * stage.body.stature_m
    return round_crank(a, b, centres[0], centres[1], grasp.share) + vec(0, 0, lift), None


def _handlebar(grasp: Grasp) -> Target:
    point = mix(_placed(grasp, grasp.first, grasp.side), _placed(grasp, grasp.last, grasp.side), grasp.share)
    return points(point[..., 0], sign(grasp.side) * 0.16, point[..., 2]), None


def _rower(grasp: Grasp) -> Target:
    """The handle stops in front of the body."""
    body = grasp.stage.body
    point = mix(_placed(grasp, grasp.first, grasp.side), _placed(grasp, grasp.last, grasp.side), grasp.share)
    front = grasp.joints["pelvis"][..., 0] + body.trunk_radius + body.belly * 0.6 + 0.05
    return points(np.maximum(point[..., 0], front), sign(grasp.side) * 0.12, point[..., 2]), None


PLACES: dict[str, Callable[[Grasp], Target]] = {
    "thigh": _thigh,
    "other_thigh": _other_thigh,
    "chest": _chest,
    "seat_edge": _seat_edge,
    "armrest": _armrest,
    "wall": _wall,
    "front": _front,
    "front_one": _front_one,
    "side": _side,
    "rails": _rails,
    "crank": _crank,
    "handlebar": _handlebar,
    "rower": _rower,
}
BY_KEY_POSES = frozenset({"wall", "crank", "handlebar", "rower"})  # places that are written in the key poses
STILL_PLACES = frozenset({FREE, *PLACES}) - BY_KEY_POSES

"""Trunk, legs and arms of the figure as units; the far arm and leg in a darker shade."""

from __future__ import annotations

import numpy as np

from haleward.movement.body import Body
from haleward.movement.geometry import Vec, mix, points, rot_z, sign, vec
from haleward.movement.model import SIDES
from haleward.movement.stack import Stack
from haleward.record import Side
from haleward.render.draw import Ball, Piece, Unit, View, hull, rod
from haleward.render.head import Head
from haleward.render.looks import Look, shade

STEEL, SOCKET = "#9AA5AB", "#5A6570"
TURNED_OUT = 0.4  # a planted shoe that points further to the side than this keeps its own direction


def figure_units(stack: Stack, body: Body, look: Look, view: View) -> list[Unit]:
    """The whole figure."""
    near: Side = "left" if left_is_near(stack, view) else "right"
    units = [_hips(stack, body, look), _torso(stack, body, look)]
    units += [_leg(stack, body, look, side, far=side != near) for side in SIDES]
    units += [_arm(stack, body, look, side, far=side != near) for side in SIDES]
    return [*units, Head(stack.joints, body, look, view).unit()]


def left_is_near(stack: Stack, view: View) -> bool:
    """Whether the figure's left side is nearer to the viewer, by the hips: a turn of the trunk does not swap shades."""
    return bool(stack.joints.frame["pelvis"][0, :, 1] @ view.towards >= 0)


def _trunk_point(stack: Stack, x: float, y: float, z: float) -> Vec:
    return stack.pelvis + stack.joints.frame["trunk"] @ vec(x, y, z)


def _hips(stack: Stack, body: Body, look: Look) -> Unit:
    k, r, z = body.scale, body.trunk_radius, body.trunk / 0.469
    low = [(stack.pelvis + stack.joints.frame["pelvis"] @ vec(-0.012, y * 0.072 * k, -0.008), r) for y in (1, -1)]
    high = [(_trunk_point(stack, 0.004, y * 0.058 * k, 0.12 * z), r * 0.95) for y in (1, -1)]
    return Unit("hips", "hips", [[hull(low + high, look.trousers)]])


def _torso(stack: Stack, body: Body, look: Look) -> Unit:
    k, g, r, z, belly = body.scale, body.girth, body.trunk_radius, body.trunk / 0.469, body.belly
    chest_r = 0.098 * k * g**0.7

    def pair(x: float, y: float, up: float, radius: float) -> list[Ball]:
        return [(_trunk_point(stack, x, s * y * k, up), radius) for s in (1, -1)]

    waist = pair(0.008 + belly * 0.55, 0.058, 0.095 * z, r * 1.02)
    waist += pair(0.012 + belly * 0.6, 0.060, 0.19 * z, r * (0.99 if g > 1.05 else 0.97))
    chest = pair(0.010, 0.075, 0.345 * z, chest_r)
    trunk = stack.joints.frame["trunk"]
    yoke = [
        (stack.joints[f"shoulder_{side}"] + trunk @ vec(0, -sign(side) * 0.014, -0.012), 0.060 * k * g**0.4)
        for side in SIDES
    ]
    yoke.append((_trunk_point(stack, 0, 0, body.trunk + 0.012), 0.062 * k * g**0.4))
    return Unit("torso", "torso", [[hull(waist + chest, look.shirt), hull(chest + yoke, look.shirt)]])


def _leg(stack: Stack, body: Body, look: Look, side: Side, *, far: bool) -> Unit:
    trousers = shade(look.trousers) if far else look.trousers
    skin = shade(look.skin) if far else look.skin
    hip, knee, ankle = (stack.joints[f"{name}_{side}"] for name in ("hip", "knee", "ankle"))
    k, thin = body.scale, body.girth**0.6
    thigh = rod(hip, knee, body.thigh_radius, trousers, 0.058 * k * thin)
    shoe = shoe_pieces(stack, body, look, side, far=far)
    if look.prosthesis == side:
        stump = mix(knee, ankle, 0.22)
        cup = rod(mix(stump, ankle, 0.02), mix(stump, ankle, 0.15), 0.040 * k, SOCKET, 0.030 * k)
        cloth = [thigh, rod(knee, stump, 0.058 * k * thin, trousers, 0.052 * k)]
        batches = [shoe, [rod(stump, ankle, 0.020 * k, STEEL, 0.017 * k)], [cup], cloth]
    else:
        hem = mix(ankle, knee, 0.09)
        bare = rod(ankle, hem, 0.035 * k, skin)
        cloth = [thigh, rod(knee, hem, 0.058 * k * thin, trousers, 0.044 * k * body.girth**0.4)]
        batches = [[bare, *shoe], cloth]
    return Unit(f"leg_{side}", "leg", batches, side=side)


def shoe_pieces(stack: Stack, body: Body, look: Look, side: Side, *, far: bool = False) -> list[Piece]:
    """Upper and sole of one shoe."""
    k = body.scale
    upper, sole = (shade(look.shoe), shade(look.sole)) if far else (look.shoe, look.sole)
    frame = _foot_frame(stack, side)
    ankle = stack.joints[f"ankle_{side}"]
    heel = ankle + frame @ vec(-body.heel + 0.024 * k, 0, -body.ankle_height + 0.033 * k)
    ball = ankle + frame @ vec(body.ball, 0, -body.ankle_height + 0.031 * k)
    toe = ankle + frame @ vec(body.toe - 0.024 * k, 0, -body.ankle_height + 0.025 * k)
    instep = ankle + frame @ vec(0.018 * k, 0, -0.014 * k)
    foot = stack.feet[side]
    # Toes stay on the floor while the heel is up.
    resting = ball + _level(frame[..., 0]) * (body.toe - body.ball - 0.022 * k) + vec(0, 0, -0.006 * k)
    tips = foot.of_kind("ball") | (foot.of_kind("flat") & (frame[..., 2, 0] < -0.05))
    toe = np.where(tips[:, None], resting, toe)
    down = np.where(foot.planted[:, None], vec(0, 0, -1), -stack.joints.frame[f"foot_{side}"][..., 2])
    under = [(heel, 0.016, 0.018), (ball, 0.013, 0.018), (toe, 0.008, 0.017)]
    return [
        hull([(heel, 0.033 * k), (instep, 0.038 * k), (ball, 0.031 * k), (toe, 0.025 * k)], upper),
        hull([(point + down * drop * k, r * k) for point, drop, r in under], sole),
    ]


def _foot_frame(stack: Stack, side: Side) -> Vec:
    """Frame of the shoe; a planted sole is level sideways and turned a little out."""
    frame = stack.joints.frame[f"foot_{side}"]
    flat, rise = _level(frame[..., 0]), frame[..., 2:, 0]
    flat = np.where(np.abs(flat[..., 1:2]) < TURNED_OUT, rot_z(sign(side) * 6)[:, 0], flat)
    x_axis = flat * np.sqrt(np.maximum(0.0, 1 - rise**2)) + vec(0, 0, 1) * rise
    y_axis = points(-flat[..., 1], flat[..., 0], 0)
    planted = np.stack([x_axis, y_axis, np.cross(x_axis, y_axis)], axis=-1)
    return np.where(stack.feet[side].planted[:, None, None], planted, frame)


def _level(ahead: Vec) -> Vec:
    """The level direction of what points ahead."""
    flat = ahead * vec(1, 1, 0)
    level: Vec = flat / np.maximum(np.linalg.norm(flat, axis=-1, keepdims=True), 1e-6)
    return level


def _arm(stack: Stack, body: Body, look: Look, side: Side, *, far: bool) -> Unit:
    skin, shirt = (shade(look.skin), shade(look.shirt)) if far else (look.skin, look.shirt)
    shoulder, elbow, wrist, hand = (stack.joints[f"{n}_{side}"] for n in ("shoulder", "elbow", "wrist", "hand"))
    k, fat = body.scale, body.girth**0.6
    bare = [
        rod(mix(shoulder, elbow, 0.42), elbow, 0.045 * k * fat, skin, 0.039 * k * fat),
        rod(elbow, wrist, 0.039 * k * fat, skin, 0.028 * k),
        rod(mix(wrist, hand, 0.25), hand, 0.029 * k, skin, 0.034 * k),
    ]
    sleeve = [rod(shoulder, mix(shoulder, elbow, 0.50), 0.063 * k * fat, shirt, 0.055 * k * fat)]
    return Unit(f"arm_{side}", "arm", [bare, sleeve], side=side)

"""Hand weights, bottles, ankle weights and bands, drawn where they are held, worn or fixed."""

from __future__ import annotations

from math import cos, sin

import numpy as np

from haleward.movement.band_path import anchor_m, foot_loop_m, seat_side_m, sole_m, under_arm_m
from haleward.movement.geometry import Vec, directions, mix, other, points, sign, vec
from haleward.movement.hands import FREE
from haleward.movement.model import SIDES, Form, KitUse
from haleward.movement.motion import Poser
from haleward.movement.stack import Stack
from haleward.record import Side
from haleward.render.draw import Unit, hull, line, ribbon, rod
from haleward.render.looks import LINE

BAND, WEIGHT, BOTTLE, CAP = "#E0A400", "#5A6570", "#8CC4DE", "#2C6E8F"
ON_THE_LAP = ("thigh", "chest")  # contacts where a weight can rest under the hand


def kit_units(poser: Poser, stack: Stack, use: KitUse, working: Side) -> list[Unit]:
    """The kit of one instant; ``working`` is the side that works in a one-sided movement."""
    if use.drawn in ("weight", "bottle"):
        return _held(stack, use, working)
    if use.drawn == "ankle_weight":
        return [_cuff(poser, stack, side) for side in SIDES]
    if use.drawn.startswith("band"):
        return _band(poser, stack, use, working)
    return []


def _held(stack: Stack, use: KitUse, working: Side) -> list[Unit]:
    if use.held == "both_hands":
        middle = mix(stack.joints["hand_left"], stack.joints["hand_right"], 0.5)
        return _item(use.drawn, middle, vec(0, 0, 1), "left")
    sides: dict[str, tuple[Side, ...]] = {"working_hand": (working,), "left_hand": ("left",)}
    units: list[Unit] = []
    for side in sides.get(use.held, SIDES):
        if stack.hands[side] in (FREE, *ON_THE_LAP):
            units += _item(use.drawn, stack.joints[f"hand_{side}"], _grip_axis(stack, side), side)
    return units


def _grip_axis(stack: Stack, side: Side) -> Vec:
    turn = sign(side) * np.radians(stack.angles[f"forearm_supination_{side}"])[:, None]
    frame = stack.joints.frame[f"forearm_{side}"]
    axis: Vec = frame[..., 0] * np.cos(turn) + frame[..., 1] * np.sin(turn)
    return axis


def _item(drawn: str, hand: Vec, axis: Vec, side: Side) -> list[Unit]:
    if drawn == "weight":  # two plates, one on either side of the fist
        return [
            Unit(
                *(
                    f"grip_{end}_{side}",
                    "grip",
                    [[rod(hand + axis * g * 0.050, hand + axis * g * 0.082, 0.038, WEIGHT)]],
                ),
                side=side,
            )
            for end, g in (("front", 1), ("rear", -1))
        ]
    body = [(hand - axis * 0.075, 0.034), (hand + axis * 0.070, 0.034), (hand + axis * 0.10, 0.020)]
    cap = rod(hand + axis * 0.115, hand + axis * 0.135, 0.015, CAP)
    return [Unit(f"grip_{side}", "grip", [[cap], [hull(body, BOTTLE)]], bias=-0.02, side=side)]


def _cuff(poser: Poser, stack: Stack, side: Side) -> Unit:
    ankle, knee = stack.joints[f"ankle_{side}"], stack.joints[f"knee_{side}"]
    up = directions(knee - ankle)
    r = 0.050 * poser.body.scale * poser.body.girth**0.4
    return Unit(f"cuff_{side}", "cuff", [[rod(ankle + up * 0.055, ankle + up * 0.115, r, WEIGHT, r * 1.04)]], bias=0.05)


# ---- bands -------------------------------------------------------------------------------------------------------


def _strip(name: str, along: list[Vec], width: float = 0.016, bias: float = 0.0) -> Unit:
    return Unit(name, "band", [ribbon(along, BAND, width)], bias=bias)


def _handle(stack: Stack, side: Side) -> Unit:
    hand, axis = stack.joints[f"hand_{side}"], _grip_axis(stack, side)
    grip = line([hand - axis * 0.055, hand + axis * 0.055], LINE, 0.030)
    return Unit(f"grip_{side}", "grip", [[grip]], outline=False, side=side)


def _band(poser: Poser, stack: Stack, use: KitUse, working: Side) -> list[Unit]:
    body, joints = poser.body, stack.joints
    sides: tuple[Side, ...] = (working,) if use.held == "working_hand" else SIDES
    match use.drawn:
        case "band_under_feet":
            return [unit for side in sides for unit in _under_foot(poser, stack, side)]
        case "band_under_seat":
            return [_strip(f"band_{s}", [joints[f"hand_{s}"], seat_side_m(stack, s)], bias=0.03) for s in sides]
        case "band_front" | "band_above":
            anchor = anchor_m(use, poser.form, body)
            strips = [_strip(f"band_{s}", [joints[f"hand_{s}"], anchor], 0.013) for s in sides]
            return strips + [_handle(stack, s) for s in sides]
        case "band_between":
            return [_strip("band", [joints["hand_left"], joints["hand_right"]], 0.022, 0.03)]
        case "band_behind":
            return _behind(poser, stack)
        case "band_thighs":
            return _loop(poser, stack, "hip", "knee", 0.84, 0.067 * body.girth**0.6)
        case "band_ankles":
            return _loop(poser, stack, "knee", "ankle", 0.86, 0.050 * body.girth**0.4)
        case "band_foot":
            return _round_foot(poser, stack, working)
        case "band_chair_leg":
            leg = poser.stage.prop(next(iter(poser.form.poses)), "chair")
            x = ((leg.x if leg else 0.0) * body.stature_m) + 0.19
            fixed = vec(x, sign(working) * 0.215, 0.16)
            ankle = mix(joints[f"ankle_{working}"], joints[f"knee_{working}"], 0.22)
            return [_strip(f"band_{working}", [ankle, fixed], 0.018, 0.03), *_ring(poser, stack, working)]
        case "band_low":
            ankle = mix(joints[f"ankle_{working}"], joints[f"knee_{working}"], 0.12)
            ring = _ring(poser, stack, working)
            return [_strip(f"band_{working}", [ankle, anchor_m(use, poser.form, body)], 0.016), *ring]
    return []


def _under_foot(poser: Poser, stack: Stack, side: Side) -> list[Unit]:
    up = foot_loop_m(stack, poser.body, side)
    middle = points(up[..., 0], stack.feet[side].origin[..., 1], up[..., 2] - 0.008)
    return [
        _strip(f"band_{side}", [stack.joints[f"hand_{side}"], up], bias=0.03),
        _strip(f"band_floor_{side}", [up, middle], 0.020, 0.05),
    ]


def _behind(poser: Poser, stack: Stack) -> list[Unit]:
    body, trunk = poser.body, stack.joints.frame["trunk"]
    back, up = -body.trunk_radius - 0.02, 0.693 * body.trunk
    arc = [(back * 0.8, 0.12), (back * 1.1, 0.0), (back * 0.8, -0.12)]
    back_of = [stack.pelvis + trunk @ vec(x, y * body.scale, up) for x, y in arc]
    ends = {side: under_arm_m(stack, body, side) for side in SIDES}
    units = [_strip("band_back", [ends["left"], *back_of, ends["right"]], 0.020)]
    return units + [_strip(f"band_{s}", [ends[s], stack.joints[f"hand_{s}"]]) for s in SIDES]


def _loop(poser: Poser, stack: Stack, upper: str, lower: str, along: float, radius: float) -> list[Unit]:
    """A tied loop round both legs: half a ring on each, and the stretch between them in front."""
    frames = {"hip": "thigh", "knee": "shank"}
    r, tops, units = radius * poser.body.scale, [], []
    for side in SIDES:
        centre = mix(stack.joints[f"{upper}_{side}"], stack.joints[f"{lower}_{side}"], along)
        frame = stack.joints.frame[f"{frames[upper]}_{side}"]
        ring = [centre + frame @ vec(r * cos(a), sign(side) * r * sin(a), 0) for a in np.linspace(0.0, 1.9, 7)]
        units.append(_strip(f"band_ring_{side}", ring, 0.030, 0.06))
        tops.append(centre + frame @ vec(r, 0, 0))
    return [*units, _strip("band_top", tops, 0.030, 0.06)]


def _ring(poser: Poser, stack: Stack, side: Side) -> list[Unit]:
    """A loop round one ankle."""
    ankle, frame = stack.joints[f"ankle_{side}"], stack.joints.frame[f"shank_{side}"]
    centre = mix(ankle, stack.joints[f"knee_{side}"], 0.18)
    r = 0.050 * poser.body.scale * poser.body.girth**0.4
    ring = [centre + frame @ vec(r * cos(a), r * sin(a), 0) for a in np.linspace(-1.6, 1.6, 7)]
    return [_strip(f"band_ring_{side}", ring, 0.028, 0.06)]


def _round_foot(poser: Poser, stack: Stack, working: Side) -> list[Unit]:
    sole, frame = sole_m(stack, poser.body, working), stack.joints.frame[f"foot_{working}"]
    units = []
    for side in (working, other(working)):
        edge = sole + frame @ vec(0, sign(side) * 0.048, 0.01)
        units.append(_strip(f"band_{side}", [stack.joints[f"hand_{side}"], edge], 0.015, 0.02))
    across = [sole + frame @ vec(0, y, 0) for y in (0.048, -0.048)]
    return [*units, _strip("band_sole", across, 0.026, 0.05)]


def form_kit(form: Form, kit: str) -> KitUse:
    """How a kind of kit is drawn in this form; nothing in the hands when the form does not use it."""
    return next((use for kind, use in form.kit_use.items() if kind == kit), KitUse("none"))

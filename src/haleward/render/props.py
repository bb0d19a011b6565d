"""Furniture and places: chairs, worktop, wall, rail, step, shelf, door, floor marks."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import cos, pi, sin

import numpy as np

from haleward.movement.furniture import (
    ARMREST_ABOVE_SEAT_M,
    CHAIR_BACK_TOP_M,
    HIGH_ANCHOR_M,
    STEP_OF_STATURE,
)
from haleward.movement.geometry import Vec, vec
from haleward.movement.model import Prop
from haleward.movement.motion import Poser
from haleward.movement.stack import Stack
from haleward.render.draw import Placer, Unit, hull, line, rod
from haleward.render.props_machines import MACHINES
from haleward.render.props_wheelchair import wheelchair_units

WOOD, WOOD_DARK = "#B98A5A", "#8F6640"
METAL, METAL_DARK, WALL, CUPBOARD = "#AEB8BD", "#7C888E", "#C8D2D6", "#E4DCCB"
STEP_TOP, STEP_FRONT, MARK, KNOB = "#C4D3D9", "#9FB4BD", "#F2C66D", "#6B7A80"
SEAT_HALF_WIDTH, SEAT_HALF_DEPTH = 0.215, 0.205
SHELF_HAND_GAP_M = 0.115  # from the hands on a box down to the shelf it stands on


@dataclass(frozen=True)
class Setting:
    """What a prop may need to know: the poser, the instants and, for a band, where it is fixed."""

    poser: Poser
    stack: Stack
    anchor: Vec | None = None


def prop_units(prop: Prop, setting: Setting) -> list[Unit]:
    """One piece of furniture as units."""
    h = setting.poser.body.stature_m
    if prop.kind in MACHINES:
        return MACHINES[prop.kind](setting.poser, setting.stack, Placer(prop.x * h, prop.y * h, prop.yaw))
    return FURNITURE[prop.kind](prop, Placer(prop.x * h, prop.y * h, prop.yaw), setting)


def _chair(prop: Prop, at: Placer, setting: Setting) -> list[Unit]:
    if setting.poser.stage.wheelchair:
        return wheelchair_units(at, setting.poser)
    seat_top = setting.poser.stage.seat_top_m
    return _chair_at(at, "seat", seat_top) + (_armrests(at, seat_top) if prop.kind == "armchair" else [])


def _support_chair(prop: Prop, at: Placer, setting: Setting) -> list[Unit]:
    """A chair whose back is held: the prop's place is the top rail, the seat points away from the person."""
    del prop
    ahead = at.turn @ vec(SEAT_HALF_DEPTH + 0.055, 0, 0)
    moved = Placer(at.origin[0] + ahead[0], at.origin[1] + ahead[1], 0)
    moved.turn = at.turn
    stage = setting.poser.stage
    return _chair_at(moved, "support", stage.seat_top_m, stage.chair_back_top_m)


def _chair_at(at: Placer, kind: str, seat_top: float, back_top: float = CHAIR_BACK_TOP_M) -> list[Unit]:
    w, d, name = SEAT_HALF_WIDTH, SEAT_HALF_DEPTH, "" if kind == "seat" else "support_"
    board = at.slab((-d, d), (-w, w), (seat_top - 0.022, seat_top - 0.022), 0.020, WOOD)
    units = [Unit(f"{name}seat", kind, [[board]], bias=-0.02)]
    for i, y in enumerate((-w, w)):
        front = rod(at(d - 0.01, y, 0.016), at(d - 0.02, y, seat_top - 0.05), 0.016, WOOD_DARK, 0.018)
        rear = rod(at(-d - 0.03, y, 0.016), at(-d, y, seat_top - 0.03), 0.016, WOOD_DARK, 0.018)
        units += [
            Unit(f"{name}front_leg_{i}", "chair_leg", [[front]]),
            Unit(f"{name}rear_leg_{i}", "chair_leg", [[rear]]),
        ]
    posts = [
        rod(at(-d, y, seat_top - 0.02), at(-d - 0.06, y, back_top - 0.02), 0.018, WOOD_DARK, 0.017) for y in (-w, w)
    ]
    back = (-d - 0.052, -d - 0.052)
    rest = at.slab(back, (-w, w), (back_top - 0.15, back_top - 0.035), 0.030, WOOD)
    return [*units, Unit(f"{name}back", "back" if kind == "seat" else "support", [posts, [rest]])]


def _armrests(at: Placer, seat_top: float) -> list[Unit]:
    d, top = SEAT_HALF_DEPTH, seat_top + ARMREST_ABOVE_SEAT_M
    units = []
    for i, y in enumerate((-1.22 * SEAT_HALF_WIDTH, 1.22 * SEAT_HALF_WIDTH)):
        post = rod(at(d - 0.05, y, seat_top - 0.04), at(d - 0.05, y, top - 0.03), 0.014, WOOD_DARK)
        arm = rod(at(-d, y, top - 0.018), at(d - 0.02, y, top - 0.018), 0.020, WOOD)
        units.append(Unit(f"armrest_{i}", "armrest", [[post, arm]]))
    return units


def _wall(prop: Prop, at: Placer, setting: Setting) -> list[Unit]:
    del prop
    slab = at.slab((0.012, 0.03), (-0.42, 0.42), (0.01, 1.12 * setting.poser.body.stature_m), 0.012, WALL)
    return [Unit("wall", "wall", [[slab]], bias=-0.3)]


def _worktop(prop: Prop, at: Placer, setting: Setting) -> list[Unit]:
    half, top = (0.62 if prop.kind == "worktop" else 0.48), setting.poser.stage.worktop_top_m
    below = at.slab((0.05, 0.32), (-half + 0.03, half - 0.03), (0.02, top - 0.05), 0.012, CUPBOARD)
    board = at.slab((0.0, 0.34), (-half, half), (top - 0.025, top - 0.012), 0.012, WOOD)
    return [Unit("worktop", "support", [[below], [board]])]


def _rail(prop: Prop, at: Placer, setting: Setting) -> list[Unit]:
    del prop
    half, top = 0.36, setting.poser.stage.rail_top_m
    posts = [rod(at(x, 0, 0.015), at(x, 0, top - 0.02), 0.016, METAL) for x in (-half, half)]
    bar = rod(at(-half - 0.05, 0, top), at(half + 0.05, 0, top), 0.020, METAL_DARK)
    return [Unit("rail", "support", [[*posts, bar]])]


def _step(prop: Prop, at: Placer, setting: Setting) -> list[Unit]:
    top = STEP_OF_STATURE * setting.poser.body.stature_m - 0.012
    depth, width = ((-0.16, 0.17), (-0.26, 0.26)) if prop.kind == "step" else ((-0.15, 0.15), (-0.24, 0.24))
    box = at.slab(depth, width, (0.012, top), 0.012, STEP_FRONT)
    return [Unit("step", "step", [[box], [at.slab(depth, width, (top, top), 0.012, STEP_TOP)]], bias=-0.05)]


def _door(prop: Prop, at: Placer, setting: Setting) -> list[Unit]:
    """A closed door, or a firm post, with the point a band is fixed to."""
    z = HIGH_ANCHOR_M if setting.anchor is None else float(setting.anchor[2])
    top = {"door_high": max(2.04, z + 0.05), "post_low": 0.42}.get(prop.kind, z + 0.35)
    leaf = at.slab((0.02, 0.05), (-0.13, 0.13), (0.01, top), 0.012, WALL)
    return [
        Unit("door", "wall", [[leaf]], bias=-0.4),
        Unit("knob", "knob", [[hull([(at(0, 0, z), 0.030)], KNOB)]], bias=-0.2),
    ]


def _shelf(prop: Prop, at: Placer, setting: Setting) -> list[Unit]:
    """A shelf on legs, as high and as far as the hands go in the end pose."""
    del prop
    hand = setting.poser.keys["end"].joints["hand_left"]
    z, ahead = float(hand[2]) - SHELF_HAND_GAP_M, float(hand[0] - at.origin[0]) - 0.12
    units = []
    for i, (x, y) in enumerate(((0.02, -0.34), (0.02, 0.34), (0.30, -0.34), (0.30, 0.34))):
        leg = rod(at(ahead + x, y, 0.02), at(ahead + x, y, z - 0.02), 0.018, WOOD_DARK)
        units.append(Unit(f"shelf_leg_{i}", "shelf_leg", [[leg]], bias=-0.05))
    board = at.slab((ahead, ahead + 0.32), (-0.36, 0.36), (z, z), 0.016, WOOD)
    return [*units, Unit("shelf", "shelf", [[board]], bias=-0.1)]


def _clock(prop: Prop, at: Placer, setting: Setting) -> list[Unit]:
    """Marks on the floor to tap: ahead, at the side and behind, for each foot."""
    del prop, at
    h = setting.poser.body.stature_m
    marks = []
    for x, y in ((0.17, 0.05), (0.0, 0.21), (-0.19, 0.05), (0.17, -0.05), (0.0, -0.21), (-0.19, -0.05)):
        turns = np.linspace(0, 2 * pi, 8, endpoint=False)
        ring = [(vec(x * h + 0.05 + 0.035 * cos(a), y * h + 0.035 * sin(a), 0), 0.012) for a in turns]
        marks.append([hull(ring, MARK)])
    return [Unit("clock", "mat", marks, outline=False, bias=-0.5)]


def _line(prop: Prop, at: Placer, setting: Setting) -> list[Unit]:
    del prop, setting
    return [Unit("line", "mat", [[line([at(-0.5, 0, 0), at(0.6, 0, 0)], MARK, 0.03)]], outline=False, bias=-0.5)]


FURNITURE: dict[str, Callable[[Prop, Placer, Setting], list[Unit]]] = {
    "chair": _chair,
    "armchair": _chair,
    "chair_back": _support_chair,
    "chair_side": _support_chair,
    "wall": _wall,
    "worktop": _worktop,
    "worktop_side": _worktop,
    "rail": _rail,
    "step": _step,
    "low_step": _step,
    "door_low": _door,
    "door_high": _door,
    "post_low": _door,
    "shelf": _shelf,
    "clock": _clock,
    "line": _line,
}

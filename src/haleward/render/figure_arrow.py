"""The one orange arrow: the true path of the joint that moves, set aside so that it does not cover it."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from haleward.movement.geometry import Vec, length, lengths, mix, other, vec
from haleward.movement.model import SIDES, Cycle
from haleward.movement.motion import Poser
from haleward.record import Side
from haleward.render.draw import Array
from haleward.render.draw_list import Shape, line

SHORTEST_SEEN_M = 0.17  # a shorter path is lengthened about its middle, in the same direction
HARDLY_MOVES_M = 0.012
LONGEST_OF_STATURE = 0.55  # of a longer path only the middle is drawn, so that the arrow keeps clear of the figure
EVENLY = [n / 20 for n in range(21)]  # instants of a path
IN_EIGHTHS = [n / 8 for n in range(8)]
SMALLEST_LOOP_M = 0.11
SMOOTH_EACH_WAY = 3


def arrow_path(poser: Poser, cycle: Cycle, first: str, last: str) -> list[Vec]:
    """The path in metres for the move from ``first`` to ``last``; empty when there is nothing to show."""
    scene = poser.form.scene
    joint = scene.arrow.joint
    if joint == "none" or first == last:
        return []
    if joint == "travel":  # on the floor, the way the figure walks
        return [vec(0.25 + 0.5 * t, 0.26, 0.0) for t in np.linspace(0, 1, 8)]
    looped = joint.startswith("loop_")
    joint = _joint(joint.removeprefix("loop_"), poser, cycle, first, last)
    dx, dy, dz = scene.arrow.offset_m
    aside = vec(dx, -dy if joint.endswith("_right") else dy, dz)
    if looped:
        return _loop(poser, cycle, joint, aside)
    path = [state.joints[joint] + aside for state in poser.along(first, last, EVENLY)]
    path = _middle_part(_smoothed(path), LONGEST_OF_STATURE * poser.body.stature_m)
    span = max(length(p - path[0]) for p in path)
    if span < HARDLY_MOVES_M:
        return []
    middle = mix(path[0], path[-1], 0.5)
    stretch = max(1.0, SHORTEST_SEEN_M / span)
    return [middle + (p - middle) * stretch for p in path]


def _smoothed(path: list[Vec]) -> list[Vec]:
    """The path without the small steps in which an arm is moved clear of the body; its ends stay."""
    count = len(path)
    reach = [min(n, count - 1 - n, SMOOTH_EACH_WAY) for n in range(count)]
    return [np.mean(path[n - r : n + r + 1], axis=0) for n, r in enumerate(reach)]


def _middle_part(path: list[Vec], longest_m: float) -> list[Vec]:
    """The middle of a path that is too long, in as many points."""
    points = np.array(path)
    along = np.concatenate([[0.0], np.cumsum(lengths(np.diff(points, axis=0)))])
    left_out = (float(along[-1]) - longest_m) / 2
    if left_out <= 0:
        return path
    kept = np.linspace(left_out, along[-1] - left_out, len(path))
    return list(np.stack([np.interp(kept, along, points[:, axis]) for axis in range(3)], axis=1))


def _joint(name: str, poser: Poser, cycle: Cycle, first: str, last: str) -> str:
    """Put the side into ``hand_W`` (working side), ``hand_N`` (camera side) or ``hand_M`` (side that moves more)."""
    stem, _, mark = name.rpartition("_")
    near: Side = poser.form.scene.near_side
    if mark == "W":
        named = [side for side in SIDES if f"_{side}" in last] or [side for side in SIDES if f"_{side}" in first]
        return f"{stem}_{cycle.side or (named[0] if named else near)}"
    if mark == "N":
        return f"{stem}_{other(near) if poser.stage.mirrored(first) else near}"
    if mark == "M":
        ends = [poser.keys[pose].joints for pose in (first, last)]
        return max((f"{stem}_{side}" for side in SIDES), key=lambda j: length(ends[1][j] - ends[0][j]))
    return name


def _loop(poser: Poser, cycle: Cycle, joint: str, aside: Vec) -> list[Vec]:
    """Once round the whole repetition, smoothed and made large enough to see."""
    poses = (*cycle.out_poses, *cycle.back_poses[1:])
    instants = [(first, last, share) for first, last in pairwise(poses) for share in IN_EIGHTHS]
    path = [state.joints[joint] + aside for state in poser.at(instants)]
    count = len(path)
    smooth = [np.mean([path[(i + d) % count] for d in range(-4, 5)], axis=0) for i in range(count)]
    middle = np.mean(smooth, axis=0)
    grow = max(1.0, SMALLEST_LOOP_M / max(length(p - middle) for p in smooth))
    return [middle + (p - middle) * grow for p in smooth][: int(count * 0.86)]


def arrow_shapes(a: Array, scale: float, colour: str) -> list[Shape]:
    """An arrow along a polyline in pixels, with a pale halo."""
    width, head = 0.026 * scale, 0.072 * scale
    ahead = a[-1] - a[max(0, len(a) - 5)]
    ahead = ahead / max(float(np.hypot(*ahead)), 1e-9)
    aside = np.array([-ahead[1], ahead[0]])
    tip, base = a[-1] + ahead * head * 0.5, a[-1] - ahead * head * 0.5
    kept = [p for p in a if float((p - base) @ ahead) < 1] or [a[0]]
    shaft = line(np.array([*kept, base]))
    triangle = line(np.array([tip, base + aside * head * 0.62, base - aside * head * 0.62]), closed=True)
    halo = round(0.02 * scale, 1)
    return [
        Shape(shaft, stroke="#FFFFFF", width=round(width + halo, 1)),
        Shape(triangle, stroke="#FFFFFF", width=halo),
        Shape(shaft, stroke=colour, width=round(width, 1)),
        Shape(triangle, fill=colour),
    ]

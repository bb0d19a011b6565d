"""Depth order. Where two units overlap on the picture, the nearer one wins; a few fixed rules settle what a point's
depth would get wrong, such as a body on its seat."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from haleward.movement.hands import FREE
from haleward.movement.motion import State
from haleward.render.draw import Array, Piece, Unit, View

SAMPLE_SPACING_M = 0.06
FEW_BALLS = 4
RULED = 1e3
LIES_UNDER = ("seat", "saddle", "step", "deck", "mat")
BODY = ("leg", "hips", "torso", "arm", "head")


@dataclass(frozen=True)
class Cloud:
    """Sample balls of the units on the picture, in metres: x, y, depth, radius; and the unit each belongs to."""

    samples: Array
    starts: Array


def ordered(units: list[Unit], view: View, state: State) -> list[str]:
    """Names of the units from back to front; a circle of overlaps is broken where it is weakest."""
    clouds = [_samples(unit, view) for unit in units]
    over = np.maximum(0.0, _votes(clouds))
    for i, front in enumerate(units):
        for j, back in enumerate(units):
            if i != j and _rule(front, back, state):
                over[i, j], over[j, i] = RULED, 0.0
    np.fill_diagonal(over, 0.0)
    depth = [float(cloud[:, 2].mean()) for cloud in clouds]
    left = list(range(len(units)))
    names: list[str] = []
    while left:
        cost = over[np.ix_(left, left)].sum(axis=1)
        pick = min(range(len(left)), key=lambda n: (cost[n], depth[left[n]]))
        names.append(units[left.pop(pick)].name)
    return names


def _samples(unit: Unit, view: View) -> Array:
    """Balls along the unit's pieces, close enough together to find overlaps."""
    points, radii = [], []
    for piece in (piece for batch in unit.batches for piece in batch):
        for point, radius in _dense(piece):
            points.append(point)
            radii.append(max(radius, 0.006))
    flat = view.project(np.array(points))
    flat[:, :2] /= view.scale
    flat[:, 2] += unit.bias
    return np.column_stack([flat, radii])


def _dense(piece: Piece) -> list[tuple[Array, float]]:
    if piece.kind == "line":
        return [(point, piece.width / 2) for point, _ in piece.balls]
    balls = piece.balls
    if len(balls) > 8:
        return balls
    spacing = SAMPLE_SPACING_M if len(balls) <= FEW_BALLS else 2 * SAMPLE_SPACING_M  # boards and boxes are large
    found = list(balls)
    for i, (a, ra) in enumerate(balls):
        for b, rb in balls[i + 1 :]:
            steps = int(float(np.sqrt((b - a) @ (b - a))) / spacing)
            found += [(a + (b - a) * n / steps, ra + (rb - ra) * n / steps) for n in range(1, steps)]
    return found


def _votes(clouds: list[Array]) -> Array:
    """``v[i, j]`` > 0: unit i lies in front of unit j, weighted by how much they overlap."""
    sizes = [len(cloud) for cloud in clouds]
    starts = np.concatenate([[0], np.cumsum(sizes)[:-1]])
    x, y, z, r = np.vstack(clouds).T.astype(np.float32)
    apart = np.hypot(x[:, None] - x[None, :], y[:, None] - y[None, :])
    overlap = np.maximum(0.0, r[:, None] + r[None, :] - apart)
    weight = overlap * overlap * (z[:, None] - z[None, :])
    votes: Array = np.add.reduceat(np.add.reduceat(weight, starts, axis=0), starts, axis=1).astype(np.float64)
    return votes


def _rule(front: Unit, back: Unit, state: State) -> bool:
    """Whether ``front`` is always painted over ``back``."""
    if back.kind in LIES_UNDER:
        return front.kind in BODY
    match front.kind, back.kind:
        case ("torso", "hips") | ("head", "torso") | ("leg", "hips"):
            return True
        case "torso", "leg":  # a shirt hangs over standing thighs
            return state.angles[f"hip_flexion_{back.side}"] < 50
        case "grip", "arm":
            return front.side == back.side
        case "arm", "support":
            return state.hands["left" if front.side == "left" else "right"] != FREE
    return False

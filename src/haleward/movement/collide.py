"""How far a limb goes into the body or the furniture: depths in metres, zero where it stays clear."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from haleward.movement.furniture import BACKREST_BEHIND_SEAT_M, CHAIR_BACK_TOP_M, STEP_OF_STATURE
from haleward.movement.geometry import Vec, vec
from haleward.movement.model import Prop
from haleward.movement.motion import Poser
from haleward.movement.track import Array, Track

SEGMENT_SAMPLES = 9
TRUNK_HALF_WIDTH = 0.062  # of the trunk's core at 1.70 m, in metres; the trunk's radius comes on top


@dataclass(frozen=True)
class Box:
    """A piece of furniture as an upright box between two corners, in metres."""

    name: str
    low: Vec
    high: Vec

    def depth(self, points: Array, radius: float) -> float:
        """How deep a ball goes in at the worst instant."""
        outside = np.maximum(np.maximum(self.low - points, points - self.high), 0)
        inside = np.minimum(points - self.low, self.high - points).min(axis=1)
        gap = np.linalg.norm(outside, axis=1)
        return float(max(np.max(np.where(inside > 0, inside + radius, radius - gap)), 0.0))


def trunk_depth_m(track: Track, joint: str, radius: float) -> float:
    """How far a joint goes into the trunk, a rounded slab with the belly in front, at the worst instant."""
    body = track.poser.body
    local = track.in_trunk(joint)
    x, y, z = local[:, 0], local[:, 1], local[:, 2]
    beside = np.maximum(np.abs(y) - TRUNK_HALF_WIDTH * body.scale, 0)
    belly = np.where((z > 0.02 * body.trunk) & (z < 0.55 * body.trunk), body.belly * 0.6, 0.0)
    ahead = np.where(x > 0, np.maximum(x - belly, 0), x)
    depth = body.trunk_radius + radius - np.hypot(beside, ahead)
    depth[(z <= -0.05) | (z >= body.trunk - 0.03)] = 0.0
    return float(max(depth.max(), 0.0))


def gap_m(track: Track, one: tuple[str, str], two: tuple[str, str]) -> float:
    """The least distance between the axes of two segments at any instant."""
    u = np.linspace(0, 1, SEGMENT_SAMPLES)[:, None]

    def along(segment: tuple[str, str]) -> Array:
        a, b = (track.point(joint)[:, None, :] for joint in segment)
        return np.asarray(a + (b - a) * u, dtype=np.float64)

    apart = along(one)[:, :, None, :] - along(two)[:, None, :, :]
    return float(np.sqrt((apart**2).sum(axis=-1)).min())


def boxes(poser: Poser, pose: str) -> list[Box]:
    """The furniture that a limb must not enter, as it stands for this pose."""
    return [box for prop in poser.stage.props(pose) for box in _boxes(poser, prop)]


def _boxes(poser: Poser, prop: Prop) -> list[Box]:
    h, top = poser.body.stature_m, poser.stage.seat_top_m
    x, y, out = prop.x * h, prop.y * h, 1 if prop.y > 0 else -1
    match prop.kind:
        case "chair" | "armchair":
            back = (vec(x - 0.30, y - 0.23, 0.74), vec(x - BACKREST_BEHIND_SEAT_M, y + 0.23, CHAIR_BACK_TOP_M - 0.02))
            seat = (vec(x - 0.21, y - 0.215, top - 0.045), vec(x + 0.21, y + 0.215, top - 0.010))
            return [Box("the seat", *seat), Box("the backrest", *back)]
        case "chair_back":
            rail = (vec(x - 0.01, y - 0.23, 0.74), vec(x + 0.03, y + 0.23, poser.stage.chair_back_top_m - 0.02))
            legs = [
                Box("the leg of the chair", vec(x, y + g - 0.016, 0), vec(x + 0.06, y + g + 0.016, 0.7))
                for g in (-0.215, 0.215)
            ]
            return [Box("the back of the chair", *rail), *legs]
        case "chair_side":
            low, high = sorted((y, y + out * 0.06))
            return [
                Box(
                    "the chair at the side",
                    vec(x - 0.23, low, 0),
                    vec(x + 0.23, high, poser.stage.chair_back_top_m - 0.02),
                )
            ]
        case "worktop":
            return [Box("the worktop", vec(x, -0.6, 0), vec(x + 0.34, 0.6, poser.stage.worktop_top_m - 0.02))]
        case "worktop_side":
            low, high = sorted((y, y + out * 0.34))
            return [Box("the worktop", vec(x - 0.5, low, 0), vec(x + 0.5, high, poser.stage.worktop_top_m - 0.02))]
        case "wall":
            return [Box("the wall", vec(x, -1, 0), vec(x + 0.1, 1, 2))]
        case "step" | "low_step":
            deep = 0.16 if prop.kind == "step" else 0.15
            step_top = STEP_OF_STATURE * h - 0.012
            return [Box("the step", vec(x - deep, -0.26, 0), vec(x + deep, 0.26, step_top))]
    return []

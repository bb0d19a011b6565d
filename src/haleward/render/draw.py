"""The drawing's building blocks: balls, pieces and units in space, and the camera that puts them on the picture.

A body part swept by a ball looks, from any side, like the hull of circles; so every solid thing is a set of balls.
A point of a thing that moves has one row an instant, so that a whole repetition is built at once.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from math import cos, radians, sin
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from haleward.movement.geometry import Vec, rot_z, vec
from haleward.render.looks import LINE

Ball = tuple[Vec, float]  # centre, or a row of it for each instant, and radius, in metres
Array = NDArray[np.float64]
ARROW = "#D9480F"
FLOOR = "#DDE3E6"
OUTLINE_M = 0.0150


@dataclass
class Piece:
    """A hull of balls, or a line of the given width in metres through the balls' centres."""

    kind: Literal["hull", "line", "outline"]
    balls: list[Ball]
    fill: str
    width: float = 0.0


@dataclass
class Unit:
    """What is ordered by depth as one: an arm, a chair leg. Each batch is outlined as a whole, then filled."""

    name: str  # unique in a picture
    kind: str  # what the fixed rules of depth know: leg, arm, hips, torso, head, seat, support, ...
    batches: list[list[Piece]]
    outline: bool = True
    bias: float = 0.0  # metres nearer to the viewer than it is
    side: str = ""
    inside: list[list[Piece]] = field(default_factory=list)  # batches painted last and never outlined


class View:
    """A parallel camera with its scale in pixels a metre and the place of the world's origin on the picture."""

    def __init__(
        self, yaw: float, pitch: float, scale: float = 1.0, x: float | Array = 0.0, y: float | Array = 0.0
    ) -> None:
        """``x`` and ``y`` may be columns, one row an instant, for a camera that follows something."""
        ca, sa, cp, sp = cos(radians(yaw)), sin(radians(yaw)), cos(radians(pitch)), sin(radians(pitch))
        self.right = vec(-sa, ca, 0)
        self.up = vec(-sp * ca, -sp * sa, cp)
        self.towards = vec(cp * ca, cp * sa, sp)
        self.yaw, self.pitch = yaw, pitch
        self.scale, self.x, self.y = scale, x, y
        self._matrix = np.column_stack([self.right * scale, -self.up * scale, self.towards])

    def project(self, points: Array) -> Array:
        """Rows of x and y in pixels, and depth towards the viewer in metres."""
        flat: Array = points @ self._matrix
        flat[..., 0] += self.x
        flat[..., 1] += self.y
        return flat


def hull(balls: list[Ball], fill: str) -> Piece:
    """A solid piece."""
    return Piece("hull", balls, fill)


def rod(a: Vec, b: Vec, radius: float, fill: str, end_radius: float | None = None) -> Piece:
    """A straight round bar."""
    return Piece("hull", [(a, radius), (b, radius if end_radius is None else end_radius)], fill)


def line(points: Iterable[Vec], fill: str, width: float) -> Piece:
    """A thin line."""
    return Piece("line", [(p, 0.0) for p in points], fill, width)


def ribbon(points: list[Vec], fill: str, width: float) -> list[Piece]:
    """A line with a dark edge."""
    return [line(points, LINE, width + 0.014), line(points, fill, width)]


class Placer:
    """Local axes of a thing in the scene: forward, left and up from its origin on the floor."""

    def __init__(self, x: float, y: float, yaw: float) -> None:
        self.origin, self.turn = vec(x, y, 0), rot_z(yaw)

    def __call__(self, forward: float, left: float, up: float) -> Vec:
        return self.origin + self.turn @ vec(forward, left, up)

    def slab(
        self,
        forward: tuple[float, float],
        left: tuple[float, float],
        up: tuple[float, float],
        radius: float,
        fill: str,
    ) -> Piece:
        """A rounded box or board."""
        ups = (up[0],) if up[0] == up[1] else up
        forwards = (forward[0],) if forward[0] == forward[1] else forward
        return hull([(self(a, b, c), radius) for a in forwards for b in left for c in ups], fill)

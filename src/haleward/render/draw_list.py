"""The draw list of a picture: shapes to paint in order. It holds geometry, not text; each painter writes its own."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal, NamedTuple

import numpy as np

from haleward.render.draw import Array


class Outline(NamedTuple):
    """One outline in pixels, y pointing down.

    - ``arcs``: closed, clockwise; rows of centre x, centre y, radius, first angle and sweep (radians), with straight
      lines from the end of each arc to the beginning of the next;
    - ``line``: rows of x and y, joined by straight lines;
    - ``ring``: the same, closed.
    """

    kind: Literal["arcs", "line", "ring"]
    rows: Array


class Shape(NamedTuple):
    """Outlines painted as one: filled (overlaps stay filled), or stroked with a width in pixels and round ends."""

    outlines: tuple[Outline, ...]
    fill: str = ""
    stroke: str = ""
    width: float = 0.0


def line(points: Array | Sequence[tuple[float, float]], *, closed: bool = False) -> tuple[Outline, ...]:
    """Straight lines through points, as the outlines of one shape."""
    return (Outline("ring" if closed else "line", np.asarray(points, dtype=np.float64)),)

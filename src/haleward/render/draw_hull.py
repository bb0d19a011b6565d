"""Outline of the hull of circles, exactly: arcs joined by common tangents, clockwise on the picture."""

from __future__ import annotations

from dataclasses import dataclass
from math import acos, atan2, cos, hypot, pi, sin

Circle = tuple[float, float, float]
FULL_TURN = 2 * pi


@dataclass(frozen=True)
class Arc:
    """Part of one circle, from angle ``start`` on by ``sweep`` (radians, clockwise with y pointing down)."""

    x: float
    y: float
    r: float
    start: float
    sweep: float

    def at(self, angle: float) -> tuple[float, float]:
        """The point of the circle at an angle."""
        return self.x + self.r * cos(angle), self.y + self.r * sin(angle)

    @property
    def first(self) -> tuple[float, float]:
        """Where the arc begins."""
        return self.at(self.start)

    @property
    def last(self) -> tuple[float, float]:
        """Where the arc ends."""
        return self.at(self.start + self.sweep)


def hull_arcs(circles: list[Circle]) -> list[Arc]:
    """The arcs of the hull in order; one full circle when it holds all the others."""
    now = max(range(len(circles)), key=lambda i: circles[i][0] + circles[i][2])
    angle, arcs = 0.0, []
    for _ in range(4 * len(circles)):
        step, following = _next(circles, now, angle)
        x, y, r = circles[now]
        if following < 0 or angle + step >= FULL_TURN:
            arcs.append(Arc(x, y, r, angle, FULL_TURN - angle))
            break
        arcs.append(Arc(x, y, r, angle, step))
        angle, now = angle + step, following
    if len(arcs) == 1:
        return arcs
    head, tail = arcs[0], arcs[-1]  # the first circle is met again at the end: one arc over the seam
    if (head.x, head.y, head.r) == (tail.x, tail.y, tail.r):
        arcs = [*arcs[1:-1], Arc(tail.x, tail.y, tail.r, tail.start, tail.sweep + head.sweep)]
    return arcs


def _next(circles: list[Circle], now: int, angle: float) -> tuple[float, int]:
    """How far to turn until another circle reaches further out, and which one; -1 when none ever does."""
    x, y, r = circles[now]
    best, following = FULL_TURN + 1.0, -1
    for i, (x2, y2, r2) in enumerate(circles):
        dx, dy = x - x2, y - y2
        apart = hypot(dx, dy)
        if i == now or apart <= abs(r - r2) + 1e-9:
            continue
        turn = (atan2(dy, dx) + acos((r2 - r) / apart) - angle) % FULL_TURN
        if turn > FULL_TURN - 1e-9:
            turn = 0.0
        if turn < best - 1e-12:
            best, following = turn, i
    return best, following

"""Points along SVG paths as the renderer writes them (one M, then relative l and a, then Z), for checks of extent."""

from __future__ import annotations

import re
from math import atan2, cos, hypot, pi, sin, sqrt

NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
COMMAND = re.compile(r"([MlaZ])([^MlaZ]*)")
Point = tuple[float, float]


def path_points(path: str) -> list[Point]:
    """Every corner, and points along every arc."""
    points: list[Point] = []
    here = (0.0, 0.0)
    for command, text in COMMAND.findall(path):
        numbers = [float(n) for n in NUMBER.findall(text)]
        if command == "M":
            here = (numbers[0], numbers[1])
        elif command == "l":
            here = (here[0] + numbers[0], here[1] + numbers[1])
        elif command == "a":
            radius, _, _, large, sweep, dx, dy = numbers
            assert sweep == 1
            stop = (here[0] + dx, here[1] + dy)
            points += arc_points(here, stop, radius, bool(large))
            here = stop
        points.append(here)
    return points


def arc_points(start: Point, stop: Point, radius: float, large: bool) -> list[Point]:
    """Points along a clockwise arc (y pointing down)."""
    dx, dy = stop[0] - start[0], stop[1] - start[1]
    chord = hypot(dx, dy)
    if chord == 0:
        return [stop]
    radius = max(radius, chord / 2)
    height = sqrt(max(radius**2 - chord**2 / 4, 0.0)) * (-1 if large else 1)
    cx = (start[0] + stop[0]) / 2 - dy / chord * height
    cy = (start[1] + stop[1]) / 2 + dx / chord * height
    first, last = atan2(start[1] - cy, start[0] - cx), atan2(stop[1] - cy, stop[0] - cx)
    turn = (last - first) % (2 * pi)
    return [(cx + radius * cos(first + turn * i / 12), cy + radius * sin(first + turn * i / 12)) for i in range(1, 13)]

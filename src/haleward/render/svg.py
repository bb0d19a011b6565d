"""Shapes on the picture as SVG paths, and a picture as SVG text."""

from __future__ import annotations

from dataclasses import dataclass
from html import escape
from math import pi

from haleward.render.draw_hull import Arc, Circle, hull_arcs

Point = tuple[float, float]
Step = tuple[int, int]  # a point in steps of the grid
LONGEST_ARC = 2.4  # radians
SMALL_RADIUS = 8.0  # pixels
WORD_OF_WIDTH = 0.075
WORD_COLOUR = "#A63C00"


@dataclass(frozen=True)
class Shape:
    """A path with a fill, or a stroke of a width, in pixels."""

    path: str
    fill: str = ""
    stroke: str = ""
    width: float = 0.0


class Pen:
    """Writes path text on a grid of ``digits`` decimals.

    After the first point everything is relative to the last rounded point, which is shorter and adds up exactly.
    """

    def __init__(self, digits: int) -> None:
        self._grid = 10**digits

    def hull(self, circles: list[Circle]) -> str:
        """Outline of a hull of circles."""
        arcs = hull_arcs(circles)
        if len(arcs) == 1:
            return self._circle(arcs[0])
        here = self._snap(*arcs[0].first)
        text = ["M", self._pair(*here)]
        for i, arc in enumerate(arcs):
            if i:
                here = self._to(text, "l", here, arc.first)
            radius = self._number(max(round(arc.r * self._grid), 1))
            # A half circle swells or shrinks when its ends are rounded, so a large one is written as two quarters.
            halves = 2 if arc.sweep > LONGEST_ARC and arc.r > SMALL_RADIUS else 1
            for part in range(1, halves + 1):
                stop = arc.at(arc.start + arc.sweep * part / halves)
                here = self._to(text, f"a{radius} {radius} 0 {int(arc.sweep / halves > pi)} 1 ", here, stop)
        text.append("Z")
        return "".join(text)

    def polyline(self, points: list[Point], *, closed: bool = False) -> str:
        """Straight lines through points."""
        here = self._snap(*points[0])
        text = ["M", self._pair(*here)]
        for point in points[1:]:
            here = self._to(text, "l", here, point)
        return "".join(text) + ("Z" if closed else "")

    def _circle(self, arc: Arc) -> str:
        x, y = self._snap(arc.x, arc.y)
        r = max(round(arc.r * self._grid), 1)
        radius, across = self._number(r), self._number(2 * r)
        turn = f"a{radius} {radius} 0 1 1 "
        return f"M{self._pair(x + r, y)}{turn}-{across} 0{turn}{across} 0Z"

    def _snap(self, x: float, y: float) -> Step:
        return round(x * self._grid), round(y * self._grid)

    def _to(self, text: list[str], command: str, here: Step, stop: Point) -> Step:
        there = self._snap(*stop)
        text += (command, self._pair(there[0] - here[0], there[1] - here[1]))
        return there

    def _pair(self, x: int, y: int) -> str:
        second = self._number(y)
        return self._number(x) + (second if y < 0 else " " + second)

    def _number(self, steps: int) -> str:
        return str(steps) if self._grid == 1 else f"{steps / self._grid:g}"


def svg_text(shapes: list[Shape], *, width: int, height: int, title: str, word: str = "") -> str:
    """One picture as SVG: transparent background, no ids, the title as its text alternative, one word at the top."""
    out = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" width="{width}" height="{height}" '
        f'role="img"><title>{escape(title)}</title><g stroke-linecap="round" stroke-linejoin="round">'
    ]
    for shape in shapes:
        fill = shape.fill or "none"
        stroke = f' stroke="{shape.stroke}" stroke-width="{shape.width:.1f}"' if shape.stroke else ""
        out.append(f'<path d="{shape.path}" fill="{fill}"{stroke}/>')
    return "".join(out) + "</g>" + (_word(word, width) if word else "") + "</svg>"


def _word(word: str, width: int) -> str:
    """A word in the top left corner, where no figure reaches."""
    large = width * WORD_OF_WIDTH
    place = f'x="{large * 0.4:.1f}" y="{large * 1.1:.1f}" font-size="{large:.1f}"'
    face = 'font-family="Atkinson Hyperlegible, sans-serif" font-weight="700"'
    return f'<text {place} {face} fill="{WORD_COLOUR}">{escape(word)}</text>'

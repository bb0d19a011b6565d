"""Shapes on the picture as SVG paths, and a picture as SVG text."""

from __future__ import annotations

from dataclasses import dataclass
from html import escape
from math import pi

from haleward.render.draw_hull import Arc, Circle, hull_arcs

Point = tuple[float, float]


@dataclass(frozen=True)
class Shape:
    """A path with a fill, or a stroke of a width, in pixels."""

    path: str
    fill: str = ""
    stroke: str = ""
    width: float = 0.0


class Pen:
    """Writes path text with coordinates rounded to ``digits`` decimals."""

    def __init__(self, digits: int) -> None:
        self._digits = digits

    def number(self, value: float) -> str:
        """A number without needless characters."""
        if not self._digits:
            return str(round(value))
        rounded = round(value, self._digits)
        if rounded == int(rounded):
            return str(int(rounded))
        return f"{rounded:.{self._digits}f}".rstrip("0")

    def pair(self, x: float, y: float) -> str:
        """Two numbers."""
        second = self.number(y)
        return self.number(x) + (second if second[0] == "-" else " " + second)

    def hull(self, circles: list[Circle]) -> str:
        """Outline of a hull of circles."""
        arcs = hull_arcs(circles)
        if len(arcs) == 1:
            return self.circle(arcs[0].x, arcs[0].y, arcs[0].r)
        text = ["M" + self.pair(*arcs[0].first)]
        for i, arc in enumerate(arcs):
            if i:
                text.append("L" + self.pair(*arc.first))
            text.append(self._arc(arc))
        return "".join(text) + "Z"

    def _arc(self, arc: Arc) -> str:
        r = self.number(max(arc.r, 0.1))
        return f"A{r} {r} 0 {int(arc.sweep > pi)} 1 {self.pair(*arc.last)}"

    def circle(self, x: float, y: float, r: float) -> str:
        """A whole circle."""
        radius = self.number(r)
        ends = (self.pair(x + r, y), self.pair(x - r, y))
        return f"M{ends[0]}A{radius} {radius} 0 1 1 {ends[1]}A{radius} {radius} 0 1 1 {ends[0]}Z"

    def polyline(self, points: list[Point], *, closed: bool = False) -> str:
        """Straight lines through points."""
        first, *rest = (self.pair(*point) for point in points)
        return f"M{first}" + "".join(f"L{p}" for p in rest) + ("Z" if closed else "")


def svg_text(shapes: list[Shape], *, width: int, height: int, title: str) -> str:
    """One picture as SVG: transparent background, no ids, the title as its text alternative."""
    out = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" width="{width}" height="{height}" '
        f'role="img"><title>{escape(title)}</title><g stroke-linecap="round" stroke-linejoin="round">'
    ]
    for shape in shapes:
        fill = shape.fill or "none"
        stroke = f' stroke="{shape.stroke}" stroke-width="{shape.width:.1f}"' if shape.stroke else ""
        out.append(f'<path d="{shape.path}" fill="{fill}"{stroke}/>')
    return "".join(out) + "</g></svg>"

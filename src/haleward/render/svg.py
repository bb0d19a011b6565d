"""Draw lists as SVG: shapes as path text, and a picture as one document."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from math import cos, pi, sin

from haleward.render.draw_list import Outline, Shape

Step = tuple[int, int]  # a point in steps of the grid
LONGEST_ARC = 2.4  # radians
SMALL_RADIUS = 8.0  # pixels
WORD_OF_WIDTH = 0.075
WORD_COLOUR = "#A63C00"


class Pen:
    """Writes path text on a grid of ``digits`` decimals, and remembers what it has written.

    After the first point everything is relative to the last rounded point, which is shorter and adds up exactly.
    """

    def __init__(self, digits: int) -> None:
        self._grid = 10**digits
        self._written: dict[int, tuple[Outline, str]] = {}  # by identity; the outline is kept so that it stays itself

    def path(self, shape: Shape) -> str:
        """All outlines of a shape as one path."""
        return "".join(self.write(outline) for outline in shape.outlines)

    def write(self, outline: Outline) -> str:
        """One outline as a path."""
        found = self._written.get(id(outline))
        if found is None:
            text = self._arcs(outline) if outline.kind == "arcs" else self._line(outline)
            found = self._written[id(outline)] = (outline, text)
        return found[1]

    def _arcs(self, outline: Outline) -> str:
        arcs: list[list[float]] = outline.rows.tolist()
        if len(arcs) == 1:
            return self._circle(*arcs[0][:3])
        x, y, r, start, _ = arcs[0]
        here = self._snap(x + r * cos(start), y + r * sin(start))
        text = ["M", self._pair(*here)]
        for i, (x, y, r, start, sweep) in enumerate(arcs):
            if i:
                here = self._to(text, "l", here, x + r * cos(start), y + r * sin(start))
            radius = self._number(max(round(r * self._grid), 1))
            # A half circle swells or shrinks when its ends are rounded, so a large one is written as two quarters.
            halves = 2 if sweep > LONGEST_ARC and r > SMALL_RADIUS else 1
            for part in range(1, halves + 1):
                stop = start + sweep * part / halves
                command = f"a{radius} {radius} 0 {int(sweep / halves > pi)} 1 "
                here = self._to(text, command, here, x + r * cos(stop), y + r * sin(stop))
        text.append("Z")
        return "".join(text)

    def _line(self, outline: Outline) -> str:
        points: list[list[float]] = outline.rows.tolist()
        here = self._snap(*points[0])
        text = ["M", self._pair(*here)]
        for point in points[1:]:
            here = self._to(text, "l", here, *point)
        return "".join(text) + ("Z" if outline.kind == "ring" else "")

    def _circle(self, at_x: float, at_y: float, size: float) -> str:
        x, y = self._snap(at_x, at_y)
        r = max(round(size * self._grid), 1)
        radius, across = self._number(r), self._number(2 * r)
        turn = f"a{radius} {radius} 0 1 1 "
        return f"M{self._pair(x + r, y)}{turn}-{across} 0{turn}{across} 0Z"

    def _snap(self, x: float, y: float) -> Step:
        return round(x * self._grid), round(y * self._grid)

    def _to(self, text: list[str], command: str, here: Step, x: float, y: float) -> Step:
        there = self._snap(x, y)
        text += (command, self._pair(there[0] - here[0], there[1] - here[1]))
        return there

    def _pair(self, x: int, y: int) -> str:
        second = self._number(y)
        return self._number(x) + (second if y < 0 else " " + second)

    def _number(self, steps: int) -> str:
        return str(steps) if self._grid == 1 else f"{steps / self._grid:g}"


def svg_text(shapes: Sequence[Shape], *, width: int, height: int, title: str, word: str = "", digits: int = 1) -> str:
    """One picture as SVG: transparent background, no ids, the title as its text alternative, one word at the top."""
    out = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" width="{width}" height="{height}" '
        f'role="img"><title>{escape(title)}</title><g stroke-linecap="round" stroke-linejoin="round">'
    ]
    pen = Pen(digits)
    for shape in shapes:
        fill = shape.fill or "none"
        stroke = f' stroke="{shape.stroke}" stroke-width="{shape.width:.1f}"' if shape.stroke else ""
        out.append(f'<path d="{pen.path(shape)}" fill="{fill}"{stroke}/>')
    return "".join(out) + "</g>" + (_word(word, width) if word else "") + "</svg>"


def _word(word: str, width: int) -> str:
    """A word in the top left corner, where no figure reaches."""
    large = width * WORD_OF_WIDTH
    place = f'x="{large * 0.4:.1f}" y="{large * 1.1:.1f}" font-size="{large:.1f}"'
    face = 'font-family="Atkinson Hyperlegible, sans-serif" font-weight="700"'
    return f'<text {place} {face} fill="{WORD_COLOUR}">{escape(word)}</text>'

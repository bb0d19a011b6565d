"""The parts of the film's pictures, painted with Skia: the figure, its words, the strip below it, and cards with text.

The strip starts on a row that is a multiple of 16 and keeps its first rows plain, so that the packets of a repetition's
pictures never depend on what the strip shows.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from functools import cached_property
from math import degrees, tau
from typing import Any

import numpy as np

from haleward.render.draw_list import Outline, Shape
from haleward.render.film_plan import Card, Strip
from haleward.render.film_planes import UNITS, Box, Part, Size, painted
from haleward.render.film_text import MARGIN, Block, RightToLeft, Text
from haleward.render.film_text import colour_of as colour
from haleward.render.sound import film_package

INK, SOFT, TEAL, PALE, PAPER, SHEET = "#1d262b", "#4a565c", "#0a6763", "#cfd8dc", "#fbf8f1", "#ffffff"
URGENT = "#8a2f06"
STRIP_PLAIN = 8  # rows at the top of the strip that never change
HEADING_BOTTOM, COLUMN = 84, 632  # the row under the heading; where the words beside the figure begin
COUNT_BOTTOM = 264  # the row under a countdown beside a figure
_SOFT, _BLOCK = 2, 16  # pixels round what is drawn, for its soft edges; in steps of which parts are large
DRAFT_WIDTH = 360  # of the mark of a draft, at the end of the heading


class Painter:
    """Paints and converts parts of pictures of one size. Text is at least :data:`SMALLEST` units high."""

    def __init__(self, size: Size, *, emergency: str, version: str, direction: str = "ltr", draft: str = "") -> None:
        self._skia = film_package("skia")
        self.size, self.emergency, self.version, self.draft = size, emergency, version, draft
        self.scale = size.width / UNITS
        self.text = RightToLeft() if direction == "rtl" else Text()
        self._counts: dict[str, Part] = {}  # each number is painted once
        self.figure_box = self._box(0, HEADING_BOTTOM, COLUMN)
        self.column_box = self._box(COLUMN, HEADING_BOTTOM, UNITS)
        self.body_box = self._box(0, HEADING_BOTTOM, UNITS)
        self.count_box = self._box(COLUMN, HEADING_BOTTOM, UNITS, COUNT_BOTTOM)
        self.below_count_box = self._box(COLUMN, COUNT_BOTTOM, UNITS)

    def _box(self, left: float, top: float, right: float, bottom: float | None = None) -> Box:
        """A box of the picture; mirrored with its text, so that a reader begins at the figure."""
        first, last = sorted((self.text.across(left), self.text.across(right)))
        return self.size.box(first, top, last, bottom)

    def heading(self, title: str) -> Part:
        """The line on top."""
        box = self.size.box(0, 0, UNITS, HEADING_BOTTOM)
        width = UNITS - 2 * MARGIN - (DRAFT_WIDTH if self.draft else 0)
        block = Block(title, MARGIN, 62, width, 70, 44, INK, bold=True)

        def paint(canvas: Any) -> None:
            self.text.fitted(canvas, block)
            self.text.line(canvas, self.draft, UNITS - MARGIN, 60, 34, URGENT, bold=True, align="right")

        return self._painted(box, PAPER, paint)

    def figure(self, shapes: Sequence[Shape], *, within: Box | None = None) -> Part:
        """The figure of one instant, drawn for a picture of the size of its box; or ``within`` a part of that."""
        return self._painted(within or self.figure_box, PAPER, lambda canvas: self._shapes(canvas, shapes))

    def span(self, instants: Iterable[Sequence[Shape]]) -> Box:
        """The part of the figure's box in which all of these are drawn."""
        shapes = {id(shape): shape for instant in instants for shape in instant}.values()
        outlines = [outline for shape in shapes for outline in shape.outlines]
        if not outlines:
            return self.figure_box
        beside = max(shape.width for shape in shapes) / 2 + _SOFT
        circles = [outline.rows[:, :3] for outline in outlines if outline.kind == "arcs"]
        points = [np.pad(outline.rows[:, :2], ((0, 0), (0, 1))) for outline in outlines if outline.kind != "arcs"]
        x, y, radius = np.concatenate([*circles, *points]).T
        reach, box = radius + beside, self.figure_box
        left, top = (max(int(side.min()) // _BLOCK * _BLOCK, 0) for side in (x - reach, y - reach))
        right, bottom = (-(-int(side.max() + 1) // _BLOCK) * _BLOCK for side in (x + reach, y + reach))
        return Box(box.left + left, box.top + top, min(right, box.width) - left, min(bottom, box.height) - top)

    def column(self, *, word: str, breath: str, stop: str) -> Part:
        """What stands beside a moving figure: the movement's word, how to breathe, when to stop."""
        left, width, bottom = COLUMN + 8, UNITS - COLUMN - 8 - MARGIN, self._bottom

        def paint(canvas: Any) -> None:
            top = bottom - 42 * len(self.text.lines(stop, 34, bold=False, width=width)) + 6
            self.text.fitted(canvas, Block(stop, left, top, width, bottom, 34, URGENT))
            y = self.text.fitted(canvas, Block(word, left, 190, width, 290, 60, TEAL, bold=True))
            self.text.fitted(canvas, Block(breath, left, y + 10, width, top - 56, 42, SOFT))

        return self._painted(self.column_box, PAPER, paint)

    def strip(self, strip: Strip | None) -> Part:
        """The strip below the figure; plain without anything to show."""
        box = self.size.strip

        def paint(canvas: Any) -> None:
            if strip is None:
                return
            top = self.size.split / self.scale
            canvas.clipRect(self._skia.Rect.MakeXYWH(0, top + STRIP_PLAIN / self.scale, UNITS, 200))
            right = self.text.line(canvas, strip.count, 56, top + 100, 92, TEAL, bold=True)
            right = self.text.line(canvas, strip.of, right + 20, top + 98, 38, SOFT)
            left = self.text.line(canvas, strip.set_line, UNITS - MARGIN, top + 98, 38, SOFT, align="right")
            self._dots(canvas, strip, max(right + 60, 370), left - 40, top + 84)

        return self._painted(box, SHEET, paint)

    @cached_property
    def foot(self) -> Part:
        """The strip of a card: the emergency line, the plan's version and date."""

        def paint(canvas: Any) -> None:
            top, width = self.size.split / self.scale, UNITS - 2 * MARGIN
            self.text.fitted(canvas, Block(self.emergency, MARGIN, top + 52, width, top + 60, 38, URGENT, bold=True))
            self.text.fitted(canvas, Block(self.version, MARGIN, top + 104, width, top + 112, 34, SOFT))

        return self._painted(self.size.strip, SHEET, paint)

    def count(self, number: str) -> Part:
        """A countdown beside a figure, above the words of its card: it changes while they stay."""
        if number not in self._counts:
            self._counts[number] = self._painted(
                self.count_box,
                PAPER,
                lambda canvas: self.text.line(canvas, number, COLUMN + 8, 244, 170, TEAL, bold=True),
            )
        return self._counts[number]

    def card(self, card: Card, *, beside_figure: bool, scale: Sequence[tuple[int, str]]) -> Part:
        """The words of a card: what is said, the numbers of the effort question; below a countdown, if it has one."""
        left = COLUMN + 8 if beside_figure else MARGIN
        box = self.below_count_box if card.big else self.column_box if beside_figure else self.body_box

        def paint(canvas: Any) -> None:
            width, bottom = UNITS - left - MARGIN, self._bottom
            top = 316.0 if card.big else 170.0 if beside_figure else 230.0
            first_row = bottom - 46 * (len(scale) - 1)
            room = first_row - 60 if scale else bottom
            block = Block(card.text, left, top, width, room, 54 if beside_figure else 68, INK)
            self.text.fitted(canvas, block)
            for row, (number, words) in enumerate(scale):
                y = first_row + row * 46
                self.text.line(canvas, str(number), left + 50, y, 38, TEAL, bold=True, align="right")
                self.text.line(canvas, words, left + 70, y, 36, INK)

        return self._painted(box, PAPER, paint)

    @property
    def _bottom(self) -> float:
        """The lowest base line above the strip."""
        return self.size.split / self.scale - 24

    def _dots(self, canvas: Any, strip: Strip, left: float, right: float, y: float) -> None:
        pitch = min(44.0, (right - left) / max(strip.total, 1))
        paint = self._skia.Paint(AntiAlias=True)
        for number in range(strip.total):
            paint.setColor(colour(TEAL if number < strip.done else PALE))
            canvas.drawCircle(self.text.across(left + number * pitch), y, min(14.0, pitch * 0.36), paint)

    def _painted(self, box: Box, ground: str, paint: Callable[[Any], object]) -> Part:
        """A box with its ground, painted in units of the whole picture."""

        def on(canvas: Any) -> None:
            canvas.clear(colour(ground))
            canvas.translate(-box.left, -box.top)
            canvas.scale(self.scale, self.scale)
            paint(canvas)

        return painted(box, on)

    def _shapes(self, canvas: Any, shapes: Sequence[Shape]) -> None:
        canvas.scale(1 / self.scale, 1 / self.scale)  # the figure is drawn in pixels of its box
        canvas.translate(self.figure_box.left, self.figure_box.top)
        paint = self._line_paint
        for shape in shapes:
            path = self._path(shape.outlines)
            for paint_colour, style in ((shape.fill, self._fill), (shape.stroke, self._stroke)):
                if paint_colour:
                    paint.setStyle(style)
                    paint.setStrokeWidth(shape.width)
                    paint.setColor(colour(paint_colour))
                    canvas.drawPath(path, paint)

    @cached_property
    def _fill(self) -> Any:
        return self._skia.Paint.kFill_Style

    @cached_property
    def _stroke(self) -> Any:
        return self._skia.Paint.kStroke_Style

    @cached_property
    def _line_paint(self) -> Any:
        paint = self._skia.Paint(AntiAlias=True)
        paint.setStrokeCap(self._skia.Paint.kRound_Cap)
        paint.setStrokeJoin(self._skia.Paint.kRound_Join)
        return paint

    def _path(self, outlines: Sequence[Outline]) -> Any:
        pen = self._skia.PathBuilder()
        for outline in outlines:
            rows = outline.rows.tolist()
            if outline.kind == "arcs":
                self._arcs(pen, rows)
                continue
            pen.moveTo(*rows[0])
            for point in rows[1:]:
                pen.lineTo(*point)
            if outline.kind == "ring":
                pen.close()
        return pen.detach()

    def _arcs(self, pen: Any, rows: list[list[float]]) -> None:
        for number, (x, y, r, first, sweep) in enumerate(rows):
            around = self._skia.Rect.MakeLTRB(x - r, y - r, x + r, y + r)
            if sweep >= tau - 1e-6:
                pen.addOval(around)
                return
            pen.arcTo(around, degrees(first), degrees(sweep), number == 0)
        pen.close()

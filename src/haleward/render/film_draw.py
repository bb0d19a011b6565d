"""The film's pictures, painted with Skia: the figure with its words, the strip below it, and cards with text.

The strip starts on a row that is a multiple of 16 and keeps its first rows plain, so that the packets of a repetition's
pictures never depend on what the strip shows.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache, cached_property
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from haleward.errors import HalewardError
from haleward.render.film_plan import Card, Strip
from haleward.render.sound import film_package

Picture = NDArray[np.uint8]
Frames = dict[str, Any]  # what render.figure.animation gives

INK, SOFT, TEAL, PALE, PAPER, SHEET = "#1d262b", "#4a565c", "#0a6763", "#cfd8dc", "#fbf8f1", "#ffffff"
URGENT = "#8a2f06"
UNITS = 1280  # everything is laid out on a picture this wide
STRIP_PLAIN = 8  # rows at the top of the strip that never change
FIGURE_BOX = (40, 84, 560, 500)  # left, top, width and height for the figure
COLUMN, COLUMN_WIDTH = 640, 600
LINES_TOP, LINES_TOP_ALONE, EFFORT_TOP = 170, 240, 320
SMALLEST = 32  # units; what a sofa away can still be read
FONTS = Path(__file__).parent.parent / "data" / "fonts"
_STEP = re.compile(r"([MlaZ])([^MlaZ]*)")
_NUMBER = re.compile(r"-?\d*\.?\d+")


@dataclass(frozen=True)
class Size:
    """A film size: its rows, and the row where the strip begins."""

    name: str
    width: int
    height: int
    split: int


SIZES = {"large": Size("large", 1280, 720, 592), "small": Size("small", 854, 480, 400)}


class Painter:
    """Paints pictures of one size. Texts are at least 32 units high."""

    def __init__(self, size: Size, *, emergency: str, version: str) -> None:
        self._skia = film_package("skia")
        self.size, self.emergency, self.version = size, emergency, version
        self.scale = size.width / UNITS

    def blank(self) -> Picture:
        """An empty picture."""
        return np.zeros((self.size.height, self.size.width, 4), np.uint8)

    def moving(
        self, picture: Picture, frames: Frames, number: int, *, title: str, word: str, breath: str, stop: str
    ) -> None:
        """One picture of a repetition; the strip stays plain."""
        canvas = self._canvas(picture)
        canvas.clear(self._colour(PAPER))
        self._figure(canvas, frames, number)
        self._text(canvas, title, 48, 62, 44, INK, bold=True)
        y = self._paragraph(canvas, word, COLUMN, 200, 60, TEAL, bold=True)
        self._paragraph(canvas, breath, COLUMN, max(y + 20, 300), 40, SOFT)
        self._paragraph(canvas, stop, COLUMN, 480, 34, URGENT)
        self._plain_strip(canvas)

    def strip(self, picture: Picture, strip: Strip) -> None:
        """Paint the strip anew."""
        canvas = self._canvas(picture)
        top = self.size.split / self.scale
        canvas.save()
        canvas.clipRect(self._skia.Rect.MakeXYWH(0, top + STRIP_PLAIN / self.scale, UNITS, 200))
        canvas.clear(self._colour(SHEET))
        right = self._text(canvas, strip.count, 56, top + 100, 92, TEAL, bold=True)
        self._text(canvas, strip.of, right + 20, top + 98, 38, SOFT)
        paint = self._skia.Paint(AntiAlias=True)
        for number in range(strip.total):
            paint.setColor(self._colour(TEAL if number < strip.done else PALE))
            canvas.drawCircle(370 + number * min(44, 520 / max(strip.total, 1)), top + 84, 14, paint)
        self._text(canvas, strip.set_line, UNITS - 48, top + 98, 38, SOFT, align="right")
        canvas.restore()

    def card(self, picture: Picture, card: Card, frames: Frames | None, scale: tuple[tuple[int, str], ...]) -> None:
        """A still picture with words."""
        canvas = self._canvas(picture)
        canvas.clear(self._colour(PAPER))
        self._text(canvas, card.heading, 48, 62, 44, INK, bold=True)
        left = COLUMN if frames else 48
        if frames:
            self._figure(canvas, frames, frames["start"])
        top = LINES_TOP if frames else LINES_TOP_ALONE
        if card.big:
            self._text(canvas, card.big, left, 236, 150, TEAL, bold=True)
            top = 300
        largest = 46 if frames else 64
        bottom = EFFORT_TOP - 48 if card.scale else self.size.split / self.scale - 16
        self._fitted(canvas, card.text, left, top, UNITS - left - 48, bottom, largest)
        if card.scale:
            self._effort(canvas, scale, left)
        self._foot(canvas)

    def _foot(self, canvas: Any) -> None:
        self._plain_strip(canvas)
        top = self.size.split / self.scale
        self._text(canvas, self.emergency, 48, top + 56, 38, URGENT, bold=True)
        self._text(canvas, self.version, 48, top + 104, 32, SOFT)

    def _plain_strip(self, canvas: Any) -> None:
        paint = self._skia.Paint(Color=self._colour(SHEET))
        canvas.drawRect(self._skia.Rect.MakeXYWH(0, self.size.split / self.scale, UNITS, 200), paint)

    def _effort(self, canvas: Any, scale: tuple[tuple[int, str], ...], left: float) -> None:
        for row, (number, words) in enumerate(scale):
            y = EFFORT_TOP + row * 46
            self._text(canvas, str(number), left + 50, y, 38, TEAL, bold=True, align="right")
            self._text(canvas, words, left + 70, y, 36, INK)

    def _figure(self, canvas: Any, frames: Frames, number: int) -> None:
        left, top, width, height = FIGURE_BOX
        whole_width, whole_height = frames["size"]
        scale = min(width / whole_width, height / whole_height)
        canvas.save()
        canvas.translate(left + (width - whole_width * scale) / 2, top)
        canvas.scale(scale, scale)
        paint = self._skia.Paint(AntiAlias=True)
        paint.setStrokeCap(self._skia.Paint.kRound_Cap)
        paint.setStrokeJoin(self._skia.Paint.kRound_Join)
        for text, fill, stroke, stroke_width in frames["frames"][number]:
            path = self._path(text)
            for colour, style in ((fill, self._skia.Paint.kFill_Style), (stroke, self._skia.Paint.kStroke_Style)):
                if colour >= 0:
                    paint.setStyle(style)
                    paint.setStrokeWidth(stroke_width)
                    paint.setColor(self._colour(frames["palette"][colour]))
                    canvas.drawPath(path, paint)
        canvas.restore()

    def _path(self, text: str) -> Any:
        """The figure's own path text (absolute start, relative lines and arcs) as a path."""
        skia = self._skia
        pen, x, y = skia.PathBuilder(), 0.0, 0.0
        for step, numbers in _STEP.findall(text):
            values = [float(number) for number in _NUMBER.findall(numbers)]
            if step == "M":
                x, y = values
                pen.moveTo(x, y)
            elif step == "l":
                x, y = x + values[0], y + values[1]
                pen.lineTo(x, y)
            elif step == "a":
                x, y = x + values[5], y + values[6]
                large = (
                    skia.PathBuilder.ArcSize.kLarge_ArcSize if values[3] else skia.PathBuilder.ArcSize.kSmall_ArcSize
                )
                pen.arcTo((values[0], values[1]), 0, large, skia.PathDirection.kCW, (x, y))
            else:
                pen.close()
        return pen.detach()

    def _canvas(self, picture: Picture) -> Any:
        surface = self._skia.Surface(picture, colorType=self._skia.kRGBA_8888_ColorType)
        canvas = surface.getCanvas()
        canvas.scale(self.scale, self.scale)
        self._surface = surface  # the canvas lives only as long as its surface
        return canvas

    def _fitted(self, canvas: Any, text: str, x: float, y: float, width: float, bottom: float, largest: float) -> None:
        """Wrapped text as large as it fits above ``bottom``, but never smaller than can be read."""
        size = largest
        while size > SMALLEST and y + (len(self._lines(text, size, False, width)) - 1) * size * 1.25 > bottom:
            size -= 2
        self._paragraph(canvas, text, x, y, size, INK, width=width)

    def _lines(self, text: str, size: float, bold: bool, width: float) -> list[str]:
        """The text broken into lines that fit ``width``."""
        font, lines = self._font(size, bold), [""]
        for word in text.split():
            longer = f"{lines[-1]} {word}".strip()
            if lines[-1] and font.measureText(longer) > width:
                lines.append(word)
            else:
                lines[-1] = longer
        return [line for line in lines if line]

    def _paragraph(
        self, canvas: Any, text: str, x: float, y: float, size: float, colour: str, *, bold: bool = False,
        width: float = COLUMN_WIDTH,
    ) -> float:  # fmt: skip
        """Wrapped text; returns the base line of what may follow."""
        for line in self._lines(text, size, bold, width):
            self._text(canvas, line, x, y, size, colour, bold=bold)
            y += size * 1.25
        return y

    def _text(
        self, canvas: Any, text: str, x: float, y: float, size: float, colour: str, *, bold: bool = False,
        align: str = "left",
    ) -> float:  # fmt: skip
        """One line of text; returns where it ends."""
        font = self._font(size, bold)
        wide = font.measureText(text)
        x -= wide if align == "right" else 0
        canvas.drawString(text, x, y, font, self._skia.Paint(Color=self._colour(colour), AntiAlias=True))
        return float(x + wide)

    def _font(self, size: float, bold: bool) -> Any:
        font = self._skia.Font(self._faces[bold], size)
        font.setEdging(self._skia.Font.Edging.kAntiAlias)
        return font

    @cached_property
    def _faces(self) -> tuple[Any, Any]:
        return _face(FONTS / "AtkinsonHyperlegible-Regular.ttf"), _face(FONTS / "AtkinsonHyperlegible-Bold.ttf")

    def _colour(self, text: str) -> int:
        return 0xFF000000 | int(text[1:], 16)


@cache
def _face(path: Path) -> Any:
    face = film_package("skia").Typeface.MakeFromFile(str(path))
    if face is None:
        raise HalewardError(f"The font {path.name} is missing or damaged. Install Haleward again.")
    return face

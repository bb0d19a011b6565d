"""Text on the film's pictures: broken into lines, and as large as it fits."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from haleward.render.sound import film_package

SMALLEST = 32  # units of a picture 1280 wide; what can still be read from a sofa
MARGIN = 48
LEADING = 1.25  # from base line to base line, in sizes


@dataclass(frozen=True)
class Block:
    """A text, the left end of its first base line, and the room it has."""

    text: str
    left: float
    top: float
    width: float
    bottom: float
    largest: float
    colour: str
    bold: bool = False


class Text:
    """Writes on a canvas with two faces, regular and bold."""

    def __init__(self, faces: tuple[Any, Any], ink: str) -> None:
        self._faces, self._ink = faces, ink
        self._skia = film_package("skia")
        self._fonts: dict[tuple[float, bool], Any] = {}

    def fitted(self, canvas: Any, block: Block) -> float:
        """Wrapped text as large as it fits, never smaller than can be read; returns the next base line."""
        size = block.largest
        lines = self.lines(block.text, size, bold=block.bold, width=block.width)
        while size > SMALLEST and block.top + (len(lines) - 1) * size * LEADING > block.bottom:
            size -= 2
            lines = self.lines(block.text, size, bold=block.bold, width=block.width)
        y = block.top
        for line in lines:
            self.line(canvas, line, block.left, y, size, block.colour, bold=block.bold)
            y += size * LEADING
        return y

    def lines(self, text: str, size: float, *, bold: bool, width: float) -> list[str]:
        """The text broken into lines that fit ``width``."""
        font, lines = self._font(size, bold), [""]
        for word in text.split():
            longer = f"{lines[-1]} {word}".strip()
            if lines[-1] and font.measureText(longer) > width:
                lines.append(word)
            else:
                lines[-1] = longer
        return [line for line in lines if line]

    def line(
        self, canvas: Any, text: str, x: float, y: float, size: float, colour: str, *, bold: bool = False,
        align: str = "left",
    ) -> float:  # fmt: skip
        """One line of text; returns its far end: the right one, or the left one if it ends at ``x``."""
        font = self._font(size, bold)
        wide = float(font.measureText(text))
        left = x - wide if align == "right" else x
        ink = self._skia.Paint(Color=0xFF000000 | int(colour[1:], 16), AntiAlias=True)
        canvas.drawString(text, left, y, font, ink)
        return left if align == "right" else left + wide

    def _font(self, size: float, bold: bool) -> Any:
        if (size, bold) not in self._fonts:
            font = self._skia.Font(self._faces[bold], size)
            font.setEdging(self._skia.Font.Edging.kAntiAlias)
            self._fonts[size, bold] = font
        return self._fonts[size, bold]

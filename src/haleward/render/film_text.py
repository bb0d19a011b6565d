"""Text on the film's pictures: broken into lines, and as large as it fits; from right to left where it is read so."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from haleward.errors import HalewardError
from haleward.render.film_planes import UNITS
from haleward.render.sound import film_package

FONTS = Path(__file__).parent.parent / "data" / "fonts"
LATIN = ("AtkinsonHyperlegible-Regular.ttf", "AtkinsonHyperlegible-Bold.ttf")
ARABIC = ("VazirmatnArabic-Regular.ttf", "VazirmatnArabic-Bold.ttf")

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
    """Writes on a canvas with two faces, regular and bold. Places are those of a picture read from left to right."""

    def __init__(self) -> None:
        self._faces = faces()
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
        lines = [""]
        for word in self._words(text):
            longer = f"{lines[-1]} {word}".strip()
            if lines[-1] and self._wide(longer, size, bold) > width:
                lines.append(word)
            else:
                lines[-1] = longer
        return [line for line in lines if line]

    def line(
        self, canvas: Any, text: str, x: float, y: float, size: float, colour: str, *, bold: bool = False,
        align: str = "left",
    ) -> float:  # fmt: skip
        """One line of text; returns its far end: the right one, or the left one if it ends at ``x``."""
        wide = self._wide(text, size, bold)
        left = x - wide if align == "right" else x
        self._draw(canvas, text, left, y, size, colour_of(colour), bold, wide)
        return left if align == "right" else left + wide

    def across(self, x: float) -> float:
        """Where a place stands on the picture."""
        return x

    def _words(self, text: str) -> list[str]:
        return text.split()

    def _wide(self, text: str, size: float, bold: bool) -> float:
        return float(self._font(size, bold).measureText(text))

    def _draw(
        self, canvas: Any, text: str, left: float, y: float, size: float, colour: int, bold: bool, _wide: float
    ) -> None:
        ink = self._skia.Paint(Color=colour, AntiAlias=True)
        canvas.drawString(text, left, y, self._font(size, bold), ink)

    def _font(self, size: float, bold: bool) -> Any:
        if (size, bold) not in self._fonts:
            font = self._skia.Font(self._faces[bold], size)
            font.setEdging(self._skia.Font.Edging.kAntiAlias)
            self._fonts[size, bold] = font
        return self._fonts[size, bold]


class RightToLeft(Text):
    """Writes what is read from right to left, its letters joined; every place is mirrored across the picture."""

    _MEASURED = 100.0  # the size at which words are measured: widths grow with the size

    def __init__(self) -> None:
        super().__init__()
        self._layout = self._skia.textlayout
        self._fonts_found = self._collection()
        self._wide_words: dict[tuple[str, bool], float] = {}

    def across(self, x: float) -> float:
        """Where a place stands on the picture."""
        return UNITS - x

    def _words(self, text: str) -> list[str]:
        """Words; a number kept together by isolates is one word."""
        return re.sub("\u2066[^\u2069]*\u2069", lambda found: found[0].replace(" ", "\u00a0"), text).split(" ")

    def _wide(self, text: str, size: float, bold: bool) -> float:
        words = text.split(" ")
        space = self._word_wide(". .", bold) - self._word_wide("..", bold)
        return (sum(self._word_wide(word, bold) for word in words) + space * (len(words) - 1)) * size / self._MEASURED

    def _word_wide(self, word: str, bold: bool) -> float:
        key = (word, bold)
        if key not in self._wide_words:
            self._wide_words[key] = float(self._paragraph(word, self._MEASURED, 0, bold).MaxIntrinsicWidth)
        return self._wide_words[key]

    def _draw(
        self, canvas: Any, text: str, left: float, y: float, size: float, colour: int, bold: bool, wide: float
    ) -> None:
        line = self._paragraph(text, size, colour, bold)
        line.paint(canvas, self.across(left + wide), y - line.AlphabeticBaseline)

    def _paragraph(self, text: str, size: float, colour: int, bold: bool) -> Any:
        """One line, shaped; the isolate around it makes the line run from right to left."""
        style, skia = self._layout.TextStyle(), self._skia
        style.setFontFamilies(["Latin", "Arabic"])
        style.setFontStyle(skia.FontStyle.Bold() if bold else skia.FontStyle.Normal())
        style.setFontSize(size)
        style.setColor(colour)
        builder = self._layout.ParagraphBuilder.make(
            self._layout.ParagraphStyle(), self._fonts_found, skia.Unicodes.ICU.Make()
        )
        builder.pushStyle(style)
        builder.addText(f"\u2067{text}\u2069")
        made = builder.Build()
        made.layout(10 * UNITS)
        return made

    def _collection(self) -> Any:
        """The two typefaces by family: a letter that the first lacks comes from the second."""
        families = self._layout.TypefaceFontProvider()
        for family, names in (("Latin", LATIN), ("Arabic", ARABIC)):
            for name in names:
                families.registerTypeface(_face(FONTS / name), family)
        found = self._layout.FontCollection()
        found.setDefaultFontManager(families)
        return found


def colour_of(text: str) -> int:
    """A colour as Skia takes it."""
    return 0xFF000000 | int(text[1:], 16)


@cache
def faces() -> tuple[Any, Any]:
    """The typeface, regular and bold. Raises one sentence when its file is gone."""
    regular, bold = LATIN
    return _face(FONTS / regular), _face(FONTS / bold)


def _face(path: Path) -> Any:
    # with a font manager of its own Skia reads no font settings of the system, and tells no faults in them
    fonts = film_package("skia").FontMgr.New_Custom_Empty()
    face = fonts.makeFromFile(str(path)) if path.is_file() else None
    if face is None:
        raise HalewardError(f"The font {path.name} is missing or damaged. Install Haleward again.")
    return face

"""Small charts for the person's own page: bars a week, and dots of effort. Large type, few lines, a word for each bar.

A week about which nothing was told has a dash, never a bar of zero.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

from haleward.render.chart import INK, LINE, SOFT, TEAL

WIDTH, HEIGHT, FOOT, HEAD = 340, 170, 26, 22


@dataclass(frozen=True)
class Bar:
    """One week: what was told (``None``: nothing), and what the plan has, if that is shown."""

    label: str
    value: float | None
    planned: float | None = None


def week_bars(bars: Sequence[Bar], *, title: str, description: str) -> str:
    """One bar a week with its number over it; the plan as an outline around the bar."""
    top = max([1.0, *(one.value or 0 for one in bars), *(one.planned or 0 for one in bars)])
    step = WIDTH / max(len(bars), 4)
    width = min(step * 0.62, 56)
    pieces = []
    for place, one in enumerate(bars):
        middle = step * (place + 0.5)
        if one.planned:
            pieces.append(
                _column(middle, width, one.planned / top, f'fill="none" stroke="{SOFT}" stroke-dasharray="5 4"')
            )
        if one.value:
            pieces.append(_column(middle, width, one.value / top, f'fill="{TEAL}"'))
        over = _y((one.value or 0) / top) - 6
        pieces.append(_text(middle, over, "–" if one.value is None else f"{one.value:g}", bold=True))
        pieces.append(_text(middle, HEIGHT - 6, one.label))
    return _svg(pieces, title=title, description=description)


def effort_dots(efforts: Sequence[float], *, low: float, high: float, most: float, title: str, description: str) -> str:
    """The effort of each session, oldest first, over the band in which it should be."""
    step = WIDTH / max(len(efforts), 4)
    band = _y(high / most), _y(low / most)
    pieces = [
        _rect(0, band[0], WIDTH, band[1] - band[0], f'fill="{TEAL}" opacity="0.16"'),
        _text(14, band[0] + 5, f"{high:g}"),
        _text(14, band[1] + 5, f"{low:g}"),
    ]
    for place, effort in enumerate(efforts):
        x, y = 30 + (WIDTH - 30) * (place + 0.5) / max(len(efforts), 4), _y(effort / most)
        pieces.append(f'<circle cx="{x:.0f}" cy="{y:.0f}" r="7" fill="{TEAL}"/>')
        if step > 24 or place == len(efforts) - 1:
            pieces.append(_text(x, y - 12, f"{effort:g}", bold=True))
    return _svg(pieces, title=title, description=description)


def error_line(distance: float, low: float, high: float, *, title: str, description: str) -> str:
    """A distance with the range that the same walk could give on another day."""
    start, end = max(0.0, low - (high - low)), high + (high - low)

    def x(value: float) -> float:
        return 20 + (WIDTH - 40) * (value - start) / (end - start)

    pieces = [
        f'<line x1="20" y1="60" x2="{WIDTH - 20}" y2="60" stroke="{LINE}" stroke-width="3"/>',
        _rect(x(low), 46, x(high) - x(low), 28, f'rx="6" fill="{TEAL}" opacity="0.2"'),
        f'<circle cx="{x(distance):.0f}" cy="60" r="9" fill="{TEAL}"/>',
        _text(x(distance), 34, f"{distance:g}", bold=True),
        _text(x(low), 96, f"{low:g}"),
        _text(x(high), 96, f"{high:g}"),
    ]
    return _svg(pieces, title=title, description=description, height=104)


def _y(share: float) -> float:
    return HEIGHT - FOOT - (HEIGHT - FOOT - HEAD) * share


def _column(middle: float, width: float, share: float, look: str) -> str:
    top = _y(share)
    return _rect(middle - width / 2, top, width, HEIGHT - FOOT - top, look)


def _rect(x: float, y: float, width: float, height: float, look: str) -> str:
    return f'<rect x="{x:.0f}" y="{y:.0f}" width="{width:.0f}" height="{height:.0f}" {look}/>'


def _text(x: float, y: float, text: str, *, bold: bool = False) -> str:
    weight = ' font-weight="700"' if bold else ""
    return f'<text x="{x:.0f}" y="{y:.0f}" text-anchor="middle"{weight}>{escape(text)}</text>'


def _svg(pieces: Sequence[str], *, title: str, description: str, height: int = HEIGHT) -> str:
    words = f"<title>{escape(title)}</title><desc>{escape(description)}</desc>"
    frame = f'viewBox="0 0 {WIDTH} {height}" font-size="17" fill="{INK}" role="img"'
    return f'<svg class="small-chart" xmlns="http://www.w3.org/2000/svg" {frame}>{words}{"".join(pieces)}</svg>'

"""Charts for page and print: one definition, drawn once as an SVG that says in words what it shows.

The library draws; this module gives every chart the same calm look and a text alternative. Nothing is told by colour
alone: lines differ in shape and carry their names.
"""

from __future__ import annotations

import re
from functools import cache
from html import escape
from pathlib import Path

import altair as alt
import vl_convert

from haleward.movement.hardest import hardest_words
from haleward.movement.torque import LoadPath, LoadPoint

FONT = "Atkinson Hyperlegible"
FONT_FOLDER = Path(__file__).parent.parent / "data" / "fonts"
INK, SOFT, LINE, TEAL, ORANGE = "#1d262b", "#4a565c", "#d9d3c5", "#0a6763", "#b23c07"
TEXT_PX = 16
PARTS_ROLES = re.compile(r' (?:role="graphics-[^"]*"|aria-[a-z]+="[^"]*")')  # title and description speak for them
STEADY_SAMPLES = 40  # points drawn of a path: enough for a smooth line


@cache
def _fonts() -> None:
    vl_convert.register_font_directory(str(FONT_FOLDER))


def drawn(chart: alt.TopLevelMixin, *, title: str, description: str) -> str:
    """The chart as SVG text with a title and a description for those who cannot see it."""
    _fonts()
    styled = chart.configure(
        font=FONT,
        background="#ffffff",
        axis=alt.AxisConfig(
            labelColor=INK, titleColor=INK, gridColor=LINE, domainColor=SOFT, tickColor=SOFT,
            labelFontSize=TEXT_PX, titleFontSize=TEXT_PX, titleFontWeight="normal",
        ),
        view=alt.ViewConfig(stroke=None),
        legend=alt.LegendConfig(labelFontSize=TEXT_PX, titleFontSize=TEXT_PX, labelColor=INK),
    )  # fmt: skip
    text = PARTS_ROLES.sub("", vl_convert.vegalite_to_svg(styled.to_json()))
    words = f"<title>{escape(title)}</title><desc>{escape(description)}</desc>"
    return re.sub(r"<svg ([^>]*)>", lambda found: f'<svg {found[1]} role="img">{words}', text, count=1)


def load_chart(path: LoadPath, *, title: str, width_px: int = 340, height_px: int = 150) -> str:
    """How hard one repetition is from start to turning point, as a share of its hardest moment."""
    peak = max(abs(path.peak.torque_nm), 1e-9)
    rows = [
        {"way": 100 * point.share, "load": 100 * abs(point.torque_nm) / peak}
        for point in _thinned(path.points, STEADY_SAMPLES)
    ]
    base = alt.Chart(_data(rows))
    way = alt.X(
        "way:Q",
        title=None,
        scale=alt.Scale(domain=[0, 100], nice=False),
        axis=alt.Axis(
            values=[0, 50, 100],
            labelExpr="{'0': 'start', '50': 'half way', '100': 'end'}[datum.value]",
            labelFlush=True,
            grid=False,
        ),
    )
    load = alt.Y(
        "load:Q",
        title=None,
        scale=alt.Scale(domain=[0, 108], nice=False),
        axis=alt.Axis(values=[0, 100], labelExpr="datum.value ? 'hardest' : 'no load'"),
    )
    area = base.mark_area(color=TEAL, opacity=0.18).encode(x=way, y=load)
    line = base.mark_line(color=TEAL, strokeWidth=3).encode(x=way, y=load)
    dot = (
        alt.Chart(_data([{"way": 100 * path.peak.share, "load": 100.0}]))
        .mark_point(color=ORANGE, filled=True, size=110)
        .encode(x=way, y=load)
    )
    chart = (area + line + dot).properties(width=width_px, height=height_px)
    return drawn(chart, title=title, description=f"Hardest {hardest_words(path)}.")


def _data(rows: list[dict[str, float]]) -> alt.InlineData:
    return alt.InlineData(values=rows)


def _thinned(points: tuple[LoadPoint, ...], most: int) -> list[LoadPoint]:
    step = max(1, len(points) // most)
    kept = list(points[::step])
    return kept if kept[-1] is points[-1] else [*kept, points[-1]]

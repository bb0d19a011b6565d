"""What every chart of a course is: the drawing, what it says in words, and the same as a table."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

import altair as alt

from haleward.dose.words import shown
from haleward.physiology.tables import texts
from haleward.render.chart import LINE, SOFT

WIDTH_PX = 300
DAY_FORMAT = "%-d %b"
MOST_DAY_LABELS = 4


@dataclass(frozen=True)
class CourseChart:
    """One chart: ``svg`` to show or print, ``says`` for those who cannot see it, and a table with all that it shows."""

    key: str
    title: str
    svg: str
    says: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    note: str = ""


def told(key: str, **values: object) -> str:
    """The sentence ``key`` of the charts."""
    return texts("course_chart_words")[key].format(**{name: shown(value) for name, value in values.items()})


def inline(rows: Iterable[dict[str, Any]]) -> alt.InlineData:
    """Rows inside the chart."""
    return alt.InlineData(values=list(rows))


def at(day: date) -> str:
    """A day as the drawing reads it: midnight of its own place, so that it never slips by one."""
    return f"{day.isoformat()}T00:00:00"


def day_axis(field: str, days: Iterable[date]) -> alt.X:
    """Days from left to right, whole days only, as many labels as fit."""
    there = sorted(set(days))
    step = max(1, -(-len(there) // MOST_DAY_LABELS))
    labels = [alt.DateTime(year=one.year, month=one.month, date=one.day) for one in there[::step]]
    axis = alt.Axis(format=DAY_FORMAT, values=labels, grid=False, labelOverlap="greedy", labelFlush=True)
    return alt.X(f"{field}:T", title=None, axis=axis, scale=alt.Scale(padding=14))


def value_axis(field: str, title: str, *, lowest: float | None = None, highest: float | None = None) -> alt.Y:
    """Values from bottom to top; the scale begins at ``lowest`` if that is given."""
    scale = alt.Scale(nice=True, zero=False)
    if lowest is not None and highest is not None:
        scale = alt.Scale(domain=[lowest, highest], nice=False)
    axis = alt.Axis(tickCount=4, gridColor=LINE, domainColor=SOFT, titleAlign="left", titleAnchor="start", titleAngle=0,
                    titleY=-12, titleX=0)  # fmt: skip
    return alt.Y(f"{field}:Q", title=title, axis=axis, scale=scale)

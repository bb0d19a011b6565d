"""Aerobic charts: walking minutes against agreed, heart rate at the same effort, walk tests against their error."""

from __future__ import annotations

from datetime import date

import altair as alt

from haleward.capacity.change import Limits, change_of_walks, limits_of, slowing_medicine_changed
from haleward.dose.words import shown
from haleward.record import Record, WalkTest
from haleward.render.chart import INK, SOFT, TEAL, TEXT_PX, drawn
from haleward.render.chart_series import (
    Boundary,
    Course,
    HeartAtEffort,
    boundaries,
    epoch_of,
    heart_rates,
    minutes_by_week,
    without_day,
)
from haleward.render.chart_told import WIDTH_PX, CourseChart, at, day_axis, inline, told, value_axis
from haleward.worksheet import NotComputed

HEIGHT_PX = 150
ROOM = 1.1
LABEL_ROWS = 3  # labels of medicines take turns on so many rows, so that near ones do not meet
ROW_PX = 18
SHUTTLE_POPULATION = "cardiac_rehabilitation"


def minutes_chart(course: Course) -> CourseChart | None:
    """Bars of what was told, a line across each week for what was agreed."""
    weeks = minutes_by_week(course)
    if not any(one.told is not None for one in weeks):
        return None
    rows = [{"day": at(one.monday), "told": one.told, "agreed": one.agreed} for one in weeks]
    most = ROOM * max([one.agreed for one in weeks] + [one.told or 0.0 for one in weeks])
    x, base = day_axis("day", (one.monday for one in weeks)), alt.Chart(inline(rows))
    y = value_axis("told", told("axis_minutes"), lowest=0.0, highest=most)
    size = max(4.0, 0.6 * WIDTH_PX / (len(weeks) + 1))
    bars = base.mark_bar(color=TEAL, size=size, opacity=0.75).encode(x=x, y=y)
    ticks = base.mark_tick(color=INK, thickness=3, size=size + 6).encode(x=x, y=alt.Y("agreed:Q"))
    title = told("minutes_title")
    known = [one for one in weeks if one.told is not None]
    says = told(
        "minutes_says",
        weeks=len(weeks),
        first=weeks[0].monday,
        done=sum(one.told or 0.0 for one in known),
        agreed=sum(one.agreed for one in weeks),
        reached=sum((one.told or 0.0) >= one.agreed for one in known),
    )
    return CourseChart(
        key="minutes",
        title=title,
        svg=drawn((bars + ticks).properties(width=WIDTH_PX, height=HEIGHT_PX), title=title, description=says),
        says=says,
        columns=tuple(told(f"column_{one}") for one in ("week", "agreed", "minutes")),
        rows=tuple(
            (shown(one.monday), shown(one.agreed), told("nothing_told") if one.told is None else shown(one.told))
            for one in weeks
        ),
        note=told("minutes_note"),
    )


def rate_chart(course: Course) -> CourseChart | None:
    """Heart rates, joined only where the effort is the same and no medicine that changes the pulse changed between."""
    readings = heart_rates(course)
    if not readings:
        return None
    marks = tuple(
        one for one in boundaries(course, ended=told("rate_ended", medicine="{medicine}")) if one.on <= course.today
    )
    inside = tuple(one for one in marks if one.on > readings[0].on)
    says, title = _rate_says(readings, inside), told("rate_title")
    unknown = without_day(course)
    return CourseChart(
        key="rate",
        title=title,
        svg=drawn(_rate_drawing(readings, inside), title=title, description=says),
        says=says,
        columns=tuple(told(f"column_{one}") for one in ("day", "rate", "state", "how", "medicines")),
        rows=tuple(_rate_row(place, readings, inside) for place in range(len(readings))),
        note=told("rate_note", medicines=", ".join(unknown)) if unknown else "",
    )


def _state(one: HeartAtEffort) -> str:
    return told("rate_rest") if one.effort is None else told("rate_effort", effort=one.effort)


def _rate_says(readings: tuple[HeartAtEffort, ...], marks: tuple[Boundary, ...]) -> str:
    changes = "; ".join(f"{shown(one.on)} ({one.text})" for one in marks)
    epochs = told("rate_epochs", changes=changes) if marks else told("rate_no_epochs")
    return told("rate_says", count=len(readings), first=readings[0].on, last=readings[-1].on, epochs=epochs)


def _rate_drawing(readings: tuple[HeartAtEffort, ...], marks: tuple[Boundary, ...]) -> alt.LayerChart:
    rows = [
        {"day": at(one.on), "bpm": one.bpm, "state": _state(one), "line": f"{_state(one)}/{epoch_of(one.on, marks)}"}
        for one in readings
    ]
    low, high = min(one.bpm for one in readings) - 10, max(one.bpm for one in readings) + 10
    high += (high - low) * ROW_PX * LABEL_ROWS / HEIGHT_PX * 0.7 if marks else 0
    days = [one.on for one in readings]
    x, y = day_axis("day", days), value_axis("bpm", told("axis_bpm"), lowest=low, highest=high)
    base = alt.Chart(inline(rows), width=WIDTH_PX, height=HEIGHT_PX)
    shape = alt.Shape("state:N", title=None, legend=alt.Legend(orient="bottom", columns=2, symbolSize=90))
    lines = base.mark_line(color=TEAL, strokeWidth=2).encode(x=x, y=y, detail="line:N")
    points = base.mark_point(color=TEAL, size=90, opacity=1, strokeWidth=2.5).encode(x=x, y=y, shape=shape)
    return alt.LayerChart(layer=[lines, points, *_marked(marks, days).layer])


def _marked(marks: tuple[Boundary, ...], days: list[date]) -> alt.LayerChart:
    """A dashed line on each day of a change with the medicine's name beside it, on the side that has room."""
    first, last = min(days), max([*days, *(one.on for one in marks)])
    middle = first + (last - first) / 2
    rules = alt.Chart(inline({"day": at(one.on)} for one in marks))
    drawing = alt.LayerChart(layer=[rules.mark_rule(color=SOFT, strokeDash=[5, 4], strokeWidth=2).encode(x="day:T")])
    for place, one in enumerate(marks):
        left = one.on > middle
        label = alt.Chart(inline([{"day": at(one.on), "text": one.text}])).mark_text(
            align="right" if left else "left", dx=-5 if left else 5, color=INK, fontSize=TEXT_PX - 2, baseline="top"
        )
        drawing += label.encode(x="day:T", y=alt.value(2 + ROW_PX * (place % LABEL_ROWS)), text="text:N")
    return drawing


def _rate_row(place: int, readings: tuple[HeartAtEffort, ...], marks: tuple[Boundary, ...]) -> tuple[str, ...]:
    one = readings[place]
    before = readings[place - 1].on if place else None
    changed = [mark.text for mark in marks if before is not None and before < mark.on <= one.on]
    return shown(one.on), shown(one.bpm), _state(one), one.how, "; ".join(changed) or told("none")


def walk_charts(course: Course) -> tuple[CourseChart, ...]:
    """One chart for each kind of walk test that was done."""
    kinds = dict.fromkeys(one.walk.kind for one in course.records if one.walk is not None)
    return tuple(_walk_chart(kind, course) for kind in kinds)


def _walk_chart(kind: str, course: Course) -> CourseChart:
    there: dict[object, tuple[Record, WalkTest]] = {}
    for record in course.records:
        if record.walk is not None and record.walk.kind == kind:
            there[record.walk.tested_on] = (record, record.walk)  # the same walk stands in later assessments too
    done = sorted(there.values(), key=lambda one: one[1].tested_on)
    limits = limits_of(kind, _population(kind, done[-1][0]))
    size = max(limits.important, limits.detectable or 0.0)
    walks = [walk for _, walk in done]
    title, verdict = told(f"walk_title_{kind}"), _verdict(done, size, limits, course)
    listed = "; ".join(f"{shown(one.tested_on)}: {shown(one.distance_m)} m" for one in walks)
    says = told("walk_says", count=len(walks), walks=listed, verdict=verdict)
    return CourseChart(
        key=kind.replace("_", "-"),
        title=title,
        svg=drawn(_walk_drawing(walks, size), title=title, description=says),
        says=says,
        columns=tuple(told(f"column_{one}") for one in ("day", "distance", "course", "aid")),
        rows=tuple(
            (
                shown(one.tested_on),
                f"{shown(one.distance_m)} m",
                told("not_recorded") if one.course_m is None else f"{shown(one.course_m)} m",
                one.aid or told("none"),
            )
            for one in walks
        ),
        note=told("walk_note", size=size, source=limits.source),
    )


def _population(kind: str, record: Record) -> str:
    """Whose published error: where heart failure is not ruled out, the larger one counts."""
    if kind == "shuttle_walk":
        return SHUTTLE_POPULATION
    return "coronary" if record.answers.get("chf_present") is False else "heart_failure"


def _verdict(done: list[tuple[Record, WalkTest]], size: float, limits: Limits, course: Course) -> str:
    if len(done) < 2:
        return told("walk_one")
    (before, first), (after, last) = done[0], done[-1]
    found = change_of_walks(
        first,
        last,
        population=limits.population,
        slowing_medicine_changed=slowing_medicine_changed(before, after, slowing=course.epoch_medicines),
        oxygen_changed=False,  # not in the record: the sentence after the verdict says so
    )
    difference = last.distance_m - first.distance_m
    if isinstance(found, NotComputed):
        return told("walk_unlike", difference=f"{difference:+g}", why=found.reason)
    key = "walk_within" if abs(difference) < size else "walk_better" if difference > 0 else "walk_worse"
    return f"{told(key, difference=abs(difference), size=size)} {told('walk_oxygen')}"


def _walk_drawing(walks: list[WalkTest], size: float) -> alt.LayerChart:
    first = walks[0].distance_m
    lowest = max(0.0, min(min(one.distance_m for one in walks), first - size) - 20)
    highest = max(max(one.distance_m for one in walks), first + size) + 20
    x = day_axis("day", (one.tested_on for one in walks))
    y = value_axis("metres", told("axis_metres"), lowest=lowest, highest=highest)
    band = alt.Chart(inline([{"from": max(0.0, first - size), "to": first + size}]), width=WIDTH_PX, height=HEIGHT_PX)
    edge = value_axis("from", told("axis_metres"), lowest=lowest, highest=highest)
    shaded = band.mark_rect(color=TEAL, opacity=0.16).encode(y=edge, y2="to:Q")
    rows = [{"day": at(one.tested_on), "metres": one.distance_m, "text": shown(one.distance_m)} for one in walks]
    base = alt.Chart(inline(rows))
    line = base.mark_line(color=TEAL, strokeWidth=2).encode(x=x, y=y)
    points = base.mark_point(color=TEAL, filled=True, size=90, opacity=1).encode(x=x, y=y)
    labels = base.mark_text(dy=-14, fontSize=TEXT_PX, color=INK).encode(x=x, y=y, text="text:N")
    return alt.LayerChart(layer=[shaded, line, points, labels])

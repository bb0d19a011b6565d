"""Load and effort of one movement, session by session."""

from __future__ import annotations

import altair as alt

from haleward.dose.loads import load_text
from haleward.dose.model import Programme
from haleward.dose.words import shown
from haleward.render.chart import INK, ORANGE, TEAL, drawn
from haleward.render.chart_series import Done
from haleward.render.chart_told import WIDTH_PX, CourseChart, at, day_axis, inline, told, value_axis

PANEL_PX = 84
ROOM = 1.15  # above the highest load
EFFORT_SCALES = ((0.0, 10.0), (6.0, 20.0))  # the two scales of effort; the protocol names one


def load_and_effort(title: str, done: tuple[Done, ...], newest: Programme) -> CourseChart:
    """The agreed load over the effort that was told, on the same days; ``newest`` is the plan now."""
    heading = told("load_title", movement=title)
    says = _says(done, newest)
    chart = alt.vconcat(_load_panel(done), _effort_panel(done, newest), spacing=18).resolve_scale(x="shared")
    return CourseChart(
        key=f"load-{done[0].exercise.movement_id}",
        title=heading,
        svg=drawn(chart, title=heading, description=says),
        says=says,
        columns=tuple(told(f"column_{one}") for one in ("day", "load", "done", "effort", "told")),
        rows=tuple(_row(one) for one in done),
        note=told("load_note"),
    )


def _says(done: tuple[Done, ...], newest: Programme) -> str:
    loads = [load_text(one.exercise.dose.load) for one in done]
    change = told("load_same", load=loads[-1])
    if loads[0] != loads[-1]:
        change = told("load_from_to", before=loads[0], after=loads[-1])
    efforts = [one.effort for one in done if one.effort is not None]
    values = {"count": len(done), "first": done[0].on, "last": done[-1].on, "load_words": change}
    if not efforts:
        return told("load_says_no_effort", **values)
    agreed = {"agreed_low": newest.effort_low, "agreed_high": newest.effort_high}
    low, high = min(efforts), max(efforts)
    said = shown(low) if low == high else told("effort_from_to", low=low, high=high)
    return told("load_says", **values, efforts=said, **agreed)


def _amount(one: Done) -> tuple[float | None, str]:
    """What grows in this exercise, and its unit: the mass, the pull of a band, else how much was done."""
    dose = one.exercise.dose
    if dose.load.mass_kg is not None and dose.load.kit != "own_weight":
        return dose.load.mass_kg, "kg"
    if dose.load.peak_n is not None:
        return dose.load.peak_n, "newton"
    if dose.hold_s:
        return dose.hold_s * len(one.sets), "seconds"
    return (None if one.repetitions is None else float(one.repetitions)), "repetitions"


def _load_panel(done: tuple[Done, ...]) -> alt.LayerChart:
    """In the unit of the newest session; a session with kit of another unit has no point."""
    unit = _amount(done[-1])[1]
    told_loads = [(one, amount) for one in done for amount, its in [_amount(one)] if its == unit and amount is not None]
    rows = [{"day": at(one.on), "load": amount, "other": one.other_load} for one, amount in told_loads]
    highest = ROOM * max([amount for _, amount in told_loads], default=1.0) or 1.0
    base = alt.Chart(inline(rows), width=WIDTH_PX, height=PANEL_PX)
    x = day_axis("day", (one.on for one in done))
    y = value_axis("load", told(f"axis_{unit}"), lowest=0.0, highest=highest)
    line = base.mark_line(color=TEAL, strokeWidth=2.5, interpolate="step-after").encode(x=x, y=y)
    shape = alt.Shape("other:N", scale=alt.Scale(domain=[False, True], range=["circle", "triangle-up"]), legend=None)
    points = base.mark_point(color=TEAL, filled=True, size=60, opacity=1).encode(x=x, y=y, shape=shape)
    return alt.LayerChart(layer=[line, points])


def _effort_panel(done: tuple[Done, ...], newest: Programme) -> alt.LayerChart:
    low, high = next(scale for scale in EFFORT_SCALES if newest.effort_high <= scale[1])
    efforts = [(one.on, one.effort) for one in done if one.effort is not None]
    rows = [{"day": at(on), "effort": effort} for on, effort in efforts]
    x = day_axis("day", (one.on for one in done))
    y = value_axis("effort", told("axis_effort"), lowest=low, highest=high)
    agreed = alt.Chart(inline([{"from": newest.effort_low, "to": newest.effort_high}]), width=WIDTH_PX, height=PANEL_PX)
    band = agreed.mark_rect(color=TEAL, opacity=0.16).encode(y=alt.Y("from:Q"), y2="to:Q")
    points = alt.Chart(inline(rows)).mark_point(color=INK, filled=True, size=60, opacity=1).encode(x=x, y=y)
    over = alt.Chart(inline({"day": at(on), "effort": effort} for on, effort in efforts if effort > newest.effort_high))
    ring = over.mark_point(color=ORANGE, filled=False, size=190, strokeWidth=2.5, opacity=1).encode(x=x, y=y)
    return alt.LayerChart(layer=[band, points, ring])


def _row(one: Done) -> tuple[str, ...]:
    dose = one.exercise.dose
    each = ", ".join(told("done_not_told") if s.repetitions is None else str(s.repetitions) for s in one.sets)
    efforts = ", ".join(shown(s.effort) for s in one.sets if s.effort is not None)
    done = told("done_sets", sets=len(one.sets), repetitions=each)
    who = told(f"told_{one.told_by}")
    hard = [told("done_hard", repetition=s.hard_at) for s in one.sets if s.hard_at is not None]
    felt = ", ".join((efforts or told("done_not_told"), *dict.fromkeys(hard)))
    return shown(one.on), load_text(dose.load), done, felt, who

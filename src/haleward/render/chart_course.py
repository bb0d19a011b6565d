"""The charts of one person's course, the same for page and print."""

from __future__ import annotations

from haleward.movement.library import Library
from haleward.render.chart_aerobic import minutes_chart, rate_chart, walk_charts
from haleward.render.chart_load import load_and_effort
from haleward.render.chart_series import Course, HeartAtEffort, done_by_movement
from haleward.render.chart_told import CourseChart

__all__ = ["Course", "CourseChart", "HeartAtEffort", "course_charts", "load_charts"]


def course_charts(course: Course, *, library: Library) -> tuple[CourseChart, ...]:
    """Walking minutes, heart rate at the same effort, walk tests, then load and effort of every movement.

    A chart for which nothing is recorded is left out.
    """
    first = (minutes_chart(course), rate_chart(course), *walk_charts(course))
    return (*(one for one in first if one is not None), *load_charts(course, library=library))


def load_charts(course: Course, *, library: Library) -> tuple[CourseChart, ...]:
    """Load and effort of each movement that was done."""
    return tuple(
        load_and_effort(_title(movement_id, library), done, course.versions[-1])
        for movement_id, done in done_by_movement(course).items()
    )


def _title(movement_id: str, library: Library) -> str:
    movement = library.movements.get(movement_id)
    return movement.name if movement else movement_id

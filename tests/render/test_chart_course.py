"""The charts of a course: what was not told is not zero, and no line crosses a change of medicine."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from xml.etree import ElementTree

import pytest

from haleward.dose.log import WALK, SessionLog, SetLog
from haleward.dose.model import Programme
from haleward.dose.prescription import prescribe
from haleward.dose.programme import draft_programme
from haleward.movement.library import default_library
from haleward.record import Medicine, Record, WalkTest
from haleward.render.chart_aerobic import rate_chart, walk_charts
from haleward.render.chart_course import Course, CourseChart, HeartAtEffort, course_charts
from haleward.render.chart_series import (
    boundaries,
    done_by_movement,
    epoch_of,
    heart_rates,
    minutes_by_week,
    walked_minutes,
)
from haleward.safety.protocol import default_protocol
from tests.dose.people import TODAY, WELL

WEEKS = 4
SVG = "{http://www.w3.org/2000/svg}"


def at(days: int) -> datetime:
    return datetime.combine(TODAY + timedelta(days=days), datetime.min.time(), tzinfo=UTC).replace(hour=9)


def walk(distance_m: float, days: int, aid: str = "") -> WalkTest:
    on = TODAY + timedelta(days=days)
    return WalkTest("six_minute_walk", distance_m, on, 30.0, True, 104.0, 4.0, "completed", aid, False)


def bisoprolol(dose: str, days: int) -> tuple[Medicine, ...]:
    return (Medicine("beta_blocker", "bisoprolol", dose, TODAY + timedelta(days=days)),)


@pytest.fixture(scope="module")
def plan() -> Programme:
    library, protocol = default_library(), default_protocol()
    prescription = prescribe(WELL, protocol=protocol, library=library, today=TODAY)
    made = draft_programme(WELL, prescription, protocol=protocol, library=library, today=TODAY, version=1)
    return replace(made, signed_on=TODAY, signed_by="Lead")


def strength(plan: Programme, days: int, effort: float | None) -> SessionLog:
    sets = tuple(
        SetLog(exercise.movement_id, index, number + 1, exercise.dose.repetitions, effort)
        for index, exercise in enumerate(plan.parts[0].exercises)
        for number in range(exercise.dose.sets)
    )
    return SessionLog(f"s{days}", plan.version, plan.parts[0].key, at(days), sets=sets)


def walked(days: int, *minutes: float | None, outcome: str = "") -> SessionLog:
    sets = tuple(SetLog("walking", 0, number + 1, minutes=one) for number, one in enumerate(minutes))
    return SessionLog(f"w{days}", 1, WALK, at(days), sets=sets, outcome=outcome)  # type: ignore[arg-type]


@pytest.fixture(scope="module")
def course(plan: Programme) -> Course:
    logs = (strength(plan, 0, 3.0), walked(1, 10.0, 8.0), strength(plan, 7, 7.0), walked(15, outcome="not_done"))
    first = replace(WELL, medicines=bisoprolol("2.5 mg", -60), walk=walk(400, 0))
    later = replace(first, medicines=bisoprolol("5 mg", 10), walk=walk(440, 20))
    day = TODAY + timedelta(days=7 * WEEKS - 1)
    readings = (HeartAtEffort(TODAY + timedelta(days=10), 58.0, None),)
    return Course((plan,), logs, (first, later), day, ("beta_blocker",), readings)


@pytest.fixture(scope="module")
def charts(course: Course) -> dict[str, CourseChart]:
    return {chart.key: chart for chart in course_charts(course, library=default_library())}


def test_it_works(charts: dict[str, CourseChart]) -> None:
    assert list(charts)[:3] == ["minutes", "rate", "six-minute-walk"]
    assert len(charts) > 4
    for chart in charts.values():
        root = ElementTree.fromstring(chart.svg)
        assert root.find(f"{SVG}title").text == chart.title  # type: ignore[union-attr]
        assert root.find(f"{SVG}desc").text == chart.says  # type: ignore[union-attr]
        assert "style=" not in chart.svg
        assert "graphics-" not in chart.svg  # parts without a name of their own
        assert all(len(row) == len(chart.columns) for row in chart.rows)


def test_a_week_without_a_word_is_not_zero_and_one_told_as_not_done_is(course: Course) -> None:
    assert [one.told for one in minutes_by_week(course)] == [18.0, None, 0.0, None]


def test_minutes_that_were_not_told_count_as_agreed_only_where_the_bout_was(plan: Programme) -> None:
    assert walked_minutes(walked(0, None, 4.0), plan) == plan.walking.bout_minutes + 4
    assert walked_minutes(walked(0, None), None) is None
    assert walked_minutes(walked(0), plan) is None
    assert walked_minutes(walked(0, outcome="as_planned"), plan) == plan.walking.bouts * plan.walking.bout_minutes


def test_the_plan_that_was_in_force_says_what_was_agreed(course: Course, plan: Programme) -> None:
    more = replace(plan, version=2, signed_on=TODAY + timedelta(days=7), walking=replace(plan.walking, bout_minutes=99))
    first, second, *_ = minutes_by_week(replace(course, versions=(plan, more)))
    assert second.agreed > first.agreed > 0


def test_the_highest_effort_of_a_session_is_drawn_and_a_missing_one_is_not(plan: Programme, course: Course) -> None:
    movement_id = plan.parts[0].exercises[0].movement_id
    assert [one.effort for one in done_by_movement(course)[movement_id]] == [3.0, 7.0]
    silent = replace(course, logs=(strength(plan, 0, None),))
    assert [one.effort for one in done_by_movement(silent)[movement_id]] == [None]
    chart = next(one for one in course_charts(silent, library=default_library()) if one.key == f"load-{movement_id}")
    assert "No effort was told." in chart.says
    assert "not told" in chart.rows[0]


def test_sessions_of_an_unknown_version_are_left_out(course: Course) -> None:
    assert done_by_movement(replace(course, versions=())) == {}
    assert minutes_by_week(replace(course, versions=())) == ()


def test_a_change_of_dose_is_a_boundary_and_its_day_belongs_to_what_comes_after(course: Course) -> None:
    marks = boundaries(course, ended="{medicine} ended")
    assert [mark.text for mark in marks] == ["bisoprolol 2.5 mg", "bisoprolol 5 mg"]
    day = TODAY + timedelta(days=10)
    assert epoch_of(day, marks) == epoch_of(day + timedelta(days=5), marks)
    assert epoch_of(day - timedelta(days=1), marks) != epoch_of(day, marks)


def steps_drawn(chart: CourseChart | None) -> int:
    """How many pieces of line there are between points."""
    assert chart is not None
    groups = [one for one in ElementTree.fromstring(chart.svg).iter(f"{SVG}g") if "mark-line" in one.get("class", "")]
    return sum(path.attrib["d"].count("L") for group in groups for path in group.iter(f"{SVG}path"))


def test_no_line_of_heart_rates_crosses_a_change_of_medicine(course: Course) -> None:
    assert [one.effort for one in heart_rates(course)] == [None, 4.0, None, 4.0]
    broken = rate_chart(course)
    unchanged = rate_chart(replace(course, records=tuple(replace(one, medicines=()) for one in course.records)))
    assert (steps_drawn(broken), steps_drawn(unchanged)) == (0, 2)
    assert broken is not None
    assert "bisoprolol 5 mg" in broken.says
    assert any("bisoprolol 5 mg" in row[-1] for row in broken.rows)


def walks_of(*records: Record) -> CourseChart:
    (chart,) = walk_charts(Course((), (), records, date(2026, 6, 1), ("beta_blocker",)))
    return chart


@pytest.mark.parametrize(
    ("metres", "words"),
    [(410.0, "no change can be told from error"), (440.0, "further than the first"), (350.0, "shorter than the first")],
)
def test_a_walk_is_held_against_its_error(metres: float, words: str) -> None:
    before, after = replace(WELL, walk=walk(400, 0)), replace(WELL, walk=walk(metres, 60))
    chart = walks_of(before, after)
    assert words in chart.says
    assert "Oxygen is not on record" in chart.says


def test_walks_that_were_not_walked_alike_are_not_compared() -> None:
    before = replace(WELL, walk=walk(400, 0), medicines=bisoprolol("2.5 mg", -9))
    after = replace(WELL, walk=walk(470, 60), medicines=bisoprolol("5 mg", 9))
    assert "no change is told" in walks_of(before, after).says


def test_the_larger_error_counts_where_heart_failure_is_not_ruled_out() -> None:
    unknown = replace(WELL, answers={}, walk=walk(400, 0))
    assert "32.4 m" in walks_of(unknown).note
    assert "25 m" in walks_of(replace(WELL, walk=walk(400, 0))).note

"""The hull of circles is exact: in every direction it reaches exactly as far as the furthest circle."""

from math import cos, pi, sin

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haleward.render.draw_hull import Arc, Circle, hull_arcs
from haleward.render.svg import Pen
from tests.render.svg_paths import path_points

circles = st.lists(st.tuples(st.floats(-500, 500), st.floats(-500, 500), st.floats(1, 120)), min_size=1, max_size=9)


def reach(found: list[Circle], angle: float) -> float:
    return max(x * cos(angle) + y * sin(angle) + r for x, y, r in found)


def arc_at(arcs: list[Arc], angle: float) -> Arc:
    return next(arc for arc in arcs if (angle - arc.start) % (2 * pi) <= arc.sweep + 1e-9)


@given(circles, st.floats(0, 2 * pi - 1e-6))
def test_the_hull_reaches_as_far_as_the_furthest_circle(found: list[Circle], angle: float) -> None:
    arc = arc_at(hull_arcs(found), angle)
    x, y = arc.at(angle)
    assert x * cos(angle) + y * sin(angle) == pytest.approx(reach(found, angle), abs=1e-4)


@given(circles)
def test_the_arcs_make_exactly_one_turn(found: list[Circle]) -> None:
    assert sum(arc.sweep for arc in hull_arcs(found)) == pytest.approx(2 * pi)


def test_a_circle_inside_another_leaves_no_trace() -> None:
    assert hull_arcs([(0, 0, 50), (10, 0, 5)]) == hull_arcs([(0, 0, 50)])


def test_two_equal_circles_make_a_capsule() -> None:
    arcs = hull_arcs([(0, 0, 10), (100, 0, 10)])
    assert [round(arc.sweep, 6) for arc in arcs] == [round(pi, 6)] * 2


def test_rounding_never_makes_a_large_half_circle_swell() -> None:
    for shift in range(20):
        capsule = [(100 + shift / 20, 100.0, 45.0), (300 + shift / 7, 100 + shift, 45.0)]
        points = path_points(Pen(0).hull(capsule))
        assert min(x for x, _ in points) == pytest.approx(55 + shift / 20, abs=1.5)


@given(circles)
def test_the_written_path_stays_within_the_circles_extent(found: list[Circle]) -> None:
    for x, y in path_points(Pen(1).hull(found)):
        assert min(cx - r for cx, _, r in found) - 0.8 <= x <= max(cx + r for cx, _, r in found) + 0.8
        assert min(cy - r for _, cy, r in found) - 0.8 <= y <= max(cy + r for _, cy, r in found) + 0.8

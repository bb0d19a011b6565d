"""The hull of circles is exact: in every direction it reaches exactly as far as the furthest circle."""

from math import cos, pi, sin

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from haleward.render.draw import Array
from haleward.render.draw_hull import hulls_arcs
from haleward.render.draw_list import Outline
from haleward.render.svg import Pen
from tests.render.svg_paths import path_points

Circle = tuple[float, float, float]
circles = st.lists(st.tuples(st.floats(-500, 500), st.floats(-500, 500), st.floats(1, 120)), min_size=1, max_size=9)


def arcs_of(*hulls: list[Circle]) -> list[Array]:
    x, y, r = np.array(hulls, dtype=np.float64).transpose(2, 0, 1)
    return hulls_arcs(x, y, r)


def written(found: list[Circle], digits: int) -> str:
    return Pen(digits).write(Outline("arcs", arcs_of(found)[0]))


def reach(found: list[Circle], angle: float) -> float:
    return max(x * cos(angle) + y * sin(angle) + r for x, y, r in found)


def reach_of_arcs(arcs: Array, angle: float) -> float:
    x, y, r, _, _ = next(arc for arc in arcs if (angle - arc[3]) % (2 * pi) <= arc[4] + 1e-9)
    return float(x * cos(angle) + y * sin(angle) + r)


@given(circles, st.floats(0, 2 * pi - 1e-6))
def test_the_hull_reaches_as_far_as_the_furthest_circle(found: list[Circle], angle: float) -> None:
    assert reach_of_arcs(arcs_of(found)[0], angle) == pytest.approx(reach(found, angle), abs=1e-4)


@given(circles)
def test_the_arcs_make_exactly_one_turn(found: list[Circle]) -> None:
    assert arcs_of(found)[0][:, 4].sum() == pytest.approx(2 * pi)


@given(st.lists(st.lists(st.tuples(*[st.floats(1, 90)] * 3), min_size=4, max_size=4), min_size=2, max_size=6))
def test_hulls_wrapped_together_are_the_hulls_wrapped_alone(hulls: list[list[Circle]]) -> None:
    for together, alone in zip(arcs_of(*hulls), (arcs_of(hull)[0] for hull in hulls), strict=True):
        assert np.array_equal(together, alone)


def test_a_circle_inside_another_leaves_no_trace() -> None:
    assert arcs_of([(0, 0, 50), (10, 0, 5)])[0].tolist() == arcs_of([(0, 0, 50)])[0].tolist()


def test_two_equal_circles_make_a_capsule() -> None:
    assert arcs_of([(0, 0, 10), (100, 0, 10)])[0][:, 4] == pytest.approx([pi, pi])


def test_rounding_never_makes_a_large_half_circle_swell() -> None:
    for shift in range(20):
        capsule = [(100 + shift / 20, 100.0, 45.0), (300 + shift / 7, 100 + shift, 45.0)]
        points = path_points(written(capsule, 0))
        assert min(x for x, _ in points) == pytest.approx(55 + shift / 20, abs=1.5)


@given(circles)
def test_the_written_path_stays_within_the_circles_extent(found: list[Circle]) -> None:
    for x, y in path_points(written(found, 1)):
        assert min(cx - r for cx, _, r in found) - 0.8 <= x <= max(cx + r for cx, _, r in found) + 0.8
        assert min(cy - r for _, cy, r in found) - 0.8 <= y <= max(cy + r for _, cy, r in found) + 0.8

"""Levels, timing and distance of the shuttle walk agree with each other."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haleward.capacity.shuttle import level, levels, reached, shuttle_distance_m, shuttle_time_s
from haleward.errors import HalewardError, OutOfRange
from tests.formula.arguments import FEW


def test_there_are_twelve_levels_of_a_minute_and_102_shuttles() -> None:
    assert [one.level for one in levels()] == list(range(1, 13))
    assert all(one.shuttles == one.level + 2 for one in levels())
    assert levels()[-1].shuttles_done == 102
    assert all(one.shuttles * one.interval_s == pytest.approx(60) for one in levels())


@FEW
@given(shuttles=st.integers(0, 102))
def test_distance_and_place_return(shuttles: int) -> None:
    where = reached(distance_m=10 * shuttles)
    back = shuttle_distance_m(completed_level=where.completed_level, further_shuttles=where.further_shuttles)
    assert back == 10 * shuttles


@FEW
@given(shuttles=st.integers(0, 101))
def test_every_shuttle_takes_time(shuttles: int) -> None:
    assert shuttle_time_s(distance_m=10 * shuttles) < shuttle_time_s(distance_m=10 * (shuttles + 1)) + 1e-9
    assert shuttle_time_s(distance_m=1020) == 720


def test_a_part_shuttle_does_not_count() -> None:
    assert reached(distance_m=329.9).completed_level == 5
    assert reached(distance_m=330).completed_level == 6


@pytest.mark.parametrize("metres", [-1, 1021, float("nan"), True])
def test_a_distance_outside_the_test_is_refused(metres: float) -> None:
    with pytest.raises(OutOfRange):
        reached(distance_m=metres)


@pytest.mark.parametrize("number", [0, 13])
def test_a_level_outside_the_test_is_refused(number: int) -> None:
    with pytest.raises(OutOfRange):
        level(number)


def test_a_whole_level_of_further_shuttles_does_not_fit() -> None:
    assert shuttle_distance_m(completed_level=7, further_shuttles=9) == 510
    with pytest.raises(HalewardError, match="10 further shuttles after level 7 do not fit; at most 9"):
        shuttle_distance_m(completed_level=7, further_shuttles=10)

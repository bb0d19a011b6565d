"""A change is judged on the raw result, against error first, and only between like walks."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haleward.capacity.change import Change, change, change_of_walks
from haleward.capacity.reference_distance import six_minute_walk_m_enright_1998
from haleward.capacity.shuttle_reference import shuttle_walk_norm_harrison_2013
from haleward.errors import HalewardError, OutOfRange
from haleward.record import WalkTest
from haleward.worksheet import NotComputed
from tests.formula.arguments import FEW

FIRST = WalkTest("six_minute_walk", 410, date(2026, 9, 1), course_m=30)
SECOND = replace(FIRST, distance_m=440, tested_on=date(2026, 11, 1))


SAME: Any = {"slowing_medicine_changed": False, "oxygen_changed": False}


def verdict(difference: float, measure: str, population: str) -> str:
    return change(before=300, after=300 + difference, measure=measure, population=population).verdict


@pytest.mark.parametrize(
    ("difference", "expected"),
    [(46.9, "within_error"), (47, "small"), (69.9, "small"), (70, "meaningful"), (-46, "within_error"), (-70, "worse")],
)
def test_a_shuttle_walk_is_held_against_error_and_difference(difference: float, expected: str) -> None:
    assert verdict(difference, "shuttle_walk", "cardiac_rehabilitation") == expected


@pytest.mark.parametrize(("difference", "expected"), [(24, "below"), (25, "meaningful"), (-25, "worse")])
def test_a_six_minute_walk_after_a_coronary_event_matters_from_25_m(difference: float, expected: str) -> None:
    assert verdict(difference, "six_minute_walk", "coronary") == expected


@pytest.mark.parametrize(("difference", "expected"), [(30, "within_error"), (31, "may_matter"), (33, "meaningful")])
def test_a_difference_inside_the_error_is_never_called_meaningful(difference: float, expected: str) -> None:
    assert verdict(difference, "six_minute_walk", "heart_failure") == expected


@FEW
@given(difference=st.floats(-46.99, 46.99))
def test_no_improvement_is_claimed_inside_measurement_error(difference: float) -> None:
    assert verdict(difference, "shuttle_walk", "cardiac_rehabilitation") == "within_error"


def test_a_difference_at_the_limit_is_met_whatever_the_machine_makes_of_its_decimals() -> None:
    assert change(before=0.9, after=1.0, measure="gait_speed", population="older_adults").verdict == "meaningful"
    assert change(before=1.1, after=1.0, measure="gait_speed", population="older_adults").verdict == "worse"


def test_like_walks_are_compared() -> None:
    found = change_of_walks(FIRST, SECOND, population="coronary", **SAME)
    assert isinstance(found, Change)
    assert (found.difference, found.unit, found.verdict) == (30, "m", "meaningful")
    assert "Gremeaux 2011" in found.source


@pytest.mark.parametrize(
    ("second", "why"),
    [
        (replace(SECOND, course_m=20), "the course differs"),
        (replace(SECOND, course_m=None), "the course differs or is not recorded"),
        (replace(SECOND, aid="stick"), "the walking aid differs"),
        (replace(SECOND, stopped_for="heart-rate limit"), "one of them ended at a heart-rate limit"),
        (replace(SECOND, tested_on=FIRST.tested_on), "the second walk is not after the first"),
        (replace(SECOND, kind="shuttle_walk"), "they are different tests"),
    ],
)
def test_unlike_walks_get_no_verdict(second: WalkTest, why: str) -> None:
    found = change_of_walks(FIRST, second, population="coronary", **SAME)
    assert isinstance(found, NotComputed)
    assert why in found.reason


def test_no_aid_is_the_same_however_it_is_written() -> None:
    assert isinstance(change_of_walks(FIRST, replace(SECOND, aid="None"), population="coronary", **SAME), Change)


def test_a_population_without_a_difference_is_refused_with_those_there_are() -> None:
    with pytest.raises(HalewardError, match="six_minute_walk in coronary"):
        change(before=1, after=2, measure="six_minute_walk", population="children")


@pytest.mark.parametrize("age", [39, 81])
def test_an_age_outside_the_sample_is_refused(age: float) -> None:
    with pytest.raises(OutOfRange, match="it must be from 40 to 80 years"):
        six_minute_walk_m_enright_1998(sex="male", age_y=age, stature_m=1.75, mass_kg=82)


@pytest.mark.parametrize(("age", "limit"), [(40, 765), (49, 765), (50, 730), (69.9, 649), (70, 562), (90, 562)])
def test_the_shuttle_norm_follows_age(age: float, limit: float) -> None:
    assert shuttle_walk_norm_harrison_2013(age_y=age).lower_limit_m == limit

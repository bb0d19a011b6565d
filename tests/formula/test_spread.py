"""A likely range: the formula's own error, what goes in, and what is physically possible."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

import haleward.capacity  # noqa: F401 - registers every formula
from haleward.errors import HalewardError, Inconsistent
from haleward.formula import REGISTRY, Choice, Range, find, formula
from haleward.units import between, likely
from haleward.worksheet import Figure
from tests.formula.arguments import FEW


@pytest.fixture
def registry() -> Iterator[None]:
    """Whatever a test registers is forgotten again."""
    before = dict(REGISTRY)
    yield
    REGISTRY.clear()
    REGISTRY.update(before)


def registered(unit: str = "kg", **more: Any) -> Any:
    """A formula y = 2x + z of that unit."""

    def twice(*, x: float, z: float) -> float:
        """Twice x and z."""
        return 2 * x + z

    ranges = {"x": Range(-100, 100, "1", "X"), "z": Range(-100, 100, "1", "Z")}
    formula(title="Twice", equation="2x + z", unit=unit, ranges=ranges, source="s", trust="definition", **more)(twice)
    return REGISTRY["twice"]


def test_a_standard_error_reaches_to_both_sides(registry: None) -> None:
    assert registered(standard_error=3).figure(x=10, z=0) == Figure(20, "kg", 17, 23)


def test_without_any_error_there_is_no_range(registry: None) -> None:
    assert registered().figure(x=10, z=Figure(0, "1")) == Figure(20, "kg")


def test_a_spread_gives_the_range_for_these_arguments(registry: None) -> None:
    known = registered(standard_error=99, spread=lambda *, x, z: (x, 3 * x + z))
    assert known.figure(x=10, z=1) == Figure(21, "kg", 10, 31)


def test_the_range_of_an_argument_moves_the_result(registry: None) -> None:
    assert registered().figure(x=Figure(10, "1", 8, 11), z=0) == Figure(20, "kg", 16, 22)


def test_independent_errors_add_by_squares(registry: None) -> None:
    known = registered(standard_error=12)
    assert known.figure(x=Figure(20, "1", 18, 24.5), z=Figure(0, "1", -3, 0)) == Figure(
        40, "kg", 40 - math.hypot(4, 3, 12), 40 + math.hypot(9, 0, 12)
    )


def test_an_end_beyond_the_range_is_taken_at_its_limit(registry: None) -> None:
    assert registered().figure(x=Figure(99, "1", 90, 500), z=0) == Figure(198, "kg", 180, 200)
    assert registered("1").figure(x=Figure(-99, "1", -500, -90), z=0) == Figure(-198, "1", -200, -180)


@pytest.mark.parametrize(
    ("unit", "bounds", "expected"),
    [
        ("kg", None, (0, 5)),
        ("%", None, (-1, 5)),
        ("bpm", (None, None), (-1, 5)),
        ("kg", (1, None), (1, 5)),
        ("kg", (None, 4), (-1, 4)),
        ("kg", (3, 1), (2, 2)),
    ],
)
def test_a_range_stays_within_what_is_possible_and_holds_its_value(
    registry: None, unit: str, bounds: Any, expected: tuple[float, float]
) -> None:
    figure = registered(unit, standard_error=3, bounds=bounds).figure(x=1, z=0)
    assert (figure.low, figure.high) == expected


def test_a_value_below_nothing_keeps_its_own_place(registry: None) -> None:
    assert registered(standard_error=1).figure(x=-5, z=0) == Figure(-10, "kg", -10, -9)


def test_an_end_that_contradicts_another_argument_is_refused() -> None:
    with pytest.raises(Inconsistent, match="not above the resting"):
        find("reserve_target_bpm").figure(resting_bpm=100, maximum_bpm=Figure(110, "bpm", 92, 128), fraction=0.5)


@FEW
@given(rest=st.floats(40, 80), top=st.floats(120, 200), error=st.floats(0, 20), share=st.floats(0, 1))
def test_a_target_is_as_uncertain_as_its_share_of_the_maximum(
    rest: float, top: float, error: float, share: float
) -> None:
    maximum = Figure(top, "bpm", top - error, top + error)
    target = find("reserve_target_bpm").figure(resting_bpm=rest, maximum_bpm=maximum, fraction=share)
    assert target.low == pytest.approx(target.value - share * error)
    assert target.high == pytest.approx(target.value + share * error)


def test_a_step_and_a_worksheet_carry_the_range_of_input_and_result() -> None:
    maximum = Figure(160, "bpm", 150, 170)
    sheet = find("reserve_target_bpm").worksheet(resting_bpm=60, maximum_bpm=maximum, fraction=0.5)
    (step,) = sheet.steps
    assert (step.result, step.low, step.high) == (110, 105, 115)
    assert [(one.value, one.low, one.high) for one in step.inputs] == [
        (60, None, None),
        (160, 150, 170),
        (0.5, None, None),
    ]
    assert sheet.result == "about 110 bpm, likely 105 to 115"
    assert sheet.figure == Figure(110, "bpm", 105, 115)


def test_a_wrong_or_missing_argument_of_a_figure_is_named() -> None:
    with pytest.raises(HalewardError, match=r"also needs maximum_bpm \(60 to 230 bpm\), fraction \(0 to 1\)\.$"):
        find("reserve_target_bpm").figure(resting_bpm=60)
    with pytest.raises(
        HalewardError, match=r"has no argument 'fractoin'; did you mean fraction\? It takes resting_bpm"
    ):
        find("reserve_target_bpm").figure(resting_bpm=60, maximum_bpm=160, fractoin=1)


@pytest.mark.parametrize(
    ("figure", "text"),
    [
        (Figure(5.06, "METs", 3.94, 6.27), "about 5.1 METs, likely 3.9 to 6.3"),
        (Figure(78.9, "%", 70.2, 88), "about 79%, likely 70 to 88%"),
        (Figure(0.4, "1", 0.3, 0.5), "about 0.40, likely 0.30 to 0.50"),
        (Figure(62, "bpm"), "62 bpm"),
        (Figure(62, "bpm", 60, None), "62 bpm"),
        (Figure(62, "bpm", None, 64), "62 bpm"),
    ],
)
def test_a_figure_is_said_with_its_range(figure: Figure, text: str) -> None:
    assert likely(figure) == text


def test_a_range_alone_is_said_without_its_unit() -> None:
    assert between(3.94, 6.27, "METs") == "3.9 to 6.3"
    assert between(70, 88, "%") == "70 to 88%"


def test_a_choice_goes_in_beside_a_figure() -> None:
    known = find("maximum_bpm_heart_failure_keteyian_2012")
    assert isinstance(known.ranges["mode"], Choice)
    figure = known.figure(age_y=60, resting_bpm=Figure(70, "bpm", 60, 80), mode="cycle")
    assert figure.value == 119 + 35 - 30 - 5
    assert figure.high == pytest.approx(figure.value + math.hypot(5, 18))
    assert known.call(age_y=60, resting_bpm=70, mode="treadmill") == 119 + 35 - 30

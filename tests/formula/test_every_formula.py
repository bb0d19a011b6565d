"""What must hold of every registered formula: finite or refused, never outside its ranges, arrays like numbers."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import haleward.capacity  # noqa: F401 - registers every formula
from haleward.errors import HalewardError
from haleward.formula import REGISTRY, Choice, Range
from tests.formula.arguments import answer, beyond, drawn

EVERY = pytest.mark.parametrize("name", sorted(REGISTRY))
SOME = settings(max_examples=4, deadline=None)  # many formulas, so few examples of each


@EVERY
@SOME
@given(data=st.data())
def test_arguments_within_the_ranges_give_a_finite_result_or_a_refusal(name: str, data: st.DataObject) -> None:
    known = REGISTRY[name]
    found = answer(known, drawn(data, known))
    assert found is None or math.isfinite(found)


@EVERY
@SOME
@given(data=st.data())
def test_one_argument_outside_its_range_is_refused(name: str, data: st.DataObject) -> None:
    known = REGISTRY[name]
    arguments = drawn(data, known)
    key = data.draw(st.sampled_from(sorted(known.ranges)))
    arguments[key] = data.draw(beyond(known.ranges[key]), label=f"{key}, refused")
    with pytest.raises(HalewardError):
        known.call(**arguments)


@EVERY
@SOME
@given(data=st.data())
def test_an_array_gives_what_its_numbers_and_words_give(name: str, data: st.DataObject) -> None:
    known = REGISTRY[name]
    people = [drawn(data, known) for _ in range(3)]
    columns = {key: np.array([one[key] for one in people]) for key in known.ranges}
    alone = [answer(known, one) for one in people]
    if None in alone:
        with pytest.raises(HalewardError):
            known.over(**columns)
        return
    together = known.over(**columns)
    assert together.shape == (3,)
    assert list(together) == pytest.approx(alone, rel=1e-12, abs=1e-12)


@EVERY
@SOME
@given(data=st.data())
def test_one_number_stands_for_a_whole_array(name: str, data: st.DataObject) -> None:
    known = REGISTRY[name]
    arguments = drawn(data, known)
    alone = answer(known, arguments)
    first = next(iter(known.ranges))
    spread: dict[str, Any] = {**arguments, first: np.array([[arguments[first]] * 2] * 3)}
    if alone is None:
        with pytest.raises(HalewardError):
            known.over(**spread)
        return
    together = known.over(**spread)
    assert together.shape == (3, 2)
    assert together == pytest.approx(alone, rel=1e-12, abs=1e-12)


@EVERY
@SOME
@given(data=st.data())
def test_a_likely_range_holds_its_value_and_is_finite(name: str, data: st.DataObject) -> None:
    known = REGISTRY[name]
    arguments = drawn(data, known)
    value = answer(known, arguments)
    if value is None:
        return
    figure = known.figure(**arguments)
    assert figure.value == value
    assert (figure.low is None) == (figure.high is None)
    if figure.low is not None and figure.high is not None:
        assert math.isfinite(figure.low)
        assert math.isfinite(figure.high)
        assert figure.low <= figure.value <= figure.high


@EVERY
def test_a_fault_in_an_array_names_its_place(name: str) -> None:
    known = REGISTRY[name]
    for key, limits in known.ranges.items():
        wrong: Any
        if isinstance(limits, Choice):
            wrong = np.array([limits.options[0], "nobody", "nobody"])
        else:
            wrong = np.array([limits.low, limits.high + 1, limits.high + 1])
        with pytest.raises(HalewardError, match=r"\(at index 1; 2 of 3 values are wrong\)"):
            limits.check(wrong)
        with pytest.raises(HalewardError, match=r"at index 1; 2 of 3"):
            known.over(**{other: _allowed(one) for other, one in known.ranges.items() if other != key}, **{key: wrong})


def _allowed(limits: Range | Choice) -> Any:
    return limits.options[0] if isinstance(limits, Choice) else limits.low

"""Many people at once: every answer is the one that each person's facts alone give."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haleward.errors import Inconsistent
from haleward.safety.conditions import COMPARISONS, evaluate
from haleward.safety.vector import Columns, evaluate_all

NAMES = ("a", "b", "c", "d")
NUMBERS = st.one_of(
    st.integers(-3, 3),
    st.integers(-(2**53), 2**53),
    st.floats(-3, 3),
    st.floats(allow_nan=False),
    st.just(float("nan")),
)
CODES = st.sampled_from(("x", "y", "", "1", "True"))
VALUES = st.one_of(st.booleans(), NUMBERS, CODES, st.none())
LIMITS = st.one_of(
    st.integers(-3, 3),
    st.floats(-3, 3),
    st.fixed_dictionaries(
        {"input": st.sampled_from(NAMES)}, optional={"times": st.floats(-2, 2), "plus": st.integers(-2, 2)}
    ),
)
LEAVES = st.fixed_dictionaries(
    {"input": st.sampled_from(NAMES)},
    optional={
        **dict.fromkeys(COMPARISONS, LIMITS),
        "is": st.one_of(st.booleans(), st.integers(-3, 3), st.floats(-3, 3), CODES),
        "one_of": st.lists(st.one_of(st.booleans(), st.integers(-3, 3), CODES), max_size=3),
        "known": st.booleans(),
    },
)
CONDITIONS = st.recursive(
    LEAVES,
    lambda inner: st.one_of(
        st.fixed_dictionaries({"all": st.lists(inner, max_size=3)}),
        st.fixed_dictionaries({"any": st.lists(inner, max_size=3)}),
        st.fixed_dictionaries({"not": inner}),
    ),
    max_leaves=8,
)


def facts_of(values: Any) -> Any:
    """Facts of one person, with names left out as well as given as ``None``."""
    return st.dictionaries(st.sampled_from(NAMES), values, max_size=len(NAMES))


@given(condition=CONDITIONS, people=st.lists(facts_of(VALUES), max_size=6))
def test_every_condition_says_of_many_what_it_says_of_each(condition: Any, people: list[Any]) -> None:
    expected: list[bool | None] = []
    try:
        for facts in people:
            expected.append(evaluate(condition, facts))
    except Inconsistent:
        with pytest.raises(Inconsistent):
            evaluate_all(condition, Columns(people))
        return
    truth = evaluate_all(condition, Columns(people))
    assert [truth.at(place) for place in range(len(people))] == expected


@given(
    condition=CONDITIONS, people=st.lists(facts_of(st.one_of(st.integers(-3, 3), st.none())), min_size=1, max_size=6)
)
def test_of_numbers_and_gaps_no_condition_raises_and_all_answers_agree(condition: Any, people: list[Any]) -> None:
    truth = evaluate_all(condition, Columns(people))
    assert [truth.at(place) for place in range(len(people))] == [evaluate(condition, facts) for facts in people]
    assert not (truth.true & truth.false).any()


def test_a_text_where_a_number_is_compared_is_told_in_one_sentence() -> None:
    with pytest.raises(Inconsistent, match=r"^a is 'x'; it must be a number\.$"):
        evaluate_all({"input": "a", "over": 1}, Columns([{"a": 2}, {"a": "x"}]))


def test_yes_never_equals_one() -> None:
    truth = evaluate_all({"input": "a", "is": 1}, Columns([{"a": True}, {"a": 1}, {"a": 1.0}, {}]))
    assert [truth.at(place) for place in range(4)] == [False, True, True, None]

"""The activity questionnaire by item number: an unknown item is never a no, and the British form is another one."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from haleward.capacity.activity_status import ITEMS, ActivityStatus, activity_status, points_of
from haleward.errors import HalewardError
from haleward.physiology.tables import rows
from haleward.worksheet import NotComputed

ANSWERS = st.fixed_dictionaries({item: st.sampled_from([True, False, None]) for item in ITEMS})
EXAMPLE = {item: item in (1, 2, 3, 4, 6, 7) for item in ITEMS}


def scored(answers: dict[int, bool | None]) -> ActivityStatus:
    found = activity_status(answers)
    assert isinstance(found, ActivityStatus)
    return found


def test_the_worked_example_is_scored_with_its_error() -> None:
    found = scored(dict(EXAMPLE))
    assert found.least_points == found.most_points == pytest.approx(18.95)
    assert found.open_items == found.ask == ()
    assert found.vo2_ml_per_kg_min is not None
    assert found.vo2_ml_per_kg_min.value == pytest.approx(17.7485)
    assert found.vo2_ml_per_kg_min.high == pytest.approx(17.7485 + 6.8)
    assert found.vo2_ml_per_kg_min.low == pytest.approx(17.7485 - 6.8)
    assert found.worksheet.result == (
        "18.95 points; about 17.7 mL/kg/min, likely 10.9 to 24.5; about 5.1 METs, likely 3.1 to 7.0"
    )
    assert found.worksheet.steps[0].inputs[0].value == "1, 2, 3, 4, 6, 7"
    assert found.worksheet.figure == found.vo2_ml_per_kg_min
    assert found.least_met == found.most_met == pytest.approx(17.7485 / 3.5)


def test_the_limits_of_the_estimate_are_told() -> None:
    told = " ".join(scored(dict(EXAMPLE)).worksheet.cautions)
    assert "can only lie between 2.7 and 9.9 METs" in told
    assert "about ±13 mL/kg/min" in told
    assert "the estimate plus and minus 6.8 mL/kg/min" in told
    nobody = scored(dict.fromkeys(ITEMS, False))
    assert nobody.worksheet.steps[0].inputs[0].value == "none"
    assert nobody.least_points == 0


def test_an_open_item_gives_a_range_and_no_estimate() -> None:
    found = scored({**EXAMPLE, 7: None, 12: None})
    assert found.open_items == (7, 12)
    assert (found.least_points, found.most_points) == (pytest.approx(15.45), pytest.approx(26.45))
    assert found.energy_met is None
    assert found.vo2_ml_per_kg_min is None
    assert found.worksheet.figure is None
    assert found.worksheet.result == "15.45 to 26.45 points; 4.6 to 6.0 METs"
    assert found.worksheet.cautions[0] == (
        "No answer to: item 7, 12. An item without an answer is not a no, so only the range is known."
    )
    assert found.ask == ("Open items: 7, 12. What are the answers?",)


def test_an_item_left_out_is_open() -> None:
    assert scored({item: True for item in ITEMS if item != 9}).open_items == (9,)


@pytest.mark.parametrize("answers", [{}, dict.fromkeys(ITEMS)])
def test_without_an_answer_nothing_is_computed(answers: dict[int, bool | None]) -> None:
    found = activity_status(answers)
    assert isinstance(found, NotComputed)
    assert found.reason == "No item of the activity questionnaire is answered."
    assert found.ask == ("Open items: 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12. What are the answers?",)


def test_the_british_variant_is_an_instrument_of_its_own() -> None:
    found = activity_status(dict(EXAMPLE), variant="british")
    assert isinstance(found, NotComputed)
    assert "score it on its own sheet" in found.reason


@pytest.mark.parametrize("item", [0, 13])
def test_a_number_that_is_no_item_is_named(item: int) -> None:
    with pytest.raises(HalewardError, match=f"no item {item}; its items are 1 to 12"):
        activity_status({item: True})
    with pytest.raises(HalewardError, match="no item"):
        points_of(item)


def test_the_table_holds_numbers_and_no_wording() -> None:
    assert set(rows("activity_status_items")[0]) == {"item", "points", "source", "trust"}


@settings(max_examples=40)
@given(answers=ANSWERS)
def test_the_range_holds_every_way_of_answering_what_is_open(answers: dict[int, bool | None]) -> None:
    found = activity_status(answers)
    if isinstance(found, NotComputed):
        assert set(answers.values()) == {None}
        return
    assert 0 <= found.least_points <= found.most_points <= 58.2 + 1e-9
    assert 9.6 / 3.5 - 1e-9 <= found.least_met <= found.most_met <= 34.63 / 3.5
    for guess in (True, False):
        filled = scored({item: guess if state is None else state for item, state in answers.items()})
        assert found.least_points - 1e-9 <= filled.least_points <= found.most_points + 1e-9


@settings(max_examples=40)
@given(answers=ANSWERS, item=st.sampled_from(ITEMS))
def test_one_more_yes_never_means_fewer_points(answers: dict[int, bool | None], item: int) -> None:
    closed: dict[int, bool | None] = {one: bool(state) for one, state in answers.items()}
    less, more = scored({**closed, item: False}), scored({**closed, item: True})
    assert more.least_points == pytest.approx(less.least_points + points_of(item))
    assert more.least_met > less.least_met

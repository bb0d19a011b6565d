"""Conditions: the grammar, three-valued logic and plain sentences."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haleward.errors import Inconsistent
from haleward.safety.conditions import evaluate, inputs_of, to_sentence

HIGH = {"input": "sbp_rest", "over": 180, "unit": "mmHg"}
ILL = {"input": "acute_illness", "is": True}
ANSWERS = st.sampled_from([True, False, None])


def constant(answer):
    """A condition with a known answer for the facts {"acute_illness": True}."""
    if answer is None:
        return {"input": "pregnant", "is": True}
    return {"input": "acute_illness", "is": answer}


FACTS = {"acute_illness": True}


def test_a_comparison_is_unknown_without_its_input():
    assert evaluate(HIGH, {}) is None
    assert evaluate(HIGH, {"sbp_rest": None}) is None
    assert evaluate(ILL, {}) is None


@pytest.mark.parametrize(
    ("test", "below", "at", "above"),
    [
        ("over", False, False, True),
        ("under", True, False, False),
        ("at_least", False, True, True),
        ("at_most", True, True, False),
    ],
)
def test_each_comparison_is_right_on_both_sides_of_its_limit(test, below, at, above):
    leaf = {"input": "sbp_rest", test: 180, "unit": "mmHg"}
    assert [evaluate(leaf, {"sbp_rest": value}) for value in (179.9, 180, 180.1)] == [below, at, above]


def test_several_tests_in_one_comparison_must_all_hold():
    band = {"input": "glucose_mmol", "at_least": 4.0, "under": 5.0, "unit": "mmol/L"}
    assert [evaluate(band, {"glucose_mmol": value}) for value in (3.9, 4, 4.99, 5)] == [False, True, True, False]


def test_a_limit_may_be_another_input_times_and_plus_a_number():
    crowded = {"input": "participants", "over": {"input": "staff_present", "times": 5}, "unit": "count"}
    assert evaluate(crowded, {"participants": 11, "staff_present": 2}) is True
    assert evaluate(crowded, {"participants": 10, "staff_present": 2}) is False
    assert evaluate(crowded, {"participants": 10}) is None
    near = {"input": "hr_ex", "over": {"input": "icd_detect_bpm", "plus": -10}, "unit": "bpm"}
    assert evaluate(near, {"hr_ex": 151, "icd_detect_bpm": 160}) is True
    assert evaluate(near, {"hr_ex": 150, "icd_detect_bpm": 160}) is False


def test_known_is_never_unknown():
    assert evaluate({"input": "spo2_target_low", "known": False}, {}) is True
    assert evaluate({"input": "spo2_target_low", "known": True}, {}) is False
    assert evaluate({"input": "spo2_target_low", "known": True}, {"spo2_target_low": 88}) is True


def test_one_of_and_is_compare_codes():
    assert evaluate({"input": "event_type", "one_of": ["mi", "pci"]}, {"event_type": "pci"}) is True
    assert evaluate({"input": "event_type", "one_of": ["mi", "pci"]}, {"event_type": "cabg"}) is False
    assert evaluate({"input": "event_type", "is": "mi"}, {}) is None


def test_yes_is_never_the_number_one():
    one_shock = {"input": "icd_shocks_24h", "is": 1}
    assert evaluate(one_shock, {"icd_shocks_24h": 1}) is True
    assert evaluate(one_shock, {"icd_shocks_24h": True}) is False
    with pytest.raises(Inconsistent, match="sbp_rest is True; it must be a number"):
        evaluate(HIGH, {"sbp_rest": True})


def test_a_text_where_a_number_is_compared_is_an_error_that_names_the_input():
    with pytest.raises(Inconsistent, match="sbp_rest is 'high'"):
        evaluate(HIGH, {"sbp_rest": "high"})


@given(st.lists(ANSWERS, min_size=1))
def test_all_is_false_when_any_is_false_and_unknown_before_true(answers):
    expected = False if False in answers else None if None in answers else True
    assert evaluate({"all": [constant(answer) for answer in answers]}, FACTS) is expected


@given(st.lists(ANSWERS, min_size=1))
def test_any_is_true_when_any_is_true_and_unknown_before_false(answers):
    expected = True if True in answers else None if None in answers else False
    assert evaluate({"any": [constant(answer) for answer in answers]}, FACTS) is expected


@given(ANSWERS)
def test_not_leaves_unknown_unknown(answer):
    expected = None if answer is None else not answer
    assert evaluate({"not": constant(answer)}, FACTS) is expected


def test_inputs_are_listed_once_and_in_order():
    condition = {"all": [HIGH, {"not": ILL}, {"input": "sbp_sit", "over": {"input": "sbp_stand", "plus": 20}}, HIGH]}
    assert inputs_of(condition) == ("sbp_rest", "acute_illness", "sbp_sit", "sbp_stand")


def test_a_condition_reads_as_a_sentence():
    assert to_sentence(HIGH) == "Resting systolic blood pressure is over 180 mmHg."
    fall = {"input": "sbp_sit", "over": {"input": "sbp_stand", "plus": 20}, "unit": "mmHg"}
    assert to_sentence({"all": [fall, {"input": "postural_symptoms", "is": True}]}) == (
        "Sitting systolic blood pressure is over standing systolic blood pressure plus 20 mmHg"
        " and symptoms on standing up: yes."
    )
    nested = {"all": [{"any": [HIGH, ILL]}, {"not": ILL}]}
    assert to_sentence(nested) == (
        "(resting systolic blood pressure is over 180 mmHg or acute illness: yes)"
        " and it is not so that acute illness: yes."
    )
    event = to_sentence({"input": "event_type", "one_of": ["mi", "evar"]})
    assert event == "Heart event is heart attack or aortic stent graft (EVAR)."
    assert to_sentence({"input": "nyha", "at_least": 3, "unit": "NYHA class"}) == "NYHA class today is at least 3."
    assert to_sentence({"input": "icd_detect_bpm", "known": False}) == (
        "Lowest detection rate of the device is not known."
    )
    assert to_sentence({"input": "participants", "over": {"input": "staff_present", "times": 5}, "unit": "count"}) == (
        "People in the class is over 5 times trained staff present."
    )

"""What differs between two protocols is told in sentences, with the way it goes."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haleward.safety.compare import compare
from haleward.safety.compare_conditions import way_of
from haleward.safety.conditions import evaluate
from haleward.safety.edits import Edit, NewRule, Part, Retirement, apply
from haleward.safety.protocol import DEFAULT_FILE, default_protocol, read_protocol

TEXT = DEFAULT_FILE.read_text(encoding="utf-8")
OLD = read_protocol(TEXT, name="old")


def changes(*edits: Any) -> dict[tuple[str, str, str], Any]:
    """The changes that edits make, by section, id and key."""
    found = compare(OLD, read_protocol(apply(TEXT, edits), name="new"))
    return {(one.section, one.id, one.what): one for one in found}


def test_a_protocol_does_not_differ_from_itself() -> None:
    assert compare(OLD, OLD) == ()


def test_a_lowered_limit_is_stricter_and_told_with_both_conditions() -> None:
    found = changes(Edit("rule/R032/condition/over", 95))[("rule", "R032", "condition")]
    assert found.direction == "stricter"
    assert found.sentence == (
        "Rule R032 now asks: Resting heart rate is over 95 bpm. Before: Resting heart rate is over 100 bpm."
    )


@pytest.mark.parametrize(
    ("edit", "key", "direction"),
    [
        (Edit("rule/R027/condition/under", 85), ("rule", "R027", "condition"), "milder"),
        (Edit("rule/R018/level", "block"), ("rule", "R018", "level"), "stricter"),
        (Edit("rule/R018/urgency", "emergency"), ("rule", "R018", "urgency"), "stricter"),
        (Edit("rule/R018/topic", ""), ("rule", "R018", "topic"), "other"),
        (Edit("risk_item/L05/condition/at_least", 55), ("risk", "L05", "condition"), "stricter"),
        (Edit("risk_item/M03/condition/under", 45), ("risk", "M03", "condition"), "milder"),
        (Edit("placement_rule/P2/condition/under", 12), ("placement", "P2", "condition"), "stricter"),
        (Edit("intensity/device_margin_bpm", 10), ("intensity", "", "device_margin_bpm"), "milder"),
        (Edit("intensity/epoch_medicines", "beta_blocker"), ("intensity", "", "epoch_medicines"), "milder"),
        (
            Edit("progression/self_report_raises_load", value=True),
            ("progression", "", "self_report_raises_load"),
            "milder",
        ),
        (Edit("dose/frail_march", value=False), ("dose", "", "frail_march"), "milder"),
        (Edit("dose/frail_movements_most", 1), ("dose", "", "frail_movements_most"), "stricter"),
        (Edit("dose/weak_heart_effort_high", 5), ("dose", "", "weak_heart_effort_high"), "milder"),
        (Edit("dose/weak_heart_warm_up_more_minutes", 0), ("dose", "", "weak_heart_warm_up_more_minutes"), "milder"),
        (Retirement("R095", "why"), ("rule", "R095", "removed"), "milder"),
        (Retirement("R095", "why"), ("gate", "hall", "strength"), "milder"),
        (Edit("wording/note_professional/text", "Ask."), ("wording", "note_professional", "added"), "other"),
    ],
)
def test_each_change_says_which_way_it_goes(edit: Any, key: tuple[str, str, str], direction: str) -> None:
    assert changes(edit)[key].direction == direction


def test_a_new_rule_is_one_stricter_change() -> None:
    part = Part("nyha", "at_least", 2, "NYHA class")
    found = changes(NewRule((part,), "block", "same_day", "Ask.", ("S00",), "common practice, no source"))
    assert [(one.what, one.direction) for one in found.values()] == [("added", "stricter")]


def test_other_jurisdictions_differ_in_whole_sentences() -> None:
    for change in compare(default_protocol("UK"), default_protocol("US")):
        assert change.sentence[0].isupper()
        assert change.sentence.endswith((".", "?", "!", ".”", "?”", "!”"))
        assert ".”." not in change.sentence
        assert "{" not in change.sentence


@pytest.mark.parametrize(
    ("advice", "end"), [("Ring us first.", "“Ring us first.”"), ("Ring us first", "“Ring us first”.")]
)
def test_a_sentence_that_ends_in_a_quotation_stops_once(advice: str, end: str) -> None:
    found = changes(Edit("rule/R072/advice", advice))[("rule", "R072", "advice")]
    assert found.sentence.endswith(f"is now {end}")


LEAF = st.fixed_dictionaries(
    {"input": st.sampled_from(("a", "b"))},
    optional={
        "over": st.integers(0, 3),
        "at_most": st.integers(0, 3),
        "one_of": st.lists(st.integers(0, 3), min_size=1),
    },
)
CONDITION = st.recursive(
    LEAF,
    lambda inner: st.one_of(
        st.fixed_dictionaries({"all": st.lists(inner, min_size=1, max_size=3)}),
        st.fixed_dictionaries({"any": st.lists(inner, min_size=1, max_size=3)}),
        st.fixed_dictionaries({"not": inner}),
    ),
    max_leaves=5,
)
FACTS = st.dictionaries(st.sampled_from(("a", "b")), st.integers(0, 4))


@given(old=CONDITION, new=CONDITION, facts=st.lists(FACTS, min_size=1, max_size=8))
def test_a_wider_condition_is_true_wherever_the_old_one_was(old: Any, new: Any, facts: list[Any]) -> None:
    way = way_of(old, new)
    for one in facts:
        if way in ("wider", "same"):
            assert evaluate(new, one) is True or evaluate(old, one) is not True
        if way in ("narrower", "same"):
            assert evaluate(old, one) is True or evaluate(new, one) is not True


@given(condition=CONDITION, extra=CONDITION, facts=st.lists(FACTS, min_size=1, max_size=8))
def test_a_part_more_makes_any_wider_and_all_narrower(condition: Any, extra: Any, facts: list[Any]) -> None:
    assert way_of({"any": [condition]}, {"any": [condition, extra]}) == "wider"
    assert way_of({"all": [condition]}, {"all": [condition, extra]}) == "narrower"

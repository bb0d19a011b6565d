"""Placement: the most supported posture any rule gives, and never free-standing on missing tests."""

import csv
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haleward.record import POSTURES, FunctionTests, Record, Restriction
from haleward.safety.facts import facts_of
from haleward.safety.placement import place
from haleward.safety.protocol import default_protocol

PROTOCOL = default_protocol()
DAY = date(2026, 2, 3)
PERSON = Record("p1", "Ada", DAY)
with (Path(__file__).parent.parent / "checks" / "safety_placement.csv").open(encoding="utf-8") as file:
    ROWS = list(csv.DictReader(file))


def facts_in(text):
    pairs = [pair.split("=") for pair in text.split(";") if pair]
    return {name: {"yes": True, "no": False}.get(value, value) for name, value in pairs}


def numbers(facts):
    return {name: value if isinstance(value, bool) else float(value) for name, value in facts.items()}


@pytest.mark.parametrize("row", ROWS, ids=[row["id"] for row in ROWS])
def test_a_published_case_is_placed_as_its_rules_say(row):
    facts = numbers(facts_in(row["facts"]))
    if facts.get("chair_stands_30s") == 0:
        facts["rises_without_arms"] = False
    placed = place(PERSON, facts, PROTOCOL)
    assert (placed.posture, placed.narrow_base_posture) == (row["posture"], row["narrow_base"])
    assert placed.balance_emphasis == (row["balance_emphasis"] == "yes")
    assert list(placed.fired_rule_ids) == row["fired_rules"].split()


def test_missing_tests_are_asked_for_and_said_in_the_basis():
    placed = place(PERSON, {}, PROTOCOL)
    assert placed.ask == ("rises_without_arms", "tandem_s", "falls_12m")
    assert "Not tested: stands up from a chair without using the arms" in placed.basis
    assert place(PERSON, {"rises_without_arms": True, "falls_12m": 0}, PROTOCOL).ask == ("tandem_s",)


def test_the_basis_names_each_rule_and_whether_it_is_published():
    placed = place(PERSON, {"rises_without_arms": True, "tandem_s": 4, "sppb_points": 5, "falls_12m": 0}, PROTOCOL)
    assert "P4:" in placed.basis
    assert "(S)" in placed.basis
    assert "(S and C)" in placed.basis
    assert {step.rule_id: step.result for step in placed.worksheet.steps}["P4"] == "applies"


def test_a_restriction_on_balance_gives_hand_support_until_it_is_released():
    tests = FunctionTests(tested_on=DAY, rises_without_arms=True, tandem_s=10)
    held = Restriction("balance", "Hold on", "nurse", date(2026, 1, 1), date(2026, 3, 1))
    steady = Record("p1", "Ada", DAY, tests=tests, restrictions=(held,), answers={"falls_12m": 0})
    placed = place(steady, facts_of(steady, today=DAY), PROTOCOL)
    assert placed.posture == placed.narrow_base_posture == "hand_supported"
    assert placed.fired_rule_ids == ("P10",)


TESTS = st.fixed_dictionaries(
    {},
    optional={
        "rises_without_arms": st.booleans(),
        "tandem_s": st.floats(0, 30),
        "side_by_side_s": st.floats(0, 30),
        "sppb_points": st.integers(0, 12),
        "gait_m_per_s": st.floats(0, 2),
        "up_and_go_s": st.floats(4, 60),
        "falls_12m": st.integers(0, 5),
        "new_dizziness": st.booleans(),
        "balance_restriction": st.booleans(),
    },
)


@given(TESTS)
def test_nobody_stands_freely_without_a_tandem_stance_and_a_chair_rise(facts):
    placed = place(PERSON, facts, PROTOCOL)
    if "rises_without_arms" not in facts:
        assert placed.posture == "seated"
    if "tandem_s" not in facts:
        assert placed.posture != "standing"
        assert placed.narrow_base_posture != "standing"


@given(TESTS, st.sampled_from(["rises_without_arms", "tandem_s", "falls_12m"]))
def test_forgetting_a_needed_test_never_gives_less_support(facts, name):
    full = {"rises_without_arms": True, "tandem_s": 12.0, "falls_12m": 0, **facts}
    less = {key: value for key, value in full.items() if key != name}
    before, after = place(PERSON, full, PROTOCOL), place(PERSON, less, PROTOCOL)
    assert POSTURES.index(after.posture) <= POSTURES.index(before.posture)
    assert after.narrow_base_posture != "standing"


@given(TESTS)
def test_a_narrow_base_never_has_less_support_than_the_rest(facts):
    placed = place(PERSON, facts, PROTOCOL)
    assert POSTURES.index(placed.narrow_base_posture) <= POSTURES.index(placed.posture)


def test_the_basis_speaks_of_missing_tests_only_when_they_decided():
    assert "Not tested: tandem stance" in place(PERSON, {"rises_without_arms": True, "falls_12m": 0}, PROTOCOL).basis
    seated_by_rule = place(PERSON, {"rises_without_arms": False}, PROTOCOL)
    assert seated_by_rule.basis == "P1: Cannot rise from a chair without arms or help. (C)"
    settled = place(PERSON, {"rises_without_arms": True, "tandem_s": 12, "falls_12m": 0}, PROTOCOL)
    assert settled.basis.startswith("No rule asks for support")

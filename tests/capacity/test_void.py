"""What voids a method is data: every row is sound, unknown is asked, and nothing unknown is taken for a no."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from string import Formatter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haleward.capacity import void
from haleward.capacity.void import Facts, fact_names, facts_of, methods, why_void
from haleward.errors import HalewardError
from haleward.formula import REGISTRY
from haleward.physiology.tables import rows, texts
from haleward.record import Device, Event, Medicine, Record
from tests.formula.arguments import FEW

CLEAR = dict.fromkeys(fact_names(), False)
# Tests that are more than one formula, and the table of METs.
TESTS = {
    "step_test",
    "cycle_stages",
    "cycle_one_load",
    "recovery_pulse",
    "recovery_count",
    "activity_status",
    "two_minute_step",
    "endurance_shuttle",
    "six_minute_walk",
    "shuttle_walk",
    "chair_stand_30s",
    "sppb",
    "met_table_2024",
}
BY_HEART_RATE = ("step_test", "cycle_stages", "cycle_one_load", "recovery_pulse", "recovery_count")
PERSON = Record(
    "p-1", "Wren", date(2026, 11, 2), medicines=(), rhythm="sinus", device=Device("none"), events=(Event("mi", None),)
)


def test_every_row_names_what_exists() -> None:
    wording = texts("capacity_wording")
    for row in rows("method_void"):
        assert set(row["methods"].split()) <= TESTS | set(REGISTRY), row
        assert row["fact"] in (*fact_names(), "age"), row
        assert row["effect"] in ("void", "caution"), row
        assert row["source"], row
        assert row["trust"], row
        holes = {name for _, name, _, _ in Formatter().parse(wording[row["text"]]) if name}
        assert holes <= ({"age", "low", "high"} if row["fact"] == "age" else set()), row
    for row in rows("void_facts"):
        assert row["of"] in ("test", "medicine", "rhythm", "device", "event"), row
        assert wording[row["ask"]].endswith("?"), row


@pytest.mark.parametrize("method", BY_HEART_RATE)
@pytest.mark.parametrize(
    "fact", ["rate_slowing_medicine", "atrial_fibrillation", "other_rhythm", "paced", "pump", "transplant"]
)
def test_a_heart_rate_that_does_not_follow_effort_voids_every_method_that_reads_it(method: str, fact: str) -> None:
    found = why_void(method, {**CLEAR, fact: True}, age_y=22)
    assert found.usable is False
    assert len(found.void) == 1
    assert why_void(method, CLEAR, age_y=22).usable is True
    unknown = why_void(method, {**CLEAR, fact: None}, age_y=22)
    assert unknown.usable is None
    assert len(unknown.ask) == len({row["ask"] for row in rows("void_facts") if row["fact"] == fact})


@FEW
@given(
    facts=st.dictionaries(st.sampled_from(fact_names()), st.sampled_from([True, False, None])),
    method=st.sampled_from(methods()),
)
def test_an_unknown_fact_is_never_a_no(facts: dict[str, bool | None], method: str) -> None:
    found = why_void(method, facts, age_y=60)
    filled = why_void(method, {**CLEAR, **{name: state for name, state in facts.items() if state}}, age_y=60)
    assert found.void == filled.void
    assert found.usable in (filled.usable, None)
    voiding = {
        row["fact"]
        for row in rows("method_void")
        if method in row["methods"].split() and row["effect"] == "void" and row["fact"] != "age"
    }
    assert bool(found.ask) is any(facts.get(fact) is None for fact in voiding)


def _with(**changes: object) -> Facts:
    return facts_of(replace(PERSON, **changes))  # type: ignore[arg-type]


def test_facts_are_read_from_the_record() -> None:
    assert set(facts_of(PERSON).values()) == {False}
    assert _with(medicines=(Medicine("beta_blocker", "a tablet"),))["rate_slowing_medicine"] is True
    assert _with(medicines=(Medicine("statin", "a tablet"),))["rate_slowing_medicine"] is False
    assert _with(rhythm="atrial_fibrillation")["atrial_fibrillation"] is True
    assert _with(rhythm="other")["other_rhythm"] is True
    assert _with(rhythm="paced")["paced"] is True
    assert _with(device=Device("crt_d"))["paced"] is True
    assert _with(device=Device("icd"))["paced"] is False
    assert _with(device=Device("lvad"))["pump"] is True
    assert _with(events=(Event("lvad", None),))["pump"] is True
    assert _with(events=(Event("transplant", None),))["transplant"] is True


@pytest.mark.parametrize(
    ("blank", "unknown"),
    [
        ("medicines", {"rate_slowing_medicine"}),
        ("rhythm", {"atrial_fibrillation", "other_rhythm", "paced"}),
        ("device", {"paced", "pump"}),
    ],
)
def test_what_is_not_recorded_is_unknown(blank: str, unknown: set[str]) -> None:
    assert {name for name, state in _with(**{blank: None}).items() if state is None} == unknown


def test_a_yes_outweighs_an_unknown() -> None:
    assert _with(rhythm=None, device=Device("pacemaker"))["paced"] is True
    assert _with(rhythm="paced", device=None)["paced"] is True


def test_facts_about_one_test_are_not_in_the_record() -> None:
    assert "hand_support" in fact_names()
    assert "hand_support" not in facts_of(PERSON)


@pytest.mark.parametrize(("age_y", "usable"), [(14, False), (15, True), (65, True), (66, False), (None, None)])
def test_an_age_outside_the_table_voids_the_one_load_test(age_y: float | None, usable: bool | None) -> None:
    assert why_void("cycle_one_load", CLEAR, age_y=age_y).usable is usable


def test_the_sentences_say_age_and_limits() -> None:
    assert why_void("two_minute_step", CLEAR, age_y=59).void == (
        "At 59 years this method does not apply: it covers 60 to 94 years.",
    )
    assert why_void("two_minute_step", CLEAR).ask == ("How old is the person?",)
    assert why_void("met_table_2024", {}, age_y=70).cautions == (
        "The 2024 table is made for ages 19 to 59: at 70 years its METs are approximate.",
    )
    assert why_void("met_table_2024", {}, age_y=59).cautions == ()


@pytest.mark.parametrize("method", ["six_minute_walk", "shuttle_walk", "endurance_shuttle"])
def test_a_walk_done_another_way_is_void_as_a_comparison(method: str) -> None:
    for fact in ("course_changed", "aid_changed", "oxygen_changed", "stop_changed"):
        assert why_void(method, {**CLEAR, fact: True}).usable is False
    changed = why_void(method, {**CLEAR, "medicine_changed": True})
    assert changed.usable is True
    assert len(changed.cautions) == 1


def test_a_maximum_predicted_without_the_medicine_is_cautioned_under_it() -> None:
    found = why_void("maximum_bpm_tanaka_2001", {"rate_slowing_medicine": True})
    assert found.usable is True
    assert "too high" in found.cautions[0]
    assert "maximum_bpm_brawner_2004" not in methods()


def test_a_method_or_fact_that_nobody_knows_is_named() -> None:
    with pytest.raises(HalewardError, match="no method 'hop' to void; there is step_test"):
        why_void("hop", {})
    with pytest.raises(HalewardError, match="no fact 'tired' about a method; there is rate_slowing_medicine"):
        why_void("step_test", {"tired": True})


def test_three_valued_or() -> None:
    either = void._either
    assert either(True, None) is True
    assert either(None, False) is None
    assert either(False, False) is False

"""Concerns: how soon, and never down for what is unknown."""

import csv
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haleward.safety.concerns import triage
from haleward.safety.parts import CONCERN_LEVELS
from haleward.safety.protocol import default_protocol

PROTOCOL = default_protocol()
SYMPTOMS = {symptom.key: symptom for symptom in PROTOCOL.concerns.symptoms}
with (Path(__file__).parent.parent / "checks" / "safety_triage.csv").open(encoding="utf-8") as file:
    TRIAGE = {row["id"]: row for row in csv.DictReader(file)}


def rank(level):
    return CONCERN_LEVELS.index(level)


@pytest.mark.parametrize("symptom", SYMPTOMS.values(), ids=SYMPTOMS)
def test_a_symptom_is_as_urgent_as_its_published_triage_row(symptom):
    rows = [TRIAGE[one]["level"] for one in symptom.ids if one.startswith("G")]
    assert all(level == symptom.level for level in rows)
    known = {rule.id for name in ("UK", "US", "EU") for rule in default_protocol(name).rules}
    assert {one for one in symptom.ids if one.startswith("R")} <= known


def test_every_published_triage_row_can_be_reported():
    assert {one for symptom in SYMPTOMS.values() for one in symptom.ids if one.startswith("G")} == set(TRIAGE)


def test_nothing_reported_is_no_concern():
    assert triage([], PROTOCOL) is None
    assert triage({"chest_pain": False}, PROTOCOL) is None


def test_the_most_urgent_report_wins_and_every_id_is_kept():
    concern = triage(["sore_usual", "calf", "palpitations_brief"], PROTOCOL)
    assert (concern.level, concern.topic, concern.how_soon) == ("same_day", "calf swelling", "today")
    assert concern.rule_ids == ("G22", "G12", "R117", "G18")


def test_unsure_goes_one_level_up():
    assert triage({"calf": None}, PROTOCOL).level == "emergency"
    assert triage({"sore_usual": None}, PROTOCOL).level == "next_working_day"
    assert triage({"chest_pain": None}, PROTOCOL).level == "emergency"


def test_a_bare_topic_is_taken_as_unsure():
    assert triage(["palpitations"], PROTOCOL).level == "emergency"
    assert triage(["soreness up to 3 days"], PROTOCOL).level == "next_working_day"
    nitrate = triage(["chest discomfort, nitrate prescribed"], PROTOCOL, facts={"gtn_prescribed": True})
    assert (nitrate.level, nitrate.topic) == ("emergency", "chest discomfort, nitrate prescribed")


def test_the_nitrate_topic_is_shown_only_when_a_nitrate_is_known():
    assert triage(["chest_pain"], PROTOCOL).topic == "chest discomfort, no nitrate"
    with_nitrate = triage(["chest_pain"], PROTOCOL, facts={"gtn_prescribed": True})
    assert with_nitrate.topic == "chest discomfort, nitrate prescribed"


@given(st.text())
def test_free_text_is_seen_the_same_day_at_the_latest(text):
    if text in SYMPTOMS:
        return
    assert rank(triage([text], PROTOCOL).level) <= rank("same_day")


@given(
    st.dictionaries(st.sampled_from(sorted(SYMPTOMS)), st.sampled_from([True, False, None])),
    st.sampled_from(sorted(SYMPTOMS)),
)
def test_reporting_more_or_being_less_sure_never_makes_it_less_urgent(reported, other):
    before = triage(reported, PROTOCOL)
    after = triage({**reported, other: True}, PROTOCOL)
    if before is not None and reported.get(other) is not None:
        assert rank(after.level) <= rank(before.level)
    unsure = triage({**reported, other: None}, PROTOCOL)
    assert rank(unsure.level) <= rank(after.level)

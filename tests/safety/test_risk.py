"""Risk level: any high item, every low item, the settings, and what missing answers do."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haleward.safety.conditions import inputs_of
from haleward.safety.protocol import default_protocol
from haleward.safety.risk import risk_level
from tests.safety.people import LOW_RISK

PROTOCOL = default_protocol()


def level(**changes):
    return risk_level({**LOW_RISK, **changes}, PROTOCOL).level


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        ({}, "low"),
        ({"lvef_pct": 39.9}, "high"),
        ({"lvef_pct": 40}, "moderate"),
        ({"lvef_pct": 49.9}, "moderate"),
        ({"lvef_pct": 50}, "low"),
        ({"fc_mets": 4.9}, "high"),
        ({"fc_mets": 5.0}, "moderate"),
        ({"fc_mets": 6.9}, "moderate"),
        ({"fc_mets": 7.0}, "low"),
        ({"st_depression_mm": 1.9}, "moderate"),
        ({"st_depression_mm": 2.0}, "high"),
        ({"symptoms_on_exertion": True, "symptom_onset_mets": 4.9}, "high"),
        ({"symptoms_on_exertion": True, "symptom_onset_mets": 5.0}, "moderate"),
        ({"symptoms_on_exertion": True, "symptom_onset_mets": 7.0}, "moderate"),
        ({"icd": True}, "high"),
        ({"clinical_depression": True}, "high"),
        ({"chf_present": True}, "high"),
    ],
)
def test_the_level_changes_at_each_published_limit(changes, expected):
    assert level(**changes) == expected


def test_an_unmeasured_capacity_is_left_out_and_flagged():
    result = risk_level({**LOW_RISK, "fc_mets": None}, PROTOCOL)
    assert result.level == "low"
    assert result.missing == ()
    assert any("Capacity not measured" in caution for caution in result.worksheet.cautions)
    assert {step.result for step in result.worksheet.steps if step.rule_id in ("H13", "L04")} == {
        "left out, not measured"
    }


@given(st.sets(st.sampled_from(sorted(LOW_RISK.keys() - {"fc_mets"})), min_size=1))
def test_low_is_never_claimed_while_an_item_is_unknown(unknown):
    facts = {name: value for name, value in LOW_RISK.items() if name not in unknown}
    result = risk_level(facts, PROTOCOL)
    read = {name for item in PROTOCOL.stratification.items for name in inputs_of(item.condition)}
    assert (result.level == "low") == (not unknown & read)
    assert set(result.missing) >= unknown & read


def test_the_items_that_drove_the_level_and_the_missing_ones_are_listed():
    result = risk_level({**LOW_RISK, "lvef_pct": 34, "cardiac_arrest_hx": None}, PROTOCOL)
    assert [(one.rule_id, one.state) for one in result.items] == [("H07", "fired"), ("H08", "unknown")]
    assert result.items[0].inputs == (("lvef_pct", "34"),)
    assert result.missing == ("cardiac_arrest_hx",)


def test_the_two_settings_are_shown_and_change_the_level():
    assert any("under 5 METs counts as high" in caution for caution in risk_level({}, PROTOCOL).worksheet.cautions)
    without_option = tuple(item for item in PROTOCOL.stratification.items if item.id != "H14")
    scheme = replace(PROTOCOL.stratification, items=without_option, icd_counts_as_high=False)
    lenient = replace(PROTOCOL, stratification=scheme)
    assert risk_level({**LOW_RISK, "icd": True}, lenient).level == "low"


def test_the_worksheet_shows_where_the_capacity_comes_from():
    result = risk_level({**LOW_RISK, "fc_mets": 4.4, "fc_mets_basis": "six_minute_walk"}, PROTOCOL)
    step = next(step for step in result.worksheet.steps if step.rule_id == "H13")
    assert (step.inputs[0].value, step.inputs[0].unit, step.inputs[0].origin) == ("4.4", "METs", "six minute walk")
    assert step.result == "met"

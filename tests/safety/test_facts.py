"""Facts: derived from the record and the day's answers, never invented."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from haleward.record import (
    BloodPressure,
    DayCheck,
    Device,
    Event,
    FunctionTests,
    HeartRate,
    Medicine,
    Record,
    Restriction,
)
from haleward.safety.conditions import evaluate
from haleward.safety.facts import facts_of
from haleward.safety.gate import session_gate
from haleward.safety.inputs import default_inputs
from haleward.safety.protocol import default_protocol
from tests.safety.people import DAY as DAY_ANSWERS
from tests.safety.people import ENTRY

DAY = date(2026, 2, 10)
BLANK = Record("p1", "Ada", DAY)


def facts(*, today=DAY, day_check=None, **changes):
    return facts_of(replace(BLANK, **changes), today=today, day_check=day_check)


def check(on=DAY, **answers):
    return DayCheck(datetime(on.year, on.month, on.day, 9, tzinfo=UTC), answers)


def test_a_blank_record_yields_nothing_but_what_it_says():
    assert facts() == {"balance_restriction": False}


def test_the_latest_event_counts():
    events = (Event("mi", date(2026, 1, 6), False), Event("cabg", date(2026, 1, 27), True, True))
    known = facts(events=events)
    assert known["event_type"] == "cabg"
    assert known["weeks_since_event"] == 2
    assert known["mi_days"] == 35
    assert known["complicated_event"] is True
    assert (known["sternotomy"], known["weeks_since_sternotomy"]) == (True, 2)


def test_an_undated_event_leaves_its_times_unknown():
    known = facts(events=(Event("mi", None),))
    assert known["event_type"] == "mi"
    assert not {"weeks_since_event", "mi_days", "sternotomy"} & known.keys()
    two = facts(events=(Event("mi", date(2026, 1, 6)), Event("cabg", None, True)))
    assert "event_type" not in two
    assert two["sternotomy"] is True
    assert "weeks_since_sternotomy" not in two


@pytest.mark.parametrize(
    ("kind", "name"),
    [
        ("aortic_repair", "aortic_ever"),
        ("aortic_dissection", "aortic_ever"),
        ("evar", "aortic_ever"),
        ("scad", "scad_ever"),
        ("transplant", "transplant_ever"),
    ],
)
def test_what_lasts_is_known_after_a_later_event_and_without_a_date(kind, name):
    later = Event("pci", date(2026, 1, 6))
    for on in (date(2025, 3, 1), None):
        known = facts(events=(Event(kind, on), later))
        assert [other for other in ("aortic_ever", "scad_ever", "transplant_ever") if known[other]] == [name]
    assert facts(events=(later,))[name] is False
    assert name not in facts()


@pytest.mark.parametrize(
    ("kind", "rule_id", "asked"),
    [
        ("aortic_repair", "R099", {"ext_load_kg": 9.5}),
        ("scad", "R100", {"breath_holding": True}),
        ("transplant", "R108", {}),
    ],
)
def test_a_rule_on_what_lasts_still_fires_after_a_later_event(kind, rule_id, asked):
    known = facts(events=(Event(kind, date(2025, 3, 1)), Event("pci", date(2026, 1, 6))))
    rule = next(rule for rule in default_protocol().rules if rule.id == rule_id)
    assert evaluate(rule.condition, {**known, **asked}) is True


def test_an_event_after_today_counts_as_undated():
    assert "weeks_since_event" not in facts(events=(Event("pci", DAY + timedelta(days=1)),))


def test_no_sternotomy_is_known_only_when_every_event_says_so():
    assert facts(events=(Event("pci", DAY, False),))["sternotomy"] is False
    assert "sternotomy" not in facts(events=(Event("pci", DAY, False), Event("valve", DAY, None)))


@pytest.mark.parametrize(
    ("device", "expected"),
    [
        (Device("none"), {"device_fitted": False, "icd": False, "lvad": False}),
        (Device("pacemaker"), {"device_fitted": True, "icd": False, "lvad": False}),
        (Device("icd"), {"device_fitted": True, "icd": True, "lvad": False, "icd_detect_known": False}),
        (
            Device("crt_d", lowest_detection_bpm=160, implanted_on=DAY - timedelta(weeks=3)),
            {
                "device_fitted": True,
                "icd": True,
                "lvad": False,
                "icd_detect_known": True,
                "icd_detect_bpm": 160,
                "weeks_since_device": 3,
            },
        ),
        (Device("lvad"), {"device_fitted": True, "icd": False, "lvad": True}),
    ],
)
def test_a_device_says_what_it_is(device, expected):
    assert facts(device=device) == {"balance_restriction": False, **expected}


def test_insulin_or_a_sulfonylurea_counts_and_unasked_medicines_stay_unknown():
    assert "insulin_or_su" not in facts()
    assert facts(medicines=())["insulin_or_su"] is False
    assert facts(medicines=(Medicine("sulfonylurea", "gliclazide"),))["insulin_or_su"] is True


def test_a_reading_counts_only_on_the_day_it_was_taken():
    readings = {"blood_pressure": BloodPressure(132, 78, DAY), "resting_heart_rate": HeartRate(66, DAY)}
    assert {"sbp_rest": 132, "dbp_rest": 78, "hr_rest": 66}.items() <= facts(**readings).items()
    assert not {"sbp_rest", "dbp_rest", "hr_rest"} & facts(today=DAY + timedelta(days=1), **readings).keys()


STORED = {
    "acute_illness": False,
    "phone_available": True,
    "hf_worsening_signs": False,
    "glucose_mmol": 6,
    "lvef_pct": 55,
}


@pytest.mark.parametrize("today", [DAY, DAY + timedelta(days=7)])
def test_a_stored_answer_of_the_day_never_reassures_even_under_a_new_date(today):
    """Releasing a restriction, or starting from the last assessment, gives the old answers a new date."""
    moved = {"answers": STORED, "assessed_on": today}
    assert facts(today=today, **moved).keys() & STORED.keys() == {"hf_worsening_signs", "lvef_pct"}
    asked = facts(today=today, day_check=check(today, acute_illness=True), **moved)
    assert asked["acute_illness"] is True
    assert asked.keys() & STORED.keys() == {"acute_illness", "lvef_pct"}


def test_a_worrying_answer_stored_today_counts_today_until_the_day_check_asks_again():
    worrying = {"device_wound_problem": True, "phone_available": False, "hf_worsening_signs": True}
    assert worrying.items() <= facts(answers=worrying).items()
    assert worrying.items() <= facts(answers=worrying, day_check=check(acute_illness=False)).items()
    assert facts(answers=worrying, day_check=check(phone_available=True))["phone_available"] is True
    assert facts(answers=worrying, today=DAY + timedelta(days=1)).keys() & worrying.keys() == {"hf_worsening_signs"}


def test_every_question_of_the_day_says_which_answer_worries():
    asked = [one for one in default_inputs().values() if one.asked != "entry" and one.kind == "bool"]
    assert {one.name for one in asked if one.worrying is None} == {"session_complete"}
    reassuring = {one.name for one in asked if one.worrying is False}
    assert reassuring == {"gtn_with_person", "phone_available", "aed_on_site", "bp_before_home_available"}
    assert all(one.worrying is None for one in default_inputs().values() if one.asked == "entry" or one.kind != "bool")


def test_answers_of_another_day_leave_the_session_gate_waiting_for_todays():
    person = {"answers": {**ENTRY, **DAY_ANSWERS}, "assessed_on": DAY}
    known = facts(**person, day_check=check(chest_pain_now=False))
    gate = session_gate(known, default_protocol())
    assert gate.outcome == "check_first"
    assert {"acute_illness", "syncope_recent", "hf_worsening_signs"} <= set(gate.missing)


def test_a_day_check_of_another_day_is_not_used():
    assert "acute_illness" not in facts(day_check=check(DAY - timedelta(days=1), acute_illness=False))


def test_the_days_answers_replace_stored_ones():
    assert facts(answers={"meds_changed": False}, day_check=check(meds_changed=True))["meds_changed"] is True


def test_weight_gain_needs_both_weights():
    assert "weight_gain_kg_3d" not in facts(day_check=check(weight_today_kg=82.4))
    gained = facts(day_check=check(weight_today_kg=82.4, weight_earlier_kg=80.4))
    assert (gained["weight_gain_kg_3d"], gained["weight_loss_kg_3d"]) == (2, 0)
    lost = facts(day_check=check(weight_today_kg=80.0, weight_earlier_kg=82.5))
    assert (lost["weight_gain_kg_3d"], lost["weight_loss_kg_3d"]) == (0, 2.5)


def test_a_chair_stand_count_answers_the_chair_rise():
    assert facts(tests=FunctionTests(chair_stands_30s=0))["rises_without_arms"] is False
    assert facts(tests=FunctionTests(chair_stands_30s=8))["rises_without_arms"] is True
    assert facts(tests=FunctionTests(chair_stands_30s=8, rises_without_arms=False))["rises_without_arms"] is False


def test_function_tests_keep_their_names():
    tests = FunctionTests(DAY, True, 9, 10.0, 9.0, 7.5, 0.9, 11.0, 9)
    known = facts(tests=tests)
    assert {
        "side_by_side_s": 10.0,
        "semi_tandem_s": 9.0,
        "tandem_s": 7.5,
        "gait_m_per_s": 0.9,
        "up_and_go_s": 11.0,
        "sppb_points": 9,
    }.items() <= known.items()


def test_rhythm_nitrate_age_and_sex_are_read():
    known = facts(rhythm="atrial_fibrillation", nitrate_prescribed=False, born_on=date(1952, 2, 11), sex="male")
    assert (known["af_known"], known["gtn_prescribed"], known["age_y"], known["pregnant"]) == (True, False, 73, False)
    assert "af_known" not in facts(rhythm="paced")
    assert "pregnant" not in facts(sex="female")


@pytest.mark.parametrize(
    ("start", "released", "expected"),
    [
        (DAY, None, True),
        (DAY + timedelta(days=1), None, False),
        (DAY - timedelta(days=30), DAY, False),
        (DAY - timedelta(days=30), DAY + timedelta(days=1), True),
    ],
)
def test_a_balance_restriction_holds_from_its_start_until_its_release(start, released, expected):
    held = Restriction("balance", "Hold on", "nurse", start, DAY - timedelta(days=1), released_on=released)
    assert facts(restrictions=(held,))["balance_restriction"] is expected


def test_an_operation_counts_from_its_own_day_and_not_before():
    assert facts(events=(Event("cabg", DAY, True),))["weeks_since_sternotomy"] == 0
    ahead = facts(events=(Event("cabg", DAY + timedelta(days=1), True),))
    assert "weeks_since_sternotomy" not in ahead
    assert facts(device=Device("icd", implanted_on=DAY))["weeks_since_device"] == 0


def test_what_was_answered_yes_stays_yes_beside_lists_that_say_nothing_of_it():
    assert facts(answers={"insulin_or_su": True}, medicines=())["insulin_or_su"] is True
    assert facts(answers={"af_known": True}, rhythm="sinus")["af_known"] is True
    assert facts(answers={"icd_detect_known": True}, device=Device("icd"))["icd_detect_known"] is False


def test_being_alone_is_known_from_the_assessment_on_a_day_that_did_not_ask():
    alone = replace(BLANK, answers={"exercising_alone": True})
    later = DAY + timedelta(days=10)
    assert facts_of(alone, today=later, day_check=check(later, unwell=False))["exercising_alone"] is True

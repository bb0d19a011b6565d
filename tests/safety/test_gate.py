"""The gate: strictest wins, missing information never gives "go ahead"."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haleward.safety.gate import entry_gate, session_gate
from haleward.safety.inputs import default_inputs
from haleward.safety.protocol import default_protocol
from tests.safety.people import ENTRY, HALL, HOME

PROTOCOL = default_protocol()


def entry(facts):
    return entry_gate(facts, PROTOCOL)


def hall(facts):
    return session_gate(facts, PROTOCOL, place="hall")


def home(facts):
    return session_gate(facts, PROTOCOL, place="home")


GATES = [
    pytest.param(entry, ENTRY, id="entry"),
    pytest.param(hall, HALL, id="hall"),
    pytest.param(home, HOME, id="home"),
]


def fact_values(name):
    kind = default_inputs()[name]
    if kind.kind == "bool":
        return st.booleans()
    if kind.kind == "text":
        return st.sampled_from(kind.values) if kind.values else st.text(max_size=3)
    return st.one_of(st.integers(0, 240), st.floats(0, 240, allow_nan=False))


ALL_FACTS = st.fixed_dictionaries({}, optional={name: fact_values(name) for name in default_inputs()})
# Facts close to a person who may exercise, so that the properties meet every outcome.
NEAR_HALL = ALL_FACTS.flatmap(
    lambda facts: st.sets(st.sampled_from(sorted(HALL))).map(
        lambda changed: {**HALL, **{name: facts[name] for name in changed if name in facts}}
    )
)
ANY_FACTS = st.one_of(ALL_FACTS, NEAR_HALL)


@pytest.mark.parametrize(("gate", "facts"), GATES)
def test_a_person_with_every_answer_reassuring_goes_ahead(gate, facts):
    result = gate(facts)
    assert (result.outcome, result.urgency, result.fired, result.missing) == ("go_ahead", "none", (), ())
    assert (result.protocol_id, result.protocol_version) == (PROTOCOL.id, PROTOCOL.version)


@pytest.mark.parametrize(("gate", "facts"), GATES)
def test_without_any_one_needed_answer_the_gate_says_check_first_and_names_it(gate, facts):
    name = gate.__name__
    for need in PROTOCOL.gates[name].needs:
        if need.when is not None:
            continue
        without = {key: value for key, value in facts.items() if key != need.input}
        result = gate(without)
        assert result.outcome == "check_first", need.input
        assert need.input in result.missing
        assert result.fired[0].rule_id == ("R001" if name == "entry" else "R121")


def test_nothing_known_is_check_first_everywhere():
    assert entry({}).outcome == hall({}).outcome == home({}).outcome == "check_first"


def test_the_strictest_rule_wins_and_every_fired_rule_is_listed():
    result = hall({**HALL, "sbp_rest": 186, "dbp_rest": 98, "hr_rest": 104, "meds_missed": True, "lvef_pct": 38})
    assert result.outcome == "not_today"
    assert [one.rule_id for one in result.fired][:2] == ["R023", "R032"]
    assert {one.rule_id for one in result.fired} == {"R023", "R032", "R026", "R095", "R046", "R017", "R113"}
    assert ("sbp_rest", "186") in result.fired[0].inputs


def test_the_soonest_urgency_is_kept():
    assert hall({**HALL, "chest_pain_now": True, "hf_worsening_signs": True}).urgency == "emergency"
    assert hall({**HALL, "syncope_recent": True}).urgency == "same_day"


def test_a_caution_goes_along_with_go_ahead():
    result = hall({**HALL, "meds_changed": True})
    assert result.outcome == "go_ahead"
    assert [(one.rule_id, one.level) for one in result.fired] == [("R047", "caution")]


def test_a_clinicians_decision_is_check_first():
    result = entry({**ENTRY, "lvef_pct": 39.9})
    assert (result.outcome, [one.rule_id for one in result.fired]) == ("check_first", ["R017"])
    assert entry({**ENTRY, "lvef_pct": 40}).outcome == "go_ahead"


def test_a_half_answered_rule_is_checked_first():
    stenosis = entry({**ENTRY, "aortic_stenosis": "severe"})
    assert (stenosis.outcome, stenosis.missing) == ("check_first", ("valve_symptoms",))
    assert {one.rule_id for one in stenosis.not_assessed} == {"R007", "R008"}
    dizzy = home({**HOME, "postural_symptoms": True})
    assert dizzy.outcome == "check_first"
    assert {"sbp_rest", "sbp_sit", "sbp_stand"} <= set(dizzy.missing)


def test_an_input_whose_condition_is_false_does_not_hold_the_gate():
    assert "temp_c" not in hall(HALL).missing
    assert "nyha" in entry({**ENTRY, "chf_present": True}).missing
    assert "glucose_mmol" in home({**HOME, "insulin_or_su": True}).missing
    assert "pregnant" in entry({**ENTRY, "age_y": 55}).missing
    assert entry({**ENTRY, "age_y": 56}).missing == ()


def test_what_depends_on_an_unanswered_question_is_asked_later():
    result = hall({**HALL, "postural_symptoms": None})
    assert result.missing == ("postural_symptoms",)


def test_what_could_stop_the_session_soonest_is_asked_first():
    missing = hall(
        {**HALL, "chest_pain_now": None, "meds_missed": None, "alcohol_today": None, "hr_rest": None}
    ).missing
    assert missing == ("chest_pain_now", "hr_rest", "alcohol_today", "meds_missed")


def test_a_home_session_needs_no_reading_but_uses_one_that_was_taken():
    assert home(HOME).outcome == "go_ahead"
    assert home({**HOME, "sbp_rest": 186, "dbp_rest": 90}).outcome == "not_today"
    assert home({**HOME, "phone_available": False, "exercising_alone": True}).outcome == "not_today"


def test_rules_on_resistance_work_apply_only_when_there_is_some():
    eyes = {**HALL, "retinopathy_proliferative_active": True}
    assert session_gate(eyes, PROTOCOL, strength=True).outcome == "not_today"
    assert session_gate(eyes, PROTOCOL, strength=False).outcome == "go_ahead"
    assert (
        session_gate({**HALL, "sternal_click_or_wound_problem": True}, PROTOCOL, strength=False).outcome == "not_today"
    )


def test_stages_may_be_named_and_home_among_them_means_at_home():
    by_stages = session_gate(HOME, PROTOCOL, stages=("entry", "session", "home", "groups"))
    assert by_stages == home(HOME)


def test_countries_differ_where_their_sources_do():
    fast = {**HALL, "hr_rest": 108}
    assert session_gate(fast, default_protocol("UK")).outcome == "not_today"
    assert session_gate({**fast, "can_self_monitor": True}, default_protocol("US")).outcome == "check_first"


def test_a_european_heart_failure_rule_does_not_wait_for_a_heart_attack_that_never_was():
    failing = {**ENTRY, "event_type": "hf", "chf_present": True, "nyha": 2}
    assert entry_gate(failing, default_protocol("EU")).missing == ()
    after_attack = {**failing, "event_type": "mi"}
    assert entry_gate(after_attack, default_protocol("EU")).missing == ("mi_days",)
    assert entry_gate({**after_attack, "mi_days": 20}, default_protocol("EU")).outcome == "check_first"
    assert entry_gate({**after_attack, "mi_days": 21}, default_protocol("EU")).outcome == "go_ahead"


@given(ANY_FACTS, st.data())
def test_removing_a_needed_fact_never_turns_another_outcome_into_go_ahead(facts, data):
    for gate in (entry, hall, home):
        if gate(facts).outcome == "go_ahead":
            continue
        needed = sorted({need.input for need in PROTOCOL.gates[gate.__name__].needs} & facts.keys())
        if needed:
            gone = data.draw(st.sampled_from(needed))
            without = {name: value for name, value in facts.items() if name != gone}
            assert gate(without).outcome != "go_ahead"


BLOCKING_FACTS = {
    "chest_pain_now": True,
    "acute_illness": True,
    "rhythm_new_irregular": True,
    "angina_rest_or_worse": True,
    "hf_worsening_signs": True,
    "syncope_recent": True,
    "sbp_rest": 181,
    "dbp_rest": 101,
    "hr_rest": 121,
    "glucose_mmol": 3.9,
    "weight_gain_kg_3d": 2,
    "device_shock_or_alarm": True,
    "device_wound_problem": True,
    "sternal_click_or_wound_problem": True,
    "acute_dissection": True,
    "thrombophlebitis_or_dvt": True,
}


@given(ANY_FACTS, st.sampled_from(sorted(BLOCKING_FACTS)))
def test_a_fact_that_blocks_is_never_outvoted(facts, name):
    with_block = {**facts, name: BLOCKING_FACTS[name]}
    for gate in (hall, home):
        assert gate(with_block).outcome == "not_today"


@given(ANY_FACTS)
def test_go_ahead_means_nothing_needed_is_missing_and_nothing_stops(facts):
    for gate in (entry, hall, home):
        result = gate(facts)
        levels = {one.level for one in result.fired}
        if result.outcome == "go_ahead":
            assert not result.missing
            assert not result.not_assessed
            assert not levels & {"block", "clinician_decision"}
        if "block" in levels:
            assert result.outcome == "not_today"
        assert all(one.state == "fired" for one in result.fired)
        order = ["block", "clinician_decision", "caution", "inform"]
        assert [order.index(one.level) for one in result.fired] == sorted(
            order.index(one.level) for one in result.fired
        )


@pytest.mark.parametrize(
    ("reading", "country", "outcome", "rule_id"),
    [
        ({"sbp_rest": 190, "dbp_rest": 80}, "UK", "not_today", "R023"),
        ({"sbp_rest": 150, "dbp_rest": 105}, "UK", "not_today", "R023"),
        ({"sbp_rest": 150, "dbp_rest": 112}, "US", "not_today", "R024"),
        ({"sbp_rest": 180, "dbp_rest": 80}, "EU", "not_today", "R025"),
        ({"sbp_rest": 88, "dbp_rest": 60}, "UK", "check_first", "R027"),
        ({"hr_rest": 125}, "US", "not_today", "R031"),
        ({"hr_rest": 101}, "UK", "not_today", "R032"),
        ({"hr_rest": 38}, "UK", "check_first", "R035"),
        ({"sbp_rest": 170, "dbp_rest": 80}, "UK", "go_ahead", "R026"),
    ],
)
def test_a_reading_taken_today_outside_the_sessions_limits_counts_at_entry(reading, country, outcome, rule_id):
    gate = entry_gate({**ENTRY, **reading}, default_protocol(country))
    assert gate.outcome == outcome
    assert rule_id in {one.rule_id for one in gate.fired}


def test_a_low_pressure_at_entry_asks_for_symptoms_on_standing():
    assert "postural_symptoms" in entry({**ENTRY, "sbp_rest": 95, "dbp_rest": 60}).missing


def test_entry_needs_no_reading():
    assert entry(ENTRY).outcome == "go_ahead"
    assert entry({**ENTRY, "sbp_rest": 128, "dbp_rest": 76, "hr_rest": 68}).fired == ()

"""The day's questions: who is asked, and what the answers mean."""

from hypothesis import given
from hypothesis import strategies as st

from haleward.safety.checks import answers_of, brought_by, check_topic, questions
from haleward.safety.conditions import inputs_of
from haleward.safety.gate import session_gate
from haleward.safety.inputs import default_inputs
from haleward.safety.protocol import default_protocol
from haleward.wording import default_wording
from tests.safety.people import ENTRY, HOME

PROTOCOL = default_protocol()
CHECKS = {check.wording: check for check in PROTOCOL.checks}
WELL = {
    "check_well": True,
    "check_chest": False,
    "check_breath": True,
    "check_faint": False,
    "check_heartbeat": False,
    "check_medicine_taken": True,
    "check_medicine_change": False,
    "check_fall": False,
    "check_sore": False,
    "check_phone": True,
}


def asked(**facts):
    return questions({**ENTRY, **facts}, PROTOCOL, place="home")


def test_a_person_without_devices_or_diabetes_is_asked_the_common_questions():
    assert [check.wording for check in asked()] == list(WELL)


def test_special_questions_are_asked_of_those_they_concern():
    names = {check.wording for check in asked(chf_present=True, insulin_or_su=True, device_fitted=True)}
    assert names - WELL.keys() == {
        "check_weight",
        "check_weight_before",
        "check_swelling",
        "check_sugar",
        "check_hypo",
        "check_device",
        "check_device_skin",
    }
    early = {check.wording for check in asked(sternotomy=True, weeks_since_sternotomy=11.9)}
    assert early - WELL.keys() == {"check_wound", "check_breastbone"}
    assert {c.wording for c in asked(sternotomy=True, weeks_since_sternotomy=12)} == WELL.keys()


def test_the_earlier_weight_is_asked_only_where_nobody_knows_it():
    names = {check.wording for check in asked(chf_present=True, weight_earlier_kg=82.0)}
    assert "check_weight" in names
    assert "check_weight_before" not in names


def test_a_person_with_heart_failure_can_pass_the_check_at_home():
    facts = {"chf_present": True, "can_self_monitor": True, "nyha": 2}
    well = {**WELL, "check_swelling": False, "check_weight": 82.4, "check_weight_before": 82.0}
    same = {**ENTRY, **facts, **answers_of(asked(**facts), well), "weight_gain_kg_3d": 0.4}
    assert session_gate(same, PROTOCOL, place="home").outcome == "go_ahead"
    more = {**same, "weight_gain_kg_3d": 2.4}
    assert session_gate(more, PROTOCOL, place="home").outcome == "not_today"


def test_a_question_is_asked_when_nobody_knows_whether_it_applies():
    everything = {check.wording for check in questions({}, PROTOCOL, place="home")}
    assert everything == set(CHECKS)


def test_the_phone_is_asked_about_at_home_only():
    assert "check_phone" not in {check.wording for check in questions(ENTRY, PROTOCOL, place="hall")}


def test_reassuring_answers_at_home_go_ahead():
    answers = answers_of(asked(), WELL)
    gate = session_gate({**ENTRY, "can_self_monitor": True, **answers}, PROTOCOL, place="home")
    assert (gate.outcome, gate.missing) == ("go_ahead", ())


def test_each_worrying_answer_stops_the_session_or_is_a_caution():
    cautions = {"check_medicine_taken", "check_medicine_change", "check_sore"}
    for name, answer in WELL.items():
        given = {**WELL, name: not answer}
        gate = session_gate({**HOME, "exercising_alone": True, **answers_of(asked(), given)}, PROTOCOL, place="home")
        assert (gate.outcome == "go_ahead") == (name in cautions), name
        assert brought_by(CHECKS[name], not answer, {**ENTRY, "exercising_alone": True}, PROTOCOL), name


def test_a_blank_answer_stays_unknown():
    answers = answers_of(asked(), {name: answer for name, answer in WELL.items() if name != "check_chest"})
    assert not {"angina_rest_or_worse", "chest_pain_now"} & answers.keys()


def test_where_two_questions_answer_one_input_a_yes_counts_and_a_no_needs_both():
    both = asked(chf_present=True)
    assert answers_of(both, {**WELL, "check_swelling": True})["hf_worsening_signs"] is True
    assert answers_of(both, {**WELL, "check_swelling": False})["hf_worsening_signs"] is False
    assert "hf_worsening_signs" not in answers_of(both, WELL)


def test_a_number_is_kept_as_it_was_given():
    assert answers_of(asked(insulin_or_su=True), {"check_sugar": 3.9})["glucose_mmol"] == 3.9
    fired = brought_by(CHECKS["check_sugar"], 3.9, ENTRY, PROTOCOL)
    assert [one.rule_id for one in fired] == ["R051"]
    assert brought_by(CHECKS["check_sugar"], None, ENTRY, PROTOCOL) == ()


def test_the_topic_shown_fits_the_answer():
    assert check_topic(CHECKS["check_sugar"], {"glucose_mmol": 3.1}) == "low sugar"
    assert check_topic(CHECKS["check_sugar"], {"glucose_mmol": 15.1}) == "high sugar"
    assert check_topic(CHECKS["check_chest"], {}) == "chest discomfort, no nitrate"
    assert check_topic(CHECKS["check_chest"], {"gtn_prescribed": True}) == "chest discomfort, nitrate prescribed"


def test_every_topic_leads_with_an_emergency_line():
    values = {"emergency_number": "999", **PROTOCOL.wording_values}
    for topic in {check.topic for check in PROTOCOL.checks}:
        assert default_wording().safety(topic, values=values)[0].level == "emergency"


def test_an_input_set_by_a_question_is_an_answer_of_the_day():
    for check in PROTOCOL.checks:
        for name in (*check.answers_yes, *check.answers_no, *filter(None, [check.input])):
            assert default_inputs()[name].asked != "entry"


def test_every_yes_or_no_answer_feeds_a_rule_of_the_session():
    home = PROTOCOL.gates["home"]
    rules = [rule for rule in PROTOCOL.rules if rule.stage in home.stages or rule.id in home.also]
    read = {name for rule in rules for name in inputs_of(rule.condition)}
    for check in PROTOCOL.checks:
        assert check.answers_yes.keys() | check.answers_no.keys() <= read


@given(st.dictionaries(st.sampled_from(sorted(CHECKS)), st.booleans()))
def test_an_unanswered_question_never_gives_go_ahead(given_answers):
    answers = answers_of(asked(), given_answers)
    gate = session_gate({**ENTRY, "can_self_monitor": True, **answers}, PROTOCOL, place="home")
    optional = {"check_sore"}
    if not (WELL.keys() - optional) <= given_answers.keys():
        assert gate.outcome != "go_ahead"

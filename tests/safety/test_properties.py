"""What must never happen, tried over the whole input space: a worse or missing answer never makes an outcome milder."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from haleward.safety.concerns import triage
from haleward.safety.conditions import evaluate, inputs_of
from haleward.safety.deciding import OUTCOMES, cases_of
from haleward.safety.parts import CONCERN_LEVELS, URGENCIES
from haleward.safety.risk import risk_level
from tests.safety.space import ANYBODY, GATES, INPUTS, PROTOCOLS, WORSE, limits, values, worse_of, worsened

COUNTRIES = st.sampled_from(sorted(PROTOCOLS))
PLACES = st.sampled_from(sorted(GATES))
NAMES = st.sampled_from(sorted(INPUTS))
RISKS = ("high", "moderate", "low")


def answer(gate):
    """Outcome and urgency as ranks; 0 is the strictest."""
    return OUTCOMES.index(gate.outcome), URGENCIES.index(gate.urgency)


def rules_of(protocol, place):
    """The rules that a gate asks when the session has strength work."""
    gate = protocol.gates[place]
    named = (*gate.also, *gate.strength)
    return [
        rule
        for rule in protocol.rules
        if rule.stage in gate.stages or rule.id in named or (rule.stage == "session" and _reads(rule, gate.readings))
    ]


def _reads(rule, names):
    return any(name in str(rule.condition) for name in names)


def test_every_input_says_which_value_is_the_worse_one():
    numbers = {name for name, item in INPUTS.items() if item.kind == "number"}
    ours = {name for name in numbers if limits(name) != (100.0,)}
    placement = {"rises_without_arms", "chair_stands_30s", "side_by_side_s", "semi_tandem_s", "tandem_s"}
    placement |= {"gait_m_per_s", "up_and_go_s", "sppb_points"}
    assert ours - placement <= WORSE.keys()
    assert WORSE.keys() <= INPUTS.keys()
    assert all(worse_of(name, item) in ("yes", "no") for name, item in INPUTS.items() if item.kind == "bool")


@settings(max_examples=150)
@given(ANYBODY, worsened(), PLACES, COUNTRIES)
def test_a_symptom_or_a_worse_reading_never_makes_the_gate_milder(facts, change, place, country):
    name, better, worse = change
    before = answer(GATES[place]({**facts, name: better}, PROTOCOLS[country]))
    after = answer(GATES[place]({**facts, name: worse}, PROTOCOLS[country]))
    assert after[0] <= before[0]
    assert after[1] <= before[1]


@settings(max_examples=100)
@given(ANYBODY, NAMES, PLACES, COUNTRIES, st.data())
def test_an_answer_that_becomes_unknown_never_lets_anyone_go_ahead(facts, name, place, country, data):
    known = {**facts, name: data.draw(values(name))}
    gate, protocol = GATES[place], PROTOCOLS[country]
    if gate(known, protocol).outcome != "go_ahead":
        assert gate({**known, name: None}, protocol).outcome != "go_ahead"


@settings(max_examples=60)
@given(ANYBODY, NAMES, PLACES, COUNTRIES)
def test_an_unknown_answer_is_never_milder_than_the_mildest_it_may_stand_for(facts, name, place, country):
    gate, protocol = GATES[place], PROTOCOLS[country]
    possible = cases_of(name, protocol.rules, facts)
    mildest = max(answer(gate({**facts, name: value}, protocol))[0] for value in possible)
    assert answer(gate({**facts, name: None}, protocol))[0] <= mildest


@settings(max_examples=60)
@given(ANYBODY, PLACES, COUNTRIES)
def test_every_outcome_cites_a_rule_or_is_complete(facts, place, country):
    gate = GATES[place](facts, PROTOCOLS[country])
    if gate.fired or gate.not_assessed:
        return
    assert gate.outcome == "go_ahead"
    assert not gate.missing
    assert not gate.no_effect


@settings(max_examples=60)
@given(ANYBODY, PLACES, COUNTRIES)
def test_every_rule_that_fires_is_listed_and_the_strictest_wins(facts, place, country):
    protocol = PROTOCOLS[country]
    gate = GATES[place](facts, protocol)
    complete = {"screening_complete": None, "session_complete": None}
    firing = {rule.id: rule for rule in rules_of(protocol, place) if evaluate(rule.condition, {**facts, **complete})}
    listed = {one.rule_id for one in gate.fired}
    assert listed - {"R001", "R121"} == set(firing)
    levels = {rule.level for rule in firing.values()}
    if "block" in levels:
        assert gate.outcome == "not_today"
    elif "clinician_decision" in levels:
        assert gate.outcome in ("not_today", "check_first")
    assert URGENCIES.index(gate.urgency) <= min((URGENCIES.index(rule.urgency) for rule in firing.values()), default=3)


@settings(max_examples=60)
@given(ANYBODY, PLACES, COUNTRIES, st.data())
def test_what_is_said_not_to_matter_does_not_and_what_is_asked_for_can(facts, place, country, data):
    gate, protocol = GATES[place], PROTOCOLS[country]
    found = gate(facts, protocol)
    if found.no_effect:
        name = data.draw(st.sampled_from(found.no_effect))
        for value in cases_of(name, protocol.rules, facts):
            assert gate({**facts, name: value}, protocol).outcome == found.outcome
    if len(found.questions) == 1:
        (question,) = found.questions
        tried = [
            gate({**facts, question.input: value}, protocol)
            for value in cases_of(question.input, protocol.rules, facts)
        ]
        assert len({answer(one) for one in (*tried, found)}) > 1


@settings(max_examples=50)
@given(ANYBODY, PLACES, COUNTRIES)
def test_questions_come_in_order_of_effect(facts, place, country):
    found = GATES[place](facts, PROTOCOLS[country])
    order = [(OUTCOMES.index(one.outcome), URGENCIES.index(one.urgency)) for one in found.questions]
    assert order == sorted(order)
    assert found.missing == tuple(one.input for one in found.questions)


@settings(max_examples=100)
@given(ANYBODY, worsened(), COUNTRIES)
def test_a_worse_answer_never_lowers_the_risk_level(facts, change, country):
    name, better, worse = change
    levels = [risk_level({**facts, name: value}, PROTOCOLS[country]).level for value in (better, worse)]
    assert RISKS.index(levels[1]) <= RISKS.index(levels[0])


@settings(max_examples=100)
@given(ANYBODY, st.sampled_from(sorted(INPUTS.keys() - {"fc_mets"})), COUNTRIES)
def test_an_unknown_answer_never_lowers_the_risk_level_to_low(facts, name, country):
    """An unmeasured capacity is the one exception: the published form leaves that item out, and the flag says so."""
    protocol = PROTOCOLS[country]
    known = [risk_level({**facts, name: value}, protocol).level for value in limits(name)]
    unknown = risk_level({**facts, name: None}, protocol).level
    assert RISKS.index(unknown) <= max(map(RISKS.index, known))
    if unknown == "low":
        assert set(known) == {"low"}


SYMPTOMS = {key: [one.key for one in protocol.concerns.symptoms] for key, protocol in PROTOCOLS.items()}


@given(COUNTRIES, st.data(), ANYBODY)
def test_one_more_symptom_or_one_less_sure_never_makes_a_concern_less_urgent(country, data, facts):
    keys = st.sampled_from(SYMPTOMS[country])
    reported = data.draw(st.dictionaries(keys, st.sampled_from([True, False, None]), max_size=6))
    other = data.draw(keys)
    protocol = PROTOCOLS[country]
    ranks = [
        CONCERN_LEVELS.index(found.level) if found else len(CONCERN_LEVELS)
        for found in (triage({**reported, other: value}, protocol, facts=facts) for value in (False, True, None))
    ]
    assert ranks[1] <= ranks[0]
    assert ranks[2] <= ranks[1]


@pytest.mark.parametrize("country", sorted(PROTOCOLS))
def test_one_shock_stops_the_session_though_nobody_knows_how_the_person_feels(country):
    gate = GATES["hall"]({"icd_shocks_24h": 1}, PROTOCOLS[country])
    assert gate.outcome == "not_today"
    assert gate.urgency == "same_day"
    assert {"R063", "R064"} <= {one.rule_id for one in gate.not_assessed}


# What a gate does not ask of everybody, and why. Such a fact counts when it is given; not known, it holds the gate.
READINGS_OF_THE_DAY = {
    "sbp_rest",
    "dbp_rest",
    "hr_rest",
    "postural_symptoms",
}  # taken in the hall, at home by plan only
BY_EXCEPTION = {
    "entry": READINGS_OF_THE_DAY,
    "hall": {"spo2_rest"},  # needs a device that most halls do not have
    "home": READINGS_OF_THE_DAY
    | {"sbp_sit", "sbp_stand", "brady_symptoms", "lvad_map"}  # readings, or asked with one
    | {"icd_shocks_24h", "unwell_after_shock"}  # one question on the device covers both and stops by itself
    | {"spo2_rest", "alcohol_today", "exercising_alone"},
}


@pytest.mark.parametrize("country", sorted(PROTOCOLS))
@pytest.mark.parametrize("place", sorted(GATES))
def test_every_input_that_could_bar_training_is_needed_or_said_to_be_by_exception(place, country):
    protocol = PROTOCOLS[country]
    needed = {need.input for need in protocol.gates[place].needs}
    stopping = [rule for rule in rules_of(protocol, place) if rule.level in ("block", "clinician_decision")]
    read = {name for rule in stopping for name in inputs_of(rule.condition)} & INPUTS.keys()
    assert read - needed == BY_EXCEPTION[place] & read

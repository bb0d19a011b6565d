"""The page decides as the domain does: its conditions and its gate are compared with Python's on generated cases."""

import json
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from haleward.render.page_bundle import script
from haleward.render.page_gate import day_cautions, day_gate, day_questions, plain_gate, plain_questions
from haleward.safety.checks import answers_of
from haleward.safety.conditions import evaluate
from haleward.safety.gate import session_gate
from haleward.safety.protocol import default_protocol
from haleward.wording import default_wording
from tests.session.people import PEOPLE
from tests.session.samples import SERVICE, TODAY

pytestmark = pytest.mark.browser
PROTOCOL = default_protocol()
MANY = settings(max_examples=12, deadline=None)


@pytest.fixture(scope="module")
def decide(browser):
    """Runs the page's own functions: ``decide(name, cases)`` gives one result for each list of arguments."""
    body = script().replace("\nstart();\n", "\n")
    assert body != script()
    inside = body.rsplit("})();", 1)[0].split('"use strict";', 1)[1]
    source = f"(request_) => {{ {inside}\n const known = {{ evaluate, cautionsOf, factsOfDay, outcomeOf }};"
    source += " const { name, cases } = JSON.parse(request_); return cases.map((one) => known[name](...one)); }"
    page = browser.new_page()
    yield lambda name, cases: page.evaluate(source, json.dumps({"name": name, "cases": cases}))
    page.close()


NUMBER_INPUTS, OTHER_INPUTS = ("a", "b"), ("c", "d")
NUMBERS = st.integers(-3, 3) | st.sampled_from([0.5, 37.9, 38.0])
VALUES = st.booleans() | st.sampled_from(["x", "y"]) | st.integers(0, 1)
LIMITS = NUMBERS | st.fixed_dictionaries(
    {"input": st.sampled_from(NUMBER_INPUTS)}, optional={"times": NUMBERS, "plus": NUMBERS}
)
LEAVES = st.one_of(
    st.builds(
        lambda name, test, limit: {"input": name, test: limit, "unit": "1"},
        st.sampled_from(NUMBER_INPUTS),
        st.sampled_from(["over", "under", "at_least", "at_most"]),
        LIMITS,
    ),
    st.builds(lambda name, value: {"input": name, "is": value}, st.sampled_from(OTHER_INPUTS), VALUES),
    st.builds(
        lambda name, values: {"input": name, "one_of": values},
        st.sampled_from(OTHER_INPUTS),
        st.lists(VALUES, max_size=3),
    ),
    st.builds(
        lambda name, known: {"input": name, "known": known},
        st.sampled_from(NUMBER_INPUTS + OTHER_INPUTS),
        st.booleans(),
    ),
)
TREES = st.recursive(
    LEAVES,
    lambda inner: st.one_of(
        st.builds(lambda parts: {"all": parts}, st.lists(inner, max_size=3)),
        st.builds(lambda parts: {"any": parts}, st.lists(inner, max_size=3)),
        st.builds(lambda part: {"not": part}, inner),
    ),
    max_leaves=8,
)
FACTS = st.fixed_dictionaries(
    {},
    optional={
        **{name: st.none() | NUMBERS for name in NUMBER_INPUTS},
        **{name: st.none() | VALUES for name in OTHER_INPUTS},
    },
)


@MANY
@given(st.lists(st.tuples(TREES, FACTS), min_size=20, max_size=60))
def test_conditions_mean_the_same_on_the_page(decide, cases):
    assert decide("evaluate", cases) == [evaluate(tree, facts) for tree, facts in cases]


def one_answer(check):
    if check.kind == "number":
        return st.none() | st.sampled_from([3.5, 4.0, 15.0, 15.5, 70.0, 71.9, 72.5])
    return st.sampled_from([True, False, None])


@st.composite
def days(draw):
    """A person and a day's answers, each given or "I am not sure"."""
    record = draw(st.sampled_from(PEOPLE))
    asked = day_questions(record, protocol=PROTOCOL, today=TODAY)
    return record, asked, {check.wording: draw(one_answer(check)) for check in asked}


def on_the_page(given_answers):
    words = {True: "yes", False: "no"}
    return {key: words.get(value, value) if isinstance(value, bool) else value for key, value in given_answers.items()}


@MANY
@given(st.lists(days(), min_size=10, max_size=30))
def test_the_gate_decides_the_same_on_the_page(decide, cases):
    asked_of_page, expected = [], []
    for record, asked, answers in cases:
        rules, needs, facts = day_gate(record, asked, protocol=PROTOCOL, today=TODAY, strength=True)
        plain = plain_questions(asked, wording=default_wording(), values=SERVICE.values)
        asked_of_page.append((plain, on_the_page(answers), facts))
        expected.append((rules, needs, {**facts, **answers_of(asked, answers)}, plain_gate(rules, needs, facts)))
    found_facts = decide("factsOfDay", asked_of_page)
    outcomes = decide("outcomeOf", [(gate, facts) for (*_, gate), facts in zip(expected, found_facts, strict=True)])
    for (rules, needs, facts, _), found in zip(expected, outcomes, strict=True):
        home = replace(
            PROTOCOL.gates["home"], stages=(), also=tuple(rule.id for rule in rules), needs=needs, strength=()
        )
        protocol = replace(PROTOCOL, gates={**PROTOCOL.gates, "home": home})
        assert found["outcome"] == session_gate(weighed(facts), protocol, place="home").outcome


def weighed(facts):
    """Today's weight against the earlier one, as haleward.safety.facts weighs them."""
    now, earlier = facts.get("weight_today_kg"), facts.get("weight_earlier_kg")
    if now is None or earlier is None:
        return facts
    return {**facts, "weight_gain_kg_3d": round(max(0.0, now - earlier), 3)}


@MANY
@given(st.lists(days(), min_size=10, max_size=30))
def test_one_answer_that_is_not_sure_never_gives_go_ahead(decide, cases):
    asked_of_page, gates = [], []
    for record, asked, answers in cases:
        rules, needs, facts = day_gate(record, asked, protocol=PROTOCOL, today=TODAY, strength=True)
        plain = plain_questions(asked, wording=default_wording(), values=SERVICE.values)
        needed = next(iter(answers))  # "Do you feel well today?"
        asked_of_page.append((plain, {**on_the_page(answers), needed: None}, facts))
        gates.append(plain_gate(rules, needs, facts))
    found_facts = decide("factsOfDay", asked_of_page)
    outcomes = decide("outcomeOf", list(zip(gates, found_facts, strict=True)))
    assert "go_ahead" not in {found["outcome"] for found in outcomes}


def test_a_gain_in_weight_is_weighed_in_tenths_as_the_team_weighs_it(decide):
    known = {"weight_earlier_kg": 80.0}
    check = {"wording": "w", "kind": "number", "input": "weight_today_kg"}
    pairs = ((80.0, 81.8, 1.8), (62.1, 64.1, 2.0), (80.0, 79.0, 0.0))
    cases = [([check], {"w": now}, {**known, "weight_earlier_kg": before}) for before, now, _ in pairs]
    found = decide("factsOfDay", cases)
    assert [one["weight_gain_kg_3d"] for one in found] == [gain for *_, gain in pairs]


def test_what_lets_a_session_start_with_care_is_found_and_changes_no_outcome(decide):
    record = next(one for one in PEOPLE if one.takes("insulin") or one.answers.get("insulin_or_su"))
    asked = day_questions(record, protocol=PROTOCOL, today=TODAY)
    cautions = day_cautions(record, asked, protocol=PROTOCOL, today=TODAY)
    gate = plain_gate((), (), {}, cautions)
    told = {
        "meds_missed": True,
        "meds_changed": True,
        "sore_from_last": True,
        "insulin_or_su": True,
        "glucose_mmol": 4.5,
    }
    facts = [told, {**told, "meds_changed": False, "glucose_mmol": 8.0}, {}]
    ids = [[rule["id"] for rule in fired] for fired in decide("cautionsOf", [(gate, one) for one in facts])]
    assert {"R046", "R047", "R053", "R126"} <= set(ids[0])
    assert "R047" not in ids[1]
    assert "R053" not in ids[1]
    assert ids[2] == []
    assert {one["outcome"] for one in decide("outcomeOf", [(gate, one) for one in facts])} == {"go_ahead"}

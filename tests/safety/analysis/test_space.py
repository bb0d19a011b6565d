"""The solver's reading of a condition is the same as that of the rules, unknown included."""

from hypothesis import given, settings
from hypothesis import strategies as st

from haleward.physiology.tables import rows
from haleward.safety.analysis.logic import conditions_of
from haleward.safety.analysis.solver import Solver
from haleward.safety.analysis.space import Space, spans
from haleward.safety.conditions import evaluate, inputs_of, numbers_of
from haleward.safety.inputs import default_inputs
from haleward.safety.protocol import default_protocol

PROTOCOLS = [default_protocol(name) for name in ("UK", "US", "EU")]
CONDITIONS = [one for protocol in PROTOCOLS for one in conditions_of(protocol).values()]
SPACE = Space()


def test_it_works():
    space = Space()
    assert space.can_be({"input": "lvef_pct", "under": 40, "unit": "%"})
    assert not space.can_be({"input": "lvef_pct", "over": 120, "unit": "%"})


def values(name, condition):
    """Values of an input worth trying, unknown among them."""
    found = default_inputs()[name]
    if found.kind == "bool":
        return [None, True, False]
    if found.kind == "text":
        return [None, *found.values]
    span = spans()[name]
    near = {number + step for number in numbers_of(condition) for step in (-1, 0, 1)}
    inside = sorted({span.low, span.high, *(one for one in near if span.low <= one <= span.high)})
    return [None, *(round(one) if span.whole else one for one in inside)]


def exactly(facts):
    """A condition that holds for these facts only."""
    return {
        "all": [
            {"input": name, "known": False} if value is None else {"input": name, "is": value}
            for name, value in facts.items()
        ]
    }


@settings(max_examples=150, deadline=None)
@given(data=st.data())
def test_a_condition_is_true_false_or_unknown_for_the_solver_exactly_when_it_is_for_the_rules(data):
    condition = data.draw(st.sampled_from(CONDITIONS))
    facts = {name: data.draw(st.sampled_from(values(name, condition)), name) for name in inputs_of(condition)}
    answer = evaluate(condition, facts)
    given_facts = SPACE.true(exactly(facts))
    assert SPACE.possible(given_facts)
    assert SPACE.possible(given_facts, SPACE.true(condition)) is (answer is True)
    assert SPACE.possible(given_facts, SPACE.false(condition)) is (answer is False)


def test_not_of_an_unknown_is_neither_true_nor_false():
    unknown = {"not": {"input": "icd", "is": True}}
    facts = SPACE.true({"input": "icd", "known": False})
    assert not SPACE.possible(facts, SPACE.true(unknown))
    assert not SPACE.possible(facts, SPACE.false(unknown))


def test_one_condition_follows_from_another():
    higher, lower = ({"input": "hr_rest", "over": limit, "unit": "bpm"} for limit in (130, 120))
    assert SPACE.implies(higher, lower)
    assert not SPACE.implies(lower, higher)
    assert SPACE.implies({"input": "nyha", "over": 3, "unit": "NYHA class"}, {"input": "nyha", "is": 4})


def test_numbers_that_cannot_be_true_together_are_named():
    solver = Solver()
    number = solver.real("x")
    formulas = {"low": number < 1, "high": number > 2, "idle": number < 100}
    assert solver.conflict(formulas) == ("low", "high")
    assert solver.conflict({"low": number < 1, "idle": number < 100}) == ()


def test_every_number_among_the_inputs_has_a_range_and_agrees_with_what_a_form_accepts():
    numbers = {name for name, found in default_inputs().items() if found.kind == "number"}
    assert numbers == set(spans())
    plausible = {row["name"]: (float(row["low"]), float(row["high"])) for row in rows("plausible")}
    for row in rows("answers"):
        if row["quantity"] and row["name"] in numbers:
            low, high = plausible[row["quantity"]]
            span = spans()[row["name"]]
            assert span.low <= high, row["name"]
            assert span.high >= low, row["name"]

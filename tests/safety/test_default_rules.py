"""The default protocol's rules against the published expressions, on both sides of every number."""

import csv
import itertools
from pathlib import Path

import pytest

from haleward.safety.conditions import COMPARISONS, evaluate, inputs_of, leaves, to_sentence
from haleward.safety.inputs import default_inputs
from haleward.safety.protocol import default_protocol

CHECKS = Path(__file__).parent.parent / "checks"
with (CHECKS / "safety_rules.csv").open(encoding="utf-8") as file:
    EXPRESSIONS = list(csv.DictReader(file))
RULES = {rule.id: rule for name in ("UK", "US", "EU") for rule in default_protocol(name).rules}
STEP = 0.01
SOURCES = {
    row["id"]
    for row in csv.DictReader(
        (Path(__file__).parents[2] / "src/haleward/data/tables/sources.csv").read_text(encoding="utf-8").splitlines()
    )
}


def limits(condition, name):
    """Every number that ``condition`` compares ``name`` with, when other inputs are 100."""
    found = set()
    for leaf in leaves(condition):
        for test in COMPARISONS:
            limit = leaf.get(test)
            if isinstance(limit, dict):
                if name == leaf["input"]:
                    found.add(100 * limit.get("times", 1) + limit.get("plus", 0))
            elif limit is not None and leaf["input"] == name:
                found.add(limit)
        if leaf["input"] == name and isinstance(leaf.get("is"), int | float):
            found.add(leaf["is"])
    return found


def values(condition, name):
    """Values of one input worth trying: both sides of each limit, or each code and one that is none of them."""
    kind = default_inputs()[name]
    if kind.kind == "bool":
        return [True, False]
    if kind.kind == "text":
        return list(kind.values)
    numbers = limits(condition, name)
    if not numbers:
        return [100]
    return sorted({number + step for number in numbers for step in (-STEP, 0, STEP)})


@pytest.mark.parametrize("row", EXPRESSIONS, ids=[row["id"] for row in EXPRESSIONS])
def test_a_rule_fires_exactly_when_its_published_expression_holds(row):
    rule = RULES[row["id"]]
    names = inputs_of(rule.condition)
    compiled = compile(row["expression"], row["id"], "eval")
    tried = set()
    for chosen in itertools.product(*(values(rule.condition, name) for name in names)):
        facts = dict(zip(names, chosen, strict=True))
        expected = bool(eval(compiled, {"__builtins__": {}}, {"None": None, **facts}))
        assert evaluate(rule.condition, facts) is expected, facts
        tried.add(expected)
    if row["id"] not in ("R078", "R082"):  # these two also ask whether a limit is recorded at all
        assert tried == {True, False}


def test_a_saturation_under_the_general_floor_counts_only_without_a_personal_one():
    general = RULES["R078"].condition
    assert evaluate(general, {"spo2_ex": 87.9}) is True
    assert evaluate(general, {"spo2_ex": 88}) is False
    assert evaluate(general, {"spo2_ex": 87, "spo2_target_low": 85}) is False
    assert evaluate(RULES["R079"].condition, {"spo2_ex": 87}) is None


def test_a_heart_rate_near_ischaemia_counts_only_when_its_onset_is_recorded():
    near = RULES["R082"].condition
    assert evaluate(near, {"hr_ex": 150}) is False
    assert evaluate(near, {"hr_ex": 121, "ischaemic_threshold_hr": 130}) is True
    assert evaluate(near, {"hr_ex": 120, "ischaemic_threshold_hr": 130}) is False


@pytest.mark.parametrize("row", EXPRESSIONS, ids=[row["id"] for row in EXPRESSIONS])
def test_a_rule_keeps_its_published_level_urgency_place_and_sources(row):
    rule = RULES[row["id"]]
    assert rule.level == row["level"].replace(" ", "_")
    assert (rule.stage, rule.urgency, rule.jurisdiction) == (row["stage"], row["urgency"], row["jurisdiction"])
    assert rule.sources == tuple(row["source"].split(";"))


def test_no_rule_is_left_out_and_the_three_added_ones_say_that_they_are_ours():
    added = set(RULES) - {row["id"] for row in EXPRESSIONS}
    assert added == {"R124", "R125", "R126"}
    assert all("S00" in RULES[rule_id].sources for rule_id in added)


def test_every_source_named_is_in_the_table_of_sources():
    protocol = default_protocol()
    named = {
        *(source for rule in RULES.values() for source in rule.sources),
        *(source for item in protocol.stratification.items for source in item.sources),
        *(source for rule in protocol.placement.rules for source in rule.sources),
        *(check.source for check in protocol.checks),
        *(source for setting in protocol.settings.values() for source in setting.sources),
    }
    assert named <= SOURCES


def test_every_rule_reads_as_a_sentence_and_says_what_to_do():
    for rule in RULES.values():
        sentence = to_sentence(rule.condition)
        assert sentence[0].isupper() or sentence[0] == "("
        assert sentence.endswith(".")
        assert "_" not in sentence
        assert rule.wording.endswith(".")
        assert rule.advice.endswith(".")
        assert rule.trust

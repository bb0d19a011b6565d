"""Every published vignette gives its level, urgency, fired rules and risk level under the profile it names."""

import csv
import json
from pathlib import Path

import pytest

from haleward.safety.gate import session_gate
from haleward.safety.protocol import default_protocol
from haleward.safety.risk import risk_level
from haleward.safety.rules import assess, soonest

with (Path(__file__).parent.parent / "checks" / "safety_vignettes.csv").open(encoding="utf-8") as file:
    VIGNETTES = list(csv.DictReader(file))


def fired_rules(row):
    """The rules of the vignette's stage that fire; a later stage asks the entry and group rules again."""
    stages = {"entry"} if row["stage"] == "entry" else {"entry", "groups", row["stage"]}
    stages |= {"session"} if row["stage"] == "home" else set()
    rules = [rule for rule in default_protocol(row["profile"]).rules if rule.stage in stages]
    return [one for one in assess(rules, json.loads(row["inputs_json"])) if one.state == "fired"]


@pytest.mark.parametrize("row", VIGNETTES, ids=[row["id"] for row in VIGNETTES])
def test_a_vignette_fires_its_rules_at_its_level(row):
    fired = fired_rules(row)
    assert sorted(one.rule_id for one in fired) == sorted(row["fired_rules"].split())
    assert (fired[0].level if fired else "clear") == row["expected_level"].replace(" ", "_")
    assert soonest(one.urgency for one in fired) == row["expected_urgency"]


@pytest.mark.parametrize("row", VIGNETTES, ids=[row["id"] for row in VIGNETTES])
def test_a_vignette_has_its_risk_level(row):
    risk = risk_level(json.loads(row["inputs_json"]), default_protocol(row["profile"]))
    assert risk.level == row["expected_stratum"]


@pytest.mark.parametrize(
    "row",
    [row for row in VIGNETTES if row["expected_level"] == "block" and row["stage"] in ("entry", "session", "home")],
)
def test_a_vignette_that_blocks_is_not_today_at_the_gate(row):
    place = "home" if row["stage"] == "home" else "hall"
    gate = session_gate(json.loads(row["inputs_json"]), default_protocol(row["profile"]), place=place)
    assert gate.outcome == "not_today"

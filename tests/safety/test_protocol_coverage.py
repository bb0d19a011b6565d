"""Every row of the safety reference is in the default protocol, or the table says why not."""

import csv
import importlib.util
import tomllib
from pathlib import Path

import pytest

from haleward.safety.protocol import DEFAULT_FILE
from haleward.wording import default_wording

ROOT = Path(__file__).parents[2]
with (ROOT / "tests" / "checks" / "protocol_coverage.csv").open(encoding="utf-8", newline="") as file:
    ROWS = list(csv.DictReader(file))
FILE = tomllib.loads(DEFAULT_FILE.read_text(encoding="utf-8"))
KEYS = {"symptom": "key", "check": "wording", "setting": "name", "number": "name"}


def stands_in_the_protocol(place):
    """Whether a place such as rule:R001 or intensity:device_margin_bpm is written in the default file."""
    section, name = place.split(":")
    if section == "wording":
        return default_wording().has_key(name)
    found = FILE[section]
    if isinstance(found, list):
        return any(row[KEYS.get(section, "id")] == name for row in found)
    return name in found


@pytest.mark.parametrize("table", dict.fromkeys(row["table"] for row in ROWS))
def test_each_row_of_a_table_stands_where_it_is_said_to_stand(table):
    for row in ROWS:
        if row["table"] == table:
            missing = [place for place in row["where"].split() if not stands_in_the_protocol(place)]
            assert not missing, row["id"]
            assert row["where"] or row["note"], row["id"]


def test_no_rule_and_no_row_of_the_reference_is_left_out():
    count = {}
    for row in ROWS:
        count[row["table"]] = count.get(row["table"], 0) + 1
    assert count == {
        "rules": 123,
        "stratification": 29,
        "protocol_settings": 22,
        "contraindications": 24,
        "stop": 17,
        "triage": 24,
        "devices": 6,
        "groups": 18,
        "glucose": 13,
        "resistance_timing": 13,
        "sternotomy_limits": 7,
        "checks": 13,
        "staffing": 12,
        "drugs": 18,
    }
    assert [row["id"] for row in ROWS if row["table"] == "rules"] == [f"R{number:03}" for number in range(1, 124)]
    assert all(row["where"] == f"rule:{row['id']}" for row in ROWS if row["table"] == "rules")


def test_a_place_that_is_not_there_is_noticed():
    assert not stands_in_the_protocol("rule:R999")
    assert not stands_in_the_protocol("intensity:no_such_margin")
    assert not stands_in_the_protocol("wording:no_such_line")


def test_the_page_of_coverage_is_current():
    path = ROOT / "docs" / "build_protocol_coverage.py"
    spec = importlib.util.spec_from_file_location("build_protocol_coverage", path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    written = (ROOT / "docs" / "protocol_coverage.md").read_text(encoding="utf-8")
    assert written == module.page(), "Run `python docs/build_protocol_coverage.py` and commit the page."

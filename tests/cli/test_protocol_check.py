"""``haleward protocol check``: faults and findings as sentences with file, line and name, and the exit status."""

import json
import re
from pathlib import Path

import pytest

from haleward.cli import main
from haleward.safety.protocol import DEFAULT_FILE
from tests.page_text import opened

EXAMPLES = Path(__file__).parents[2] / "examples"
TEXT = DEFAULT_FILE.read_text(encoding="utf-8")


@pytest.fixture
def own(tmp_path):
    def write(*changes):
        text = TEXT
        for old, new in changes:
            assert old in text, old
            text = text.replace(old, new, 1)
        path = tmp_path / "own.toml"
        path.write_text(text, encoding="utf-8")
        return path

    return write


def test_the_default_protocol_has_no_fault(capsys):
    assert main(["protocol", "check", str(DEFAULT_FILE)]) == 0
    assert "no fault found. Protocol haleward-default" in capsys.readouterr().out


def test_a_finding_that_stands_against_signing_is_told_and_ends_with_status_two(own, capsys):
    path = own(("rest_s = 90", "rest_s = 150"))
    assert main(["protocol", "check", str(path)]) == 2
    told = capsys.readouterr().err.splitlines()
    line = TEXT[: TEXT.index("rest_s = 90")].count("\n") + 1
    said = (
        "Rest (dose.rest_s) is 150 and longest rest (dose.rest_high_s) is 120; the first must not be over the second."
    )
    assert told[0] == f"{path}, line {line}: {said} [policy dose.rest_s]"
    assert told[1].startswith("1 of 1 stand against signing. Mend it, or accept it by its name with a reason")


def test_what_is_only_to_look_at_ends_with_status_nought(own, capsys):
    path = own(
        (
            "[[accepted]]\nfinding",
            '[[accepted]]\nfinding = "dead R001 R002"\nreason = "Once so."\n\n[[accepted]]\nfinding',
        ),
    )
    assert main(["protocol", "check", str(path)]) == 0
    assert "Nothing stands against signing; 1 to look at." in capsys.readouterr().err


def test_findings_are_json_for_a_machine(own, capsys):
    path = own(("rest_s = 90", "rest_s = 150"))
    assert main(["protocol", "check", str(path), "--json"]) == 2
    told = json.loads(capsys.readouterr().out)
    assert told["faults"] == []
    assert [(one["name"], one["serious"]) for one in told["findings"]] == [("policy dose.rest_s", True)]
    assert {one["kind"] for one in told["accepted"]} >= {"dead", "gap", "duplicate"}


def test_faults_are_json_too(own, capsys):
    path = own(("rest_s = 90", 'rest_s = "90"'))
    assert main(["protocol", "check", str(path), "--json"]) == 2
    told = json.loads(capsys.readouterr().out)
    assert "dose.rest_s is '90'; it must be a whole number." in told["faults"][0]
    assert told["findings"] == []


def test_rules_settings_and_numbers_are_shown_in_the_words_of_the_protocol_page(capsys):
    assert main(["protocol", "show"]) == 0
    told = capsys.readouterr().out
    assert "\nReadings and questions of the day\n  R023  Not today    Resting blood pressure over 180 systolic" in told
    assert "R005  Check first  Breathless at rest" in told
    assert "The number for an ambulance: 999" in told
    assert "The nurse's telephone line: each service fills in its own" in told
    assert "Upper limit of resting blood pressure: 180 over 100 (S10; seen on a secondary page)" in told
    assert [code for code in ("clinician_decision", "bp_limit", "emergency_number") if code in told] == []


def test_every_rule_is_shown_once_and_a_machine_reads_its_codes(capsys):
    main(["protocol", "show"])
    told = re.findall(r"(?m)^  (R\d+)  ", capsys.readouterr().out)
    main(["protocol", "show", "--json"])
    rules = json.loads(capsys.readouterr().out)["rules"]
    assert sorted(told) == sorted(rule["id"] for rule in rules)
    assert {rule["level"] for rule in rules} == {"block", "clinician_decision", "caution", "inform"}


def test_own_wording_is_shown_beside_the_line_that_ships(own, capsys):
    line = '[[wording]]\nkey = "stop_12"\ntext = "Stop whenever you like."\nsource = "Local policy 4"\n\n'
    assert main(["protocol", "show", str(own(("[[accepted]]\nfinding", f"{line}[[accepted]]\nfinding")))]) == 0
    told = capsys.readouterr().out.splitlines()[-1]
    assert told.startswith("  “Stop whenever you like.” instead of “")
    assert told.endswith("” Source: Local policy 4.")


def test_own_wording_and_numbers_of_a_protocol_reach_the_page_of_a_session(own, tmp_path):
    line = '[[wording]]\nkey = "stop_12"\ntext = "Stop whenever you like."\nsource = "Local policy 4"\n\n'
    path = own(("[[accepted]]\nfinding", f"{line}[[accepted]]\nfinding"), ('text = "999"', 'text = "2222"'))
    person = tmp_path / "person.toml"
    text = (EXAMPLES / "alwyn.toml").read_text(encoding="utf-8")
    person.write_text(re.sub(r"(?m)^emergency_number = .*\n", "", text), encoding="utf-8")
    out = tmp_path / "out"
    words = ["session", str(person), "--protocol", str(path), "--out", str(out), "--on", "2026-11-24"]
    assert main([*words, "--checked-by", "A lead"]) == 0
    page = opened(next(out.glob("*.html")).read_text(encoding="utf-8"))
    assert "Call 2222 now" in page
    assert "Stop whenever you like." in page

"""``haleward protocol check``: faults and findings as sentences with file, line and name, and the exit status."""

import json
import re
from pathlib import Path

import pytest

from haleward.cli import main
from haleward.safety.protocol import DEFAULT_FILE

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


def test_the_numbers_and_settings_are_shown_with_the_rules(capsys):
    assert main(["protocol", "show"]) == 0
    told = capsys.readouterr().out
    assert "emergency_number  999" in told
    assert "nurse_line  each service fills in its own" in told
    assert "bp_limit  180 over 100" in told


def test_own_wording_and_numbers_of_a_protocol_reach_the_page_of_a_session(own, tmp_path):
    line = '[[wording]]\nkey = "stop_12"\ntext = "Stop whenever you like."\nsource = "Local policy 4"\n\n'
    path = own(("[[accepted]]\nfinding", f"{line}[[accepted]]\nfinding"), ('text = "999"', 'text = "2222"'))
    person = tmp_path / "person.toml"
    text = (EXAMPLES / "alwyn.toml").read_text(encoding="utf-8")
    person.write_text(re.sub(r"(?m)^emergency_number = .*\n", "", text), encoding="utf-8")
    out = tmp_path / "out"
    words = ["session", str(person), "--protocol", str(path), "--out", str(out), "--on", "2026-11-24"]
    assert main([*words, "--checked-by", "A lead"]) == 0
    page = next(out.glob("*.html")).read_text(encoding="utf-8")
    assert "Call 2222 now" in page
    assert "Stop whenever you like." in page

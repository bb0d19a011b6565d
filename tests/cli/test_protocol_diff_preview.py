"""``haleward protocol diff`` and ``preview``: in sentences, as JSON, and with files that are wrong."""

from __future__ import annotations

import json
from collections.abc import Callable
from importlib import resources
from pathlib import Path

import pytest

from haleward.cli import main
from haleward.safety.protocol import DEFAULT_FILE

TEXT = DEFAULT_FILE.read_text(encoding="utf-8")
Own = Callable[..., Path]


@pytest.fixture
def own(tmp_path: Path) -> Own:
    """Write a copy of the default protocol in which the first of each pair of texts is replaced."""

    def write(*changes: tuple[str, str], name: str = "own.toml") -> Path:
        text = TEXT
        for old, new in changes:
            assert old in text
            text = text.replace(old, new, 1)
        path = tmp_path / name
        path.write_text(text, encoding="utf-8")
        return path

    return write


@pytest.fixture
def stricter(own: Own) -> Path:
    """A protocol in which rule R017 asks for an ejection fraction of 60%."""
    start = TEXT.index('id = "R017"')
    row = TEXT[start : TEXT.index("[[rule]]", start)]
    return own((row, row.replace("under = 40", "under = 60")))


def test_a_change_is_told_in_a_sentence_with_its_direction(stricter: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["protocol", "diff", str(DEFAULT_FILE), str(stricter)]) == 0
    change, summary = capsys.readouterr().out.splitlines()
    assert change.startswith("stricter  Rule R017 now asks: Resting ejection fraction is under 60%.")
    assert summary == "1 change: 1 stricter."


def test_the_other_way_round_it_is_milder(stricter: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["protocol", "diff", str(stricter), str(DEFAULT_FILE)]) == 0
    assert capsys.readouterr().out.splitlines()[-1] == "1 change: 1 milder."


def test_two_files_that_say_the_same_are_told_so(own: Own, capsys: pytest.CaptureFixture[str]) -> None:
    path = own(("\n[protocol]", "\n# a comment decides nothing\n[protocol]"))
    assert main(["protocol", "diff", str(DEFAULT_FILE), str(path)]) == 0
    assert capsys.readouterr().out == "The two protocols say the same.\n"


def test_changes_are_json_for_a_machine(stricter: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["protocol", "diff", str(DEFAULT_FILE), str(stricter), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert (told["before"], told["after"]) == (str(DEFAULT_FILE), str(stricter))
    (change,) = told["changes"]
    assert (change["section"], change["id"], change["what"], change["direction"]) == (
        "rule",
        "R017",
        "condition",
        "stricter",
    )


def test_the_people_of_the_demo_are_asked_when_none_are_named(
    stricter: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["protocol", "preview", str(stricter)]) == 0
    told = capsys.readouterr().out
    assert "Gate before a prescription: go ahead becomes check first; rule R017 would fire." in told
    assert "people would see a change: gate before a prescription" in told.splitlines()[-1]


def test_a_preview_is_json_for_a_machine_and_names_both_protocols(
    stricter: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["protocol", "preview", str(stricter), "--against", str(DEFAULT_FILE), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["old"] == told["new"] == "haleward-default 0.2"
    assert told["counts"]["entry_gate"] == len(told["people"]) > 0
    assert told["people"][0]["differences"][0]["rule_ids"] == ["R017"]


def test_own_people_are_asked_on_the_day_that_is_named(
    stricter: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "people"
    folder.mkdir()
    demo = resources.files("haleward") / "data" / "demo" / "rowan.toml"
    (folder / "one.toml").write_text(demo.read_text(encoding="utf-8"), encoding="utf-8")
    assert main(["protocol", "preview", str(stricter), "--people", str(folder), "--on", "2026-11-25"]) == 0
    told = capsys.readouterr().out.splitlines()
    assert told[0] == "From haleward-default 0.2 to haleward-default 0.2, on 2026-11-25:"
    assert told[1] == "one"
    assert told[-1].startswith("1 of 1 people would see a change")


@pytest.mark.parametrize("command", [("diff", str(DEFAULT_FILE)), ("preview",)])
def test_a_file_with_faults_is_told_by_line_and_ends_with_status_two(
    own: Own, command: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    path = own(('level = "block"', 'level = "blok"'), name="faulty.toml")
    line = TEXT[: TEXT.index('level = "block"')].count("\n") + 1
    assert main(["protocol", *command, str(path)]) == 2
    told = capsys.readouterr()
    assert f"faulty.toml, line {line}: rule" in told.err
    assert "level is 'blok'; it must be one of" in told.err
    assert not told.out


@pytest.mark.parametrize("command", [("diff", str(DEFAULT_FILE)), ("preview",), ("check",), ("show",)])
def test_a_file_that_is_not_there_is_one_sentence(
    tmp_path: Path, command: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["protocol", *command, str(tmp_path / "none.toml")]) == 2
    told = capsys.readouterr().err
    assert "none.toml" in told
    assert len(told.splitlines()) == 1


def test_a_file_that_is_not_toml_is_one_sentence_with_its_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "text.toml"
    path.write_text("[protocol]\nid = no quotes\n", encoding="utf-8")
    assert main(["protocol", "preview", str(path)]) == 2
    assert "text.toml, line 2" in capsys.readouterr().err


def test_a_folder_without_people_is_refused(stricter: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / "nobody"
    folder.mkdir()
    assert main(["protocol", "preview", str(stricter), "--people", str(folder)]) == 2
    assert "holds no person's file" in capsys.readouterr().err
    assert main(["protocol", "preview", str(stricter), "--people", str(tmp_path / "missing")]) == 2


def test_a_day_that_is_none_is_refused(stricter: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main(["protocol", "preview", str(stricter), "--on", "yesterday"])
    assert ended.value.code == 2
    assert "yesterday" in capsys.readouterr().err

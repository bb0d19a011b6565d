"""The command line: every command answers, and every fault is a sentence with exit status 2."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from haleward.cli import main
from haleward.movement.library import default_library

Run = tuple[int, str, str]


def run(capsys: pytest.CaptureFixture[str], *words: str) -> Run:
    try:
        status = main(words)
    except SystemExit as stop:  # argparse ends the program itself
        status = int(stop.code or 0)
    out, err = capsys.readouterr()
    return status, out, err


def test_it_works(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, err = run(capsys, "--version")
    assert (status, out.split()[0], err) == (0, "haleward", "")


def test_calc_shows_the_result_the_working_and_the_source(capsys: pytest.CaptureFixture[str]) -> None:
    words = ("calc", "reserve_target_bpm", "resting_bpm=62", "maximum_bpm=140", "fraction=0.5")
    status, out, _err = run(capsys, *words)
    assert status == 0
    assert "101 bpm" in out  # 62 + 0.5 x (140 - 62)
    assert "Karvonen" in out
    status, out, _err = run(capsys, *words, "--json")
    assert json.loads(out)["steps"][0]["result"] == 101


def test_calc_lists_every_formula_with_unit_and_source(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _err = run(capsys, "calc", "--list", "--json")
    listed = json.loads(out)
    assert status == 0
    assert {"reserve_target_bpm", "peak_vo2_six_minute_walk_ross_2010"} <= {formula["name"] for formula in listed}
    assert all(formula["unit"] and formula["source"] and formula["inputs"] for formula in listed)


def test_movements_are_listed_and_shown(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _err = run(capsys, "movements", "--json")
    assert status == 0
    assert {movement["id"] for movement in json.loads(out)} == set(default_library().movements)
    status, out, _err = run(capsys, "movements", "sit_to_stand")
    assert status == 0
    assert "Put a firm chair against a wall." in out


def test_the_default_protocol_is_shown_and_checks_clean(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _err = run(capsys, "protocol", "show", "--json")
    shown = json.loads(out)
    assert status == 0
    assert len(shown["rules"]) == shown["rule_count"] > 50
    file = Path(__file__).parents[2] / "src" / "haleward" / "data" / "protocols" / "default.toml"
    status, out, err = run(capsys, "protocol", "check", str(file))
    assert (status, err) == (0, "")
    assert "no fault found" in out


def test_every_fault_of_a_protocol_is_told(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    file = tmp_path / "ours.toml"
    file.write_text("[protocol]\nid = 3\n", encoding="utf-8")
    status, out, err = run(capsys, "protocol", "check", str(file))
    assert (status, out) == (2, "")
    assert len(err.splitlines()) > 3
    assert all(line.startswith("ours.toml") for line in err.splitlines())


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("calc",), "Name a formula"),
        (("calc", "reserve_target_bm"), "did you mean reserve_target_bpm"),
        (("calc", "reserve_target_bpm", "62"), "is not of the form name=value"),
        (("calc", "reserve_target_bpm", "resting_bpm=62"), "also needs"),
        (("calc", "reserve_target_bpm", "resting_bpm=x", "maximum_bpm=140", "fraction=1"), "is not a number"),
        (("calc", "reserve_target_bpm", "resting_bpm=62", "maximum_bpm=140", "fraction=50"), "from 0 to 1"),
        (("calc", "--list", "reserve_target_bpm"), "not both"),
        (("movements", "sit_to_stnd"), "did you mean sit_to_stand?"),
        (("protocol", "check", "nowhere.toml"), "nowhere.toml: there is no such file"),
        (("session", "nowhere.toml", "--out", "x"), "nowhere.toml: there is no such file"),
        (("session", ".", "--out", "x"), "is a folder"),
        (("session", "a.toml", "--out", "x", "--on", "24/11/2026"), "write it like 2026-11-24"),
        (("serve", "--port", "99999"), "write a number from 1 to 65535"),
        (("dance",), "invalid choice"),
        ((), "COMMAND"),
    ],
)
def test_bad_input_is_a_sentence_and_status_2(
    capsys: pytest.CaptureFixture[str], words: tuple[str, ...], told: str
) -> None:
    status, out, err = run(capsys, *words)
    assert (status, out) == (2, "")
    assert told in err
    assert "Traceback" not in err


def test_a_file_that_may_not_be_read_is_a_sentence(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(self: Path) -> bytes:
        raise PermissionError(13, "Permission denied", str(self))

    monkeypatch.setattr(Path, "read_bytes", refuse)
    status, _out, err = run(capsys, "session", "locked.toml", "--out", "x")
    assert status == 2
    assert err == "locked.toml: permission denied. Choose a file or folder that you may use.\n"


def test_serve_passes_its_options_on(monkeypatch: pytest.MonkeyPatch) -> None:
    from haleward.web import run as web

    seen: list[dict[str, Any]] = []
    monkeypatch.setattr(web, "serve", lambda **options: seen.append(options))
    assert main(["serve", "--port", "8123", "--no-browser", "--data", "store"]) == 0
    assert seen == [{"port": 8123, "data": Path("store"), "open_browser": False}]


def test_demo_serves_a_store_that_is_gone_afterwards(monkeypatch: pytest.MonkeyPatch) -> None:
    from haleward.web import run as web

    seen: list[Path] = []

    def serve(**options: Any) -> None:
        assert options["data"].is_dir()
        seen.append(options["data"])

    monkeypatch.setattr(web, "serve", serve)
    assert main(["demo", "--no-browser"]) == 0
    assert not seen[0].exists()


def test_the_command_line_starts_without_django_or_the_rooms() -> None:
    script = (
        "import sys; from haleward.cli.arguments import parser; parser(); "
        "print([name for name in sys.modules if name.split('.')[0] in ('django', 'numpy', 'typst')])"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_a_terminal_without_our_characters_still_gets_an_answer() -> None:
    words = ["calc", "reserve_target_bpm", "resting_bpm=62", "maximum_bpm=140", "fraction=0.5"]
    script = f"import sys; from haleward.cli import main; sys.exit(main({words}))"
    environment = {"PYTHONIOENCODING": "ascii", "PATH": ""}
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, env=environment, check=False)
    assert (done.returncode, done.stderr) == (0, "")
    assert "101 bpm" in done.stdout


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.sampled_from(["calc", "--list", "--json", "movements", "protocol", "show", "x=1", "é", ""]), max_size=4)
)
def test_no_words_give_anything_but_a_status(words: list[str]) -> None:
    try:
        status = main(words)
    except SystemExit as stop:
        status = int(stop.code or 0)
    assert status in (0, 2)

"""``haleward movements``: list, show, check and draw; what cannot be done is one sentence with exit status 2."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from haleward.cli import library, main, progress
from haleward.movement import checking
from haleward.movement.checking import Thoroughness
from haleward.movement.library import DEFAULT_FOLDER, Library, default_library

Run = tuple[int, str, str]
FEW = Thoroughness(((1.45, 20), (2.00, 42)), 3)


def run(capsys: pytest.CaptureFixture[str], *words: str) -> Run:
    status = main(words)
    out, err = capsys.readouterr()
    return status, out, err


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """The everyday check on two bodies and the thorough one on one more, so that the test is quick."""
    monkeypatch.setattr(library, "EVERYDAY", FEW)
    monkeypatch.setattr(library, "THOROUGH", Thoroughness((*FEW.sizes, (1.70, 24)), 5))


@pytest.fixture
def copied(tmp_path: Path) -> Path:
    path = tmp_path / "knee_extension.toml"
    path.write_text((DEFAULT_FOLDER / path.name).read_text(encoding="utf-8"), encoding="utf-8")
    return path


def test_the_list_names_every_movement_with_its_region_and_postures(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _ = run(capsys, "movements")
    assert status == 0
    assert [line.split()[0] for line in out.splitlines()] == sorted(default_library().movements)
    assert "knee_extension  knee  seated\n" in out


def test_one_movement_is_shown_with_its_ladder_and_who_reviewed_it(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _ = run(capsys, "movements", "knee_extension")
    assert status == 0
    assert "Reviewed by nobody yet." in out
    assert "Ladder, easiest first\n  1. seated, own weight. Start here" in out
    assert "  2. seated, band or ankle weight. Keep the posture and add a load" in out


@pytest.mark.usefixtures("quick")
@pytest.mark.parametrize(("how", "bodies"), [((), 2), (("--thorough",), 3)])
def test_a_sound_file_is_checked_on_as_many_bodies_as_asked(
    capsys: pytest.CaptureFixture[str], copied: Path, how: tuple[str, ...], bodies: int
) -> None:
    status, out, _ = run(capsys, "movements", "check", str(copied), *how)
    assert (status, out) == (
        0,
        f"1 file, each on {bodies} bodies: nothing wrong was found. A clinician still has to look.\n",
    )
    _, out, _ = run(capsys, "movements", "check", str(copied), *how, "--json")
    assert json.loads(out) == {"files": ["knee_extension.toml"], "bodies": bodies, "faults": []}


@pytest.mark.usefixtures("quick")
def test_a_fault_on_a_body_is_told_with_the_body_and_the_pose(capsys: pytest.CaptureFixture[str], copied: Path) -> None:
    text = copied.read_text(encoding="utf-8").replace('hands = ["thigh", "thigh"]', 'hands = ["free", "free"]')
    copied.write_text(text, encoding="utf-8")
    status, out, err = run(capsys, "movements", "check", str(copied))
    assert (status, out) == (2, "")
    assert "[postures.seated]: from start on, at 2.00 m and a body mass index of 42" in err
    assert "goes into the left thigh" in err
    assert "Traceback" not in err


@pytest.mark.usefixtures("quick")
def test_every_faulty_file_of_a_folder_is_told(capsys: pytest.CaptureFixture[str], copied: Path) -> None:
    (copied.parent / "broken.toml").write_text("id = \n", encoding="utf-8")
    (copied.parent / "empty.toml").write_text("", encoding="utf-8")
    status, _, err = run(capsys, "movements", "check", str(copied.parent))
    assert status == 2
    assert "broken.toml" in err
    assert "empty.toml" in err
    assert "knee_extension.toml" not in err


def test_a_folder_without_movements_and_a_file_that_is_not_there_are_said(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    status, _, err = run(capsys, "movements", "check", str(tmp_path))
    assert status == 2
    assert "holds no movement file (*.toml)." in err
    status, _, err = run(capsys, "movements", "check", str(tmp_path / "none.toml"))
    assert status == 2
    assert "none.toml" in err
    assert len(err.strip().splitlines()) == 1


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("sheet",), "Say where the sheet goes: --out FILE.pdf or --out FILE.html."),
        (("sheet", "--out", "sheet.docx"), "--out FILE.pdf or --out FILE.html."),
        (("sheet", "--thorough"), "--thorough belongs to: haleward movements check."),
        (("check", "--out", "sheet.pdf"), "--out belongs to: haleward movements sheet."),
        (("check", "--force"), "--force belongs to: haleward movements sheet."),
        (("knee_extension", "somewhere.toml"), "a file or folder belongs to: haleward movements check."),
        (("chek",), "did you mean check?"),
        (("handstand",), "The list shows every one: haleward movements."),
    ],
)
def test_what_cannot_be_asked_is_said(capsys: pytest.CaptureFixture[str], words: tuple[str, ...], says: str) -> None:
    status, out, err = run(capsys, "movements", *words)
    assert (status, out) == (2, "")
    assert says in err


@pytest.fixture
def small_library(monkeypatch: pytest.MonkeyPatch) -> Library:
    kept = ("knee_extension", "tandem_stance")
    small = Library({name: default_library().movement(name) for name in kept})
    monkeypatch.setattr(library, "default_library", lambda: small)
    return small


@pytest.mark.parametrize(("name", "begins"), [("sheet.pdf", b"%PDF-"), ("sheet.html", b"<!doctype html>")])
def test_the_sheet_is_written_and_never_over_another_file(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, small_library: Library, name: str, begins: bytes
) -> None:
    path = tmp_path / name
    forms = sum(len(movement.postures) for movement in small_library.movements.values())
    status, out, _ = run(capsys, "movements", "sheet", "--out", str(path))
    assert (status, out) == (0, f"{path}: {forms} movements in their postures.\n")
    assert path.read_bytes().startswith(begins)
    status, _, err = run(capsys, "movements", "sheet", "--out", str(path))
    assert status == 2
    assert name in err
    status, out, _ = run(capsys, "movements", "sheet", "--out", str(path), "--force", "--json")
    assert (status, json.loads(out)) == (0, {"file": str(path), "forms": forms})


def test_work_that_takes_long_shows_how_far_it_is(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, copied: Path
) -> None:
    monkeypatch.setattr("sys.stderr.isatty", lambda: True)
    monkeypatch.setattr(progress, "QUIET_FOR_S", 0.0)
    monkeypatch.setattr(library, "EVERYDAY", FEW)
    assert checking.movement_files(copied.parent) == [copied]
    _, _, err = run(capsys, "movements", "check", str(copied))
    assert f"Checking movements [{'#' * progress.WIDTH}] 1 of 1\n" in err

"""``haleward session``: the three people to copy, played through to page, booklet and worksheet."""

from __future__ import annotations

import io
import json
import re
import resource
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from haleward.cli import main
from haleward.cli.output import write_files
from haleward.cli.session import refused
from haleward.dose.model import Prescription
from haleward.dose.prescription import prescribe
from haleward.errors import HalewardError
from haleward.exchange.person_file import read_person_text
from haleward.movement.library import default_library
from haleward.safety.protocol import default_protocol
from tests.page_text import opened

EXAMPLES = Path(__file__).parents[2] / "examples"
ON = "2026-11-24"
FILES = {"session.html", "booklet.pdf", "worksheet.txt", "session.json"}
_SCRIPT = re.compile(r"<script>.*?</script>", re.DOTALL)  # the same on every page; it names a pulse that can be asked
_RATE = re.compile(r"(\d{2,3})(?:\.\d+)?\s*(?:bpm|beats)", re.IGNORECASE)


@dataclass(frozen=True)
class Played:
    """What one example gave."""

    out: str
    page: str
    booklet: str
    worksheet: str
    data: dict[str, Any]


def arguments(name: str, folder: Path, *more: str) -> list[str]:
    return ["session", str(EXAMPLES / f"{name}.toml"), "--out", str(folder), "--on", ON, *more]


def example(name: str, *changes: tuple[str, str]) -> str:
    text = (EXAMPLES / f"{name}.toml").read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return text


@pytest.fixture(scope="module")
def played(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Played]:
    found = {}
    for name in ("morag", "alwyn", "ines"):
        folder = tmp_path_factory.mktemp(name)
        assert main(arguments(name, folder)) == 0
        assert {path.name for path in folder.iterdir()} == FILES
        page = (folder / "session.html").read_text(encoding="utf-8")
        pdf = PdfReader(io.BytesIO((folder / "booklet.pdf").read_bytes()))
        found[name] = Played(
            out=str(folder),
            page=opened(page),
            booklet="\n".join(sheet.extract_text() for sheet in pdf.pages),
            worksheet=(folder / "worksheet.txt").read_text(encoding="utf-8"),
            data=json.loads((folder / "session.json").read_text(encoding="utf-8")),
        )
    return found


@pytest.mark.parametrize("name", ["morag", "alwyn", "ines"])
def test_it_works(played: dict[str, Played], name: str) -> None:
    made = played[name]
    titles = [exercise["title"] for exercise in made.data["sheet"]["exercises"]]
    assert len(titles) >= 2
    booklet = " ".join(made.booklet.split())
    for title in titles:
        assert title in made.page
        assert title in booklet
        assert title in made.worksheet
    assert "999" in made.page
    assert "999" in booklet
    assert "go_ahead" in json.dumps(made.data["prescription"]["gate"])


def test_a_usable_heart_rate_is_worked_out_with_its_source(played: dict[str, Played]) -> None:
    intensity = played["morag"].data["prescription"]["intensity"]
    # Age 62 under a beta-blocker: 205.8 - 0.685 x 62 - 30 = 133.33; 62 + 0.4 and 0.7 of the reserve of 71.33.
    assert intensity["low_bpm"] == pytest.approx(90.532)
    assert intensity["high_bpm"] == pytest.approx(111.931)
    assert "Inbar" in played["morag"].worksheet
    assert played["morag"].data["prescription"]["placement"]["posture"] == "standing"


def test_atrial_fibrillation_shows_no_heart_rate_anywhere(played: dict[str, Played]) -> None:
    made = played["alwyn"]
    assert made.data["prescription"]["intensity"]["low_bpm"] is None
    assert made.data["prescription"]["intensity"]["not_usable_reason"]
    assert '"heart_rate":null' in made.page  # so that no pulse is asked
    for text in (_SCRIPT.sub("", made.page), made.booklet):
        assert "bpm" not in text.lower()
        assert not _RATE.search(text)
        assert "beats a minute" not in text


def test_the_person_who_needs_support_never_stands_free(played: dict[str, Played]) -> None:
    made = played["alwyn"]
    assert made.data["prescription"]["placement"]["posture"] == "hand_supported"
    exercises = [e for part in made.data["programme"]["parts"] for e in part["exercises"]]
    assert exercises
    assert all(exercise["posture"] in ("seated", "hand_supported") for exercise in exercises)


def test_the_person_with_two_bottles_is_given_bottles_of_their_mass(played: dict[str, Played]) -> None:
    exercises = [e for part in played["alwyn"].data["programme"]["parts"] for e in part["exercises"]]
    loads = {(e["dose"]["load"]["kit"], e["dose"]["load"]["mass_kg"]) for e in exercises}
    assert ("bottle", 1.0) in loads
    assert {kit for kit, _mass in loads} <= {"bottle", "own_weight"}
    assert "A 1 L bottle full of water is taken as 1 kg" in played["alwyn"].worksheet


def test_no_rate_for_the_person_with_a_device_passes_its_ceiling(played: dict[str, Played]) -> None:
    made = played["ines"]
    intensity = made.data["prescription"]["intensity"]
    device = next(ceiling["bpm"] for ceiling in intensity["ceilings"] if ceiling["origin"] == "device")
    assert device < 150
    assert intensity["high_bpm"] <= device
    for text in (made.page, made.booklet):
        assert all(float(rate) <= device for rate in _RATE.findall(text))


def test_a_restriction_removes_movements_and_says_why(played: dict[str, Played]) -> None:
    made = played["ines"]
    used = {e["movement_id"] for part in made.data["programme"]["parts"] for e in part["exercises"]}
    out = {left["movement_id"]: left["reason"] for left in made.data["programme"]["left_out"]}
    assert "overhead_press" not in used
    assert "Device clinic" in out["overhead_press"]


def test_part_two_and_the_walk_can_be_made(tmp_path: Path) -> None:
    for part in ("two", "walk"):
        assert main(arguments("morag", tmp_path / part, "--part", part)) == 0
        data = json.loads((tmp_path / part / "session.json").read_text(encoding="utf-8"))
        assert data["sheet"]["part_key"] == part


def test_files_that_are_there_are_kept_unless_forced(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "worksheet.txt").write_text("mine", encoding="utf-8")
    assert main(arguments("morag", tmp_path)) == 2
    assert "already holds worksheet.txt" in capsys.readouterr().err
    assert [path.name for path in tmp_path.iterdir()] == ["worksheet.txt"]
    assert main(arguments("morag", tmp_path, "--force")) == 0
    assert (tmp_path / "worksheet.txt").read_text(encoding="utf-8") != "mine"


def test_the_summary_is_there_for_machines(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(arguments("morag", tmp_path, "--json")) == 0
    said = json.loads(capsys.readouterr().out)
    assert said["gate"] == "go_ahead"
    assert {Path(file).name for file in said["files"]} == FILES


def test_not_today_makes_nothing_whoever_has_checked(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "morag.toml"
    file.write_text(example("morag", ("angina_rest_or_worse = false", "angina_rest_or_worse = true")), encoding="utf-8")
    out = tmp_path / "out"
    words = ["session", str(file), "--out", str(out), "--on", ON, "--checked-by", "A. Nurse"]
    assert main(words) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert "Not today" in told.err
    assert "R002" in told.err
    assert not out.exists()


def test_check_first_needs_a_name_and_keeps_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "morag.toml"
    file.write_text(example("morag", ("lvef_pct = 55\n", "")), encoding="utf-8")
    words = ["session", str(file), "--out", str(tmp_path / "out"), "--on", ON]
    assert main(words) == 2
    told = capsys.readouterr().err
    assert "Check first" in told
    assert "lvef_pct" in told or "ejection fraction" in told
    assert not (tmp_path / "out").exists()
    assert main([*words, "--checked-by", "A. Nurse"]) == 0
    assert "Checked by A. Nurse" in (tmp_path / "out" / "worksheet.txt").read_text(encoding="utf-8")
    assert json.loads((tmp_path / "out" / "session.json").read_text(encoding="utf-8"))["checked_by"] == "A. Nurse"


def test_a_blank_name_is_no_name() -> None:
    assert "not today" in refused(_prescribed(("angina_rest_or_worse = false", "angina_rest_or_worse = true")), "N")
    assert "--checked-by" in refused(_prescribed(("lvef_pct = 55\n", "")), "")
    assert refused(_prescribed(), "") == ""


def _prescribed(*changes: tuple[str, str]) -> Prescription:
    today = date.fromisoformat(ON)
    record = read_person_text(example("morag", *changes), file="morag.toml", today=today).record
    return prescribe(record, protocol=default_protocol(), library=default_library(), today=today)


def test_every_fault_of_the_file_is_one_line_on_standard_error(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "person.toml"
    file.write_text(
        example("morag", ('"165 cm"', '"165"'), ("resting_bpm = 62", "resting_bpm = 620")), encoding="utf-8"
    )
    assert main(["session", str(file), "--out", str(tmp_path / "out"), "--on", ON]) == 2
    told = capsys.readouterr().err.splitlines()
    assert len(told) == 2
    assert all(line.startswith("person.toml, line ") for line in told)


def test_nothing_in_the_examples_could_be_a_real_number() -> None:
    for path in EXAMPLES.glob("*.toml"):
        text = path.read_text(encoding="utf-8")
        numbers = re.findall(r'"(0\d[\d ]{8,})"', text)
        assert numbers
        assert all(re.match(r"01632 960\d{3}$|07700 900\d{3}$", number) for number in numbers)


def test_large_print_and_card_are_made_when_asked_for(tmp_path: Path) -> None:
    links = ("--page-link", "https://heart.example/me/1/", "--film-link", "https://heart.example/me/1/film/")
    assert main(arguments("morag", tmp_path, "--large-print", "--card", *links)) == 0
    assert {path.name for path in tmp_path.iterdir()} == FILES | {"booklet-large-print.pdf", "card.pdf"}
    for name in ("booklet.pdf", "booklet-large-print.pdf"):
        text = " ".join(" ".join(page.extract_text() for page in PdfReader(tmp_path / name).pages).split())
        assert "Monday: Part one" in text or "Monday Part one" in text
        assert "Point the camera of a phone or tablet" in text


def test_an_address_that_is_none_is_told_before_anything_is_written(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(arguments("morag", tmp_path / "out", "--page-link", "my page")) == 2
    assert capsys.readouterr().err == '"my page" cannot go into a code; give an address that starts with https://.\n'
    assert not (tmp_path / "out").exists()


def test_a_disk_without_room_leaves_nothing_half_made(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (40_000, hard))
    try:
        status = main(arguments("morag", tmp_path / "out"))
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
    assert status == 2
    told = capsys.readouterr().err.splitlines()
    assert len(told) == 1
    assert "Nothing was written" in told[0]
    assert not (tmp_path / "out").exists()


def test_a_disk_without_room_keeps_the_files_that_were_there(tmp_path: Path) -> None:
    (tmp_path / "booklet.pdf").write_bytes(b"the old one")
    with pytest.raises(HalewardError, match="Nothing was written"):
        write_files(tmp_path, {"booklet.pdf": b"new", "no/such/folder": b""}, force=True)
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == {"booklet.pdf": b"the old one"}

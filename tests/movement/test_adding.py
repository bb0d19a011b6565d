"""The page on adding a movement works: its example is read, checked on bodies and drawn."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from haleward.errors import FileFault
from haleward.movement.body import Body
from haleward.movement.checking import EVERYDAY, check_file
from haleward.movement.examine import examine
from haleward.movement.library import load_library
from haleward.render.figure import cycle_frames, still
from haleward.wording import default_wording
from tests.architecture.tree import ROOT

PAGE = (ROOT / "docs" / "adding-a-movement.md").read_text(encoding="utf-8")


@pytest.fixture
def example(tmp_path: Path) -> Path:
    found = re.findall(r"```toml\n(.*?)```", PAGE, flags=re.DOTALL)
    assert len(found) == 1
    path = tmp_path / "shoulder_shrug.toml"
    path.write_text(found[0], encoding="utf-8")
    return path


def test_the_example_is_read_and_drawn_as_one_file(example: Path) -> None:
    library = load_library(example.parent)
    assert set(library.movements) == {"shoulder_shrug"}
    start, end = (
        still(
            *("shoulder_shrug", "seated"),
            kit="own_weight",
            pose=pose,
            stature_m=1.6,
            mass_kg=80,
            look="silver",
            library=library,
        )
        for pose in ("start", "end")
    )
    assert start != end
    assert "#D9480F" in start  # its arrow
    frames = cycle_frames(
        *("shoulder_shrug", "seated"),
        kit="own_weight",
        stature_m=None,
        mass_kg=None,
        look="",
        frames_each_way=5,
        library=library,
    )
    assert len(frames.out) == 5


def test_nothing_is_wrong_with_the_example_on_any_body_of_the_check(example: Path) -> None:
    form = load_library(example.parent).form("shoulder_shrug", "seated")
    for stature_m, bmi in EVERYDAY.sizes:
        body = Body(stature_m=stature_m, mass_kg=bmi * stature_m**2)
        assert examine(form, body, instants=EVERYDAY.instants) == []


def test_the_check_says_which_words_are_still_missing(example: Path) -> None:
    with pytest.raises(FileFault) as refused:
        check_file(example, default_wording(), how=EVERYDAY)
    (fault,) = refused.value.faults
    assert "the wording has no row for shoulder_shrug seated in movements.csv" in fault


def test_the_refusal_on_the_page_is_the_one_given(example: Path) -> None:
    text = example.read_text(encoding="utf-8")
    head, end = text.split("[postures.seated.poses.end]")
    example.write_text(
        head + "[postures.seated.poses.end]" + end.replace("leg_left = [90, 4, 0, 90", "leg_left = [90, 4, 0, 190", 1),
        encoding="utf-8",
    )
    with pytest.raises(FileFault) as refused:
        load_library(example.parent)
    (fault,) = refused.value.faults
    assert f"    {fault}" in PAGE

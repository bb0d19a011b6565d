"""Pictures and frames of every movement, posture and kit."""

from __future__ import annotations

import json
import xml.etree.ElementTree as ElementTree

import pytest

from haleward.errors import HalewardError
from haleward.movement.library import default_library
from haleward.movement.loads import KitKind
from haleward.record import Posture
from haleward.render import figure, kit
from haleward.render.figure import LOOKS, Looks, animation, gallery, still
from tests.render.svg_paths import path_points

SVG = "{http://www.w3.org/2000/svg}"
PLAIN_LOOKS = [key for key in Looks if LOOKS[key].prosthesis is None]
BODIES = [(1.50, 50.0), (1.62, 85.0), (1.70, 70.0), (1.78, 110.0), (1.95, 78.0), (None, None)]
MOST_JSON_BYTES = 200_000
GALLERY = gallery()
ONE_KIT_EACH = {(name, posture): kind for name, posture, kind in GALLERY}


def picture(name: str, posture: Posture, kind: KitKind, pose: str, number: int = 0) -> str:
    stature_m, mass_kg = BODIES[number % len(BODIES)]
    return still(
        *(name, posture),
        kit=kind,
        pose="start" if pose == "start" else "end",
        stature_m=stature_m,
        mass_kg=mass_kg,
        look=PLAIN_LOOKS[number % len(PLAIN_LOOKS)],
    )


def frames(name: str, posture: Posture, kind: KitKind, side: str = "") -> dict[str, object]:
    form = default_library().form(name, posture)
    return animation(
        *(name, posture),
        kit=kind,
        stature_m=1.7,
        mass_kg=90,
        look="beard",
        out_s=form.out_s,
        pause_s=form.pause_s,
        back_s=form.back_s,
        side=side,
    )


@pytest.mark.parametrize(("number", "case"), list(enumerate(GALLERY)), ids=lambda value: str(value))
def test_a_picture_is_whole_and_shows_exactly_the_kit_prescribed(
    number: int, case: tuple[str, Posture, KitKind]
) -> None:
    name, posture, kind = case
    texts = [picture(name, posture, kind, pose, number) for pose in ("start", "end")]
    assert texts[0] != texts[1]
    for text in texts:
        root = ElementTree.fromstring(text)
        title = root.find(f"{SVG}title")
        assert title is not None
        assert title.text
        assert not [element for element in root.iter() if "id" in element.attrib]
        assert root.find(f"{SVG}rect") is None
        width, height = (float(root.attrib[side]) for side in ("width", "height"))
        for path in root.iter(f"{SVG}path"):
            half = float(path.attrib.get("stroke-width", 0)) / 2 if path.attrib["fill"] == "none" else 0.0
            for x, y in path_points(path.attrib["d"]):
                assert half - 1 <= x <= width - half + 1, case
                assert half - 1 <= y <= height - half + 1, case
        assert (kit.BOTTLE in text) == (kind == "bottle")
        assert (kit.BAND in text) == (kind == "band")
        assert (kit.WEIGHT in text) == (kind in ("hand_weight", "ankle_weight"))


@pytest.mark.parametrize(("name", "posture"), ONE_KIT_EACH)
def test_frames_are_small_and_lead_from_start_to_end_and_back(name: str, posture: Posture) -> None:
    data = frames(name, posture, ONE_KIT_EACH[name, posture])
    assert len(json.dumps(data, separators=(",", ":"))) <= MOST_JSON_BYTES
    pictures, colours = data["frames"], data["palette"]
    assert isinstance(pictures, list)
    assert isinstance(colours, list)
    out, back = data["out"], data["back"]
    assert isinstance(out, list)
    assert isinstance(back, list)
    assert set(out) | set(back) == set(range(len(pictures)))
    assert out[0] == data["start"]
    assert data["end"] in out
    assert data["start"] != data["end"]
    assert out[-1] == back[0] or default_library().form(name, posture).scene.belt
    assert pictures[back[-1]] == pictures[out[0]] or default_library().form(name, posture).scene.belt
    for entry in (entry for shapes in pictures for entry in shapes):
        path, fill, stroke, width = entry
        assert path.startswith("M")
        assert -1 <= fill < len(colours)
        assert -1 <= stroke < len(colours)
        assert (stroke >= 0) == (width > 0)
        assert (fill >= 0) != (stroke >= 0)


def test_the_same_question_gives_the_same_picture_even_without_the_cache() -> None:
    before = picture("band_row", "seated", "band", "end")
    moving = json.dumps(frames("step_up", "standing", "own_weight", "left"))
    for cached in (figure._still, figure._animation, figure._poser):
        cached.cache_clear()
    assert picture("band_row", "seated", "band", "end") == before
    assert json.dumps(frames("step_up", "standing", "own_weight", "left")) == moving


def test_left_and_right_are_drawn_as_asked() -> None:
    sides = {
        side: still(
            *("knee_lift", "standing"),
            kit="own_weight",
            pose="end",
            stature_m=1.7,
            mass_kg=70,
            look="silver",
            side=side,
        )
        for side in ("left", "right")
    }
    assert sides["left"] != sides["right"]
    assert frames("biceps_curl", "hand_supported", "bottle", "left") != frames(
        "biceps_curl", "hand_supported", "bottle", "right"
    )


def test_a_person_of_another_size_is_drawn_differently() -> None:
    texts = {picture("sit_to_stand", "standing", "own_weight", "start", n) for n in range(len(BODIES) - 1)}
    assert len(texts) == len(BODIES) - 1


def test_the_title_is_the_text_alternative_and_is_escaped() -> None:
    text = still(
        *("wall_press", "standing"),
        kit="own_weight",
        pose="start",
        stature_m=None,
        mass_kg=None,
        look="",
        title="Hands <on> the wall",
    )
    title = ElementTree.fromstring(text).find(f"{SVG}title")
    assert title is not None
    assert title.text == "Hands <on> the wall"


def test_an_arrow_is_drawn_only_when_asked() -> None:
    plain = still(
        *("biceps_curl", "seated"),
        kit="own_weight",
        pose="start",
        stature_m=1.7,
        mass_kg=70,
        look="silver",
        arrow=False,
    )
    assert "#D9480F" not in plain
    assert "#D9480F" in picture("biceps_curl", "seated", "own_weight", "start")


def test_kit_a_movement_is_not_done_with_is_refused() -> None:
    with pytest.raises(
        HalewardError, match='"wall_press" standing is not done with bottle; it is done with own_weight'
    ):
        picture("wall_press", "standing", "bottle", "start")


def test_a_continuous_walk_moves_at_an_even_pace() -> None:
    data = frames("walking", "standing", "own_weight")
    assert len(set(map(json.dumps, data["frames"]))) == len(data["frames"])  # type: ignore[arg-type,call-overload]

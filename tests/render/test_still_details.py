"""Details of a picture that help to read it: the word for a hold, the lens on a foot, wheelchair and prosthesis."""

from __future__ import annotations

import xml.etree.ElementTree as ElementTree
from typing import Literal

import pytest

from haleward.movement.library import default_library
from haleward.record import Posture
from haleward.render.figure import LOOKS, still
from haleward.render.figure_body import SOCKET, STEEL
from haleward.render.figure_closeup import GROUND
from haleward.render.props import WOOD
from haleward.render.props_machines import METAL_DARK

SVG = "{http://www.w3.org/2000/svg}"
FORMS = [(m.id, posture, form) for m in default_library().movements.values() for posture, form in m.postures.items()]
HOLDS = [(name, posture) for name, posture, form in FORMS if form.hold]
LENSES = [(name, posture) for name, posture, form in FORMS if form.scene.closeup]


def drawn(name: str, posture: Posture, pose: Literal["start", "end"] = "end", look: str = "silver") -> str:
    kit = default_library().form(name, posture).kits[0]
    return still(name, posture, kit=kit, pose=pose, stature_m=1.7, mass_kg=75, look=look)


def words_of(picture: str) -> list[str]:
    return [element.text or "" for element in ElementTree.fromstring(picture).iter(f"{SVG}text")]


@pytest.mark.parametrize(("name", "posture"), HOLDS)
def test_a_position_that_is_held_says_so_in_the_picture_and_in_its_alternative(name: str, posture: Posture) -> None:
    end, start = drawn(name, posture), drawn(name, posture, "start")
    assert words_of(end) == ["hold"]
    assert words_of(start) == []
    title = ElementTree.fromstring(end).findtext(f"{SVG}title") or ""
    assert title.endswith("The position is held.")


def test_there_are_holds_and_lenses_to_look_at() -> None:
    assert ("single_leg_stance", "standing") in HOLDS
    assert ("ankle_pumps", "seated") in LENSES
    assert ("biceps_curl", "seated") not in HOLDS + LENSES


@pytest.mark.parametrize(("name", "posture"), LENSES)
def test_a_small_movement_of_the_foot_is_shown_large_in_a_lens(name: str, posture: Posture) -> None:
    for pose in ("start", "end"):
        fills = [p.attrib["fill"] for p in ElementTree.fromstring(drawn(name, posture, pose)).iter(f"{SVG}path")]
        assert fills.count(GROUND) == 1
        after = fills[fills.index(GROUND) :]
        assert after.count(LOOKS["silver"].shoe) == 1  # the shoe a second time, in the lens


def test_the_lens_shows_the_prosthesis_of_who_has_one() -> None:
    fills = [
        p.attrib["fill"]
        for p in ElementTree.fromstring(drawn("heel_raise", "standing", look="prosthesis")).iter(f"{SVG}path")
    ]
    lens = fills[fills.index(GROUND) :]
    assert STEEL in lens
    assert LOOKS["prosthesis"].trousers not in lens


def test_a_movement_without_a_lens_has_one_shoe_for_each_foot() -> None:
    picture = drawn("biceps_curl", "standing")
    assert GROUND not in picture


@pytest.mark.parametrize("look", [name for name, look in LOOKS.items() if look.wheelchair])
def test_who_uses_a_wheelchair_sits_in_it_where_a_movement_is_seated_throughout(look: str) -> None:
    seated, rising = drawn("biceps_curl", "seated", look=look), drawn("sit_to_stand", "standing", "start", look)
    assert METAL_DARK in seated  # the rims
    assert WOOD not in seated  # no wooden chair
    assert WOOD in rising
    assert seated.count("<path") > drawn("biceps_curl", "seated").count("<path")


@pytest.mark.parametrize("look", [name for name, look in LOOKS.items() if look.prosthesis])
def test_a_prosthesis_is_drawn_below_the_knee_of_its_side_only(look: str) -> None:
    picture = drawn("knee_extension", "seated", look=look)
    fills = [path.attrib["fill"] for path in ElementTree.fromstring(picture).iter(f"{SVG}path")]
    assert fills.count(SOCKET) == 1
    assert fills.count(STEEL) == 1
    assert SOCKET not in drawn("knee_extension", "seated")


def test_the_two_prostheses_are_on_different_legs() -> None:
    sides = {LOOKS[name].prosthesis for name in ("prosthesis", "prosthesis_right")}
    assert sides == {"left", "right"}

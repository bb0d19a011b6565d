"""Charts say in words what they show, carry no inline style and follow the path's own shape."""

import re
from xml.etree import ElementTree

import altair as alt
import pytest

from haleward.movement.body import Body
from haleward.movement.library import default_library
from haleward.movement.torque import LoadPath, load_path
from haleward.render.chart import drawn, load_chart

SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def curl() -> LoadPath:
    form = default_library().form("biceps_curl", "standing")
    return load_path(form, Body(stature_m=1.70, mass_kg=80), joint="elbow", scheme="winter")


@pytest.fixture(scope="module")
def picture(curl: LoadPath) -> str:
    return load_chart(curl, title="How hard an arm curl is <on the way up>")


def test_it_works(picture: str) -> None:
    root = ElementTree.fromstring(picture)
    assert root.attrib["role"] == "img"
    assert root.find(f"{SVG}title").text == "How hard an arm curl is <on the way up>"  # type: ignore[union-attr]
    assert root.find(f"{SVG}desc").text == "Hardest when the forearm is level."  # type: ignore[union-attr]


def test_the_words_of_the_axes_are_in_the_picture(picture: str) -> None:
    words = re.findall(r">([^<>]+)</text>", picture)
    assert {"start", "half way", "end", "hardest", "no load"} <= set(words)


def test_a_strict_page_may_show_it(picture: str) -> None:
    assert "style=" not in picture
    assert "<style" not in picture
    assert "<script" not in picture
    assert "http" not in picture.replace("http://www.w3.org/", "")


def test_two_drawings_of_the_same_path_are_the_same(curl: LoadPath, picture: str) -> None:
    assert load_chart(curl, title="How hard an arm curl is <on the way up>") == picture


def test_what_a_chart_says_may_hold_any_sign() -> None:
    chart = alt.Chart(alt.Data(values=[{"x": 1}])).mark_point().encode(x="x:Q")
    said = ElementTree.fromstring(drawn(chart, title=r"\1 <a>", description=r"2.5 mg\day & more"))
    assert said.find(f"{SVG}desc").text == r"2.5 mg\day & more"  # type: ignore[union-attr]
    assert said.find(f"{SVG}title").text == r"\1 <a>"  # type: ignore[union-attr]

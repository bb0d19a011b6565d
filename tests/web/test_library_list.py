"""The list of movements: what is found, what is left out, and how many."""

import re

import pytest
from django.test import Client

from haleward.dose.cautions import allowance
from haleward.movement.library import default_library
from haleward.web.accounts.models import User
from haleward.web.library.catalogue import CHOICES, Catalogue, Sought
from haleward.wording import default_wording
from tests.web.conftest import as_user

CATALOGUE = Catalogue(default_library(), default_wording(), light_kg=1.0)
TOTAL = len(default_library().movements)


def ids(**sought: str) -> set[str]:
    return {row.movement.id for row in CATALOGUE.found(Sought(**sought))}


@pytest.fixture
def client_(lead: User) -> Client:
    return as_user(lead)


def test_nothing_asked_shows_every_movement_once() -> None:
    assert len(CATALOGUE.found(Sought())) == len(ids()) == TOTAL


def test_words_of_the_purpose_find_a_movement_in_any_number_of_words() -> None:
    assert "biceps_curl" in ids(words="kettle")
    assert ids(words="kettle shopping") <= ids(words="kettle")
    assert ids(words="STAIRS") == ids(words="stair") != set()
    assert ids(words="zebra") == set()


@pytest.mark.parametrize("posture", CHOICES["posture"])
def test_a_posture_shows_each_movement_in_that_posture(posture: str) -> None:
    rows = CATALOGUE.found(Sought(posture=posture))
    assert rows
    assert {row.posture for row in rows} == {posture}


@pytest.mark.parametrize("kit", CHOICES["kit"])
def test_kit_shows_each_movement_with_that_kit_in_a_posture_that_has_it(kit: str) -> None:
    rows = CATALOGUE.found(Sought(kit=kit))
    assert rows
    for row in rows:
        assert row.kit == kit
        assert kit in row.movement.postures[row.posture].kits


@pytest.mark.parametrize("caution", CHOICES["caution"])
def test_a_condition_never_shows_what_the_library_does_not_allow_with_it(caution: str) -> None:
    rows = CATALOGUE.found(Sought(caution=caution))
    assert 0 < len(rows) < TOTAL or caution == "balance"
    for row in rows:
        left = allowance(row.movement.cautions[caution], light_load_most_kg=1.0)
        assert left.allowed
        assert row.posture in left.postures
        assert row.kit in left.kits
        if left.load_most_kg == 0:
            assert row.kit == "own_weight"
            assert "without load" in row.note


def test_a_count_beside_a_choice_is_what_choosing_it_shows() -> None:
    sought = Sought(posture="seated", caution="sternum")
    for choice in CATALOGUE.choices(sought)["kit"]:
        assert choice.count == len(CATALOGUE.found(Sought(posture="seated", caution="sternum", kit=choice.value)))


def test_the_page_narrows_by_its_address_and_says_how_many(client_: Client) -> None:
    page = client_.get("/library/", {"kit": "ankle_weight", "posture": "seated"}).content.decode()
    expected = len(ids(kit="ankle_weight", posture="seated"))
    assert f"{expected} of {TOTAL} movements" in page
    assert page.count('name="card"') == expected
    assert 'alt=""' not in page


def test_an_address_with_what_does_not_exist_shows_everything(client_: Client) -> None:
    assert f"{TOTAL} of {TOTAL} movements" in client_.get("/library/", {"kit": "kettle_bell"}).content.decode()


def test_no_movement_found_says_what_to_do(client_: Client) -> None:
    assert "No movement fits all of this." in client_.get("/library/", {"words": "zebra"}).content.decode()


def test_a_picture_is_drawn_once_kept_and_may_be_kept_by_the_browser(client_: Client) -> None:
    page = client_.get("/library/", {"words": "kettle"}).content.decode()
    address = re.search(r'src="(/library/pictures/[^"]+)"', page)
    assert address
    first, second = client_.get(address[1]), client_.get(address[1])
    assert first.content == second.content
    assert first.content.startswith(b"<svg")
    assert "immutable" in first.headers["Cache-Control"]
    assert "private" in first.headers["Cache-Control"]


def test_a_picture_of_an_older_version_leads_to_the_present_one(client_: Client) -> None:
    old = "/library/pictures/0123456789abcdef/biceps_curl/seated/bottle/silver/"
    answer = client_.get(old)
    assert answer.status_code == 302
    assert "0123456789abcdef" not in answer.headers["Location"]


@pytest.mark.parametrize("wrong", ["nobody/seated/bottle/silver", "biceps_curl/lying/bottle/silver",
                                   "biceps_curl/seated/rope/silver", "biceps_curl/seated/bottle/green"])  # fmt: skip
def test_a_picture_of_what_does_not_exist_is_not_found(client_: Client, wrong: str) -> None:
    assert client_.get(f"/library/pictures/x/{wrong}/").status_code == 404

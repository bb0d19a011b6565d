"""The Reckoner's pages: every test opens for all staff, answers, refuses in sentences and stores nothing."""

from __future__ import annotations

import json
import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from haleward.capacity.field_tests import field_tests
from haleward.formula import REGISTRY
from haleward.web.accounts.models import User
from haleward.web.people.models import Person
from haleward.web.reckoner.clocks import clocks_of
from haleward.web.reckoner.forms import FormulaForm
from tests.web.conftest import as_user

pytestmark = pytest.mark.django_db
MAN = {"sex": "male", "age_y": "65", "stature_m": "175 cm", "mass_kg": "82 kg"}


def address(key: str) -> str:
    return reverse("field_test", args=[key])


def text_of(response: object) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", response.content.decode()).split())  # type: ignore[attr-defined]


def test_the_list_holds_every_test_for_every_role(staff: dict[str, User]) -> None:
    for user in staff.values():
        page = as_user(user).get(reverse("reckoner")).content.decode()
        assert [key for key in field_tests() if address(key) not in page] == []


@pytest.mark.parametrize("key", sorted(field_tests()))
def test_a_test_says_what_to_do_when_to_stop_and_its_source(key: str, assistant: User) -> None:
    told = text_of(as_user(assistant).get(address(key)))
    test = field_tests()[key]
    page = told.replace("&#x27;", "'").replace("&quot;", '"')
    assert test.stop in page
    assert test.source in page
    assert all(step in page for step in test.steps)


@pytest.mark.parametrize("key", sorted(field_tests()))
def test_the_boxes_that_clocks_fill_are_on_the_page(key: str, lead: User) -> None:
    page = as_user(lead).get(address(key)).content.decode()
    names = set(re.findall(r'name="([\w-]+)"', page))
    for clock in clocks_of(field_tests()[key]):
        wanted = [*clock["fills"].values(), *clock.get("into", ()), *(one[0] for one in clock.get("stances", ()))]
        wanted += [stage[3] for stage in clock.get("stages", ())]
        if isinstance(clock.get("into"), str):
            wanted = [*clock["fills"].values()]
        assert set(wanted) <= names, clock["title"]


def test_the_boxes_that_clocks_of_the_assessment_fill_are_in_its_form(lead: User, person: Person) -> None:
    page = as_user(lead).get(reverse("assessment", args=[person.pk])).content.decode()
    names = set(re.findall(r'name="([\w-]+)"', page))
    configs = [
        json.loads(one.replace("&quot;", '"').replace("&#x27;", "'"))
        for one in re.findall(r'data-config="([^"]+)"', page)
    ]
    assert len(configs) == 5
    for clock in configs:
        assert str(person.pk) in clock["key"]
        filled = [*clock["fills"].values(), *(one[0] for one in clock["marks"])]
        filled += clock["into"] if isinstance(clock.get("into"), list) else []
        filled += [one[0] for one in clock.get("stances", ())]
        assert set(filled) <= names, clock["title"]


def test_a_walk_is_answered_with_its_error_working_source_and_cautions(lead: User) -> None:
    told = text_of(
        as_user(lead).post(address("six_minute_walk"), {"laps": "14", "lap_m": "30", "remainder_m": "10"} | MAN)
    )
    for words in ("430 m", "about 4.4 METs, likely 3.3 to 5.5", "Ross 2010", "79% of the 545 m", "Show the working"):
        assert words in told
    assert "MET" in told


def test_nothing_is_written_to_the_store(lead: User) -> None:
    client = as_user(lead)
    client.get(address("grip"))
    with CaptureQueriesContext(
        connection,
    ) as seen:
        client.post(address("grip"), {"right_kg": "28", "sex": "female"})
    assert [one["sql"] for one in seen if not one["sql"].startswith("SELECT")] == []


@pytest.mark.parametrize(
    ("key", "typed", "told"),
    [
        ("grip", {"right_kg": "280"}, "Right hand, best is 280 kg; it must be from 0 to 100 kg."),
        ("grip", {"right_kg": "strong"}, "strong"),
        ("six_minute_walk", {"distance_m": "430", "stature_m": "175"}, "unit"),
        ("six_minute_walk", {"laps": "2.5", "lap_m": "30"}, "must be a whole number"),
        ("chair_stand_30s", {}, "Enter this: full stands."),
        ("sppb", {"side_by_side_s": "10", "semi_tandem_s": "3", "tandem_s": "10"}, "The test stops there"),
        ("six_minute_walk", {"laps": "14", "lap_m": "30", "distance_m": "400"}, "420 by the count and 400 as typed"),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence_and_entries_stay(
    key: str, typed: dict[str, str], told: str, lead: User
) -> None:
    response = as_user(lead).post(address(key), typed)
    assert response.status_code == 422
    assert told in text_of(response).replace("&quot;", '"')
    page = response.content.decode()
    assert [value for value in typed.values() if f'value="{value}"' not in page] == []


def test_a_decimal_comma_and_feet_are_read(lead: User) -> None:
    client = as_user(lead)
    assert "9.5 s" in text_of(client.post(address("up_and_go"), {"trial_1_s": "9,5"}))
    typed = {"distance_m": "430"} | MAN | {"stature_m": "5 ft 9 in"}
    assert "predicts" in text_of(client.post(address("six_minute_walk"), typed))


def test_formulas_are_found_by_their_words_and_every_one_opens(lead: User) -> None:
    client = as_user(lead)
    found = text_of(client.get(reverse("formulas"), {"q": "karvonen"}))
    assert "reserve" in found.lower()
    assert "No formula holds all of these words" in text_of(client.get(reverse("formulas"), {"q": "xylophone"}))
    assert "reserve_target_bpm" in client.get(reverse("formula", args=["reserve_target_bpm"])).content.decode()


def test_every_formula_has_a_form_with_a_box_for_each_argument_and_its_range() -> None:
    for known in REGISTRY.values():
        form = FormulaForm(known)
        assert list(form.fields) == list(known.ranges)
        assert all(field.label for field in form.fields.values())
        assert reverse("formula", args=[known.name])


def test_a_formula_answers_and_refuses_by_its_own_ranges(lead: User) -> None:
    client, place = as_user(lead), reverse("formula", args=["reserve_target_bpm"])
    answer = client.post(place, {"resting_bpm": "62", "maximum_bpm": "140", "fraction": "0.5"})
    assert "101 bpm" in text_of(answer)
    refused = client.post(place, {"resting_bpm": "62", "maximum_bpm": "140", "fraction": "50"})
    assert refused.status_code == 422
    assert "it must be from" in text_of(refused)
    turned = client.post(place, {"resting_bpm": "140", "maximum_bpm": "100", "fraction": "0.5"})
    assert turned.status_code == 422


@pytest.mark.parametrize("place", ["/reckoner/tests/nothing/", "/reckoner/formulas/nothing/"])
def test_an_unknown_test_or_formula_is_not_found(place: str, lead: User) -> None:
    assert as_user(lead).get(place).status_code == 404

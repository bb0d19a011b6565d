"""The page of METs of activities: by words and year, with what a bout comes to."""

from __future__ import annotations

import re

import pytest
from django.http import HttpResponse
from django.urls import reverse

from haleward.web.accounts.models import User
from tests.web.conftest import as_user

pytestmark = pytest.mark.django_db


def asked(user: User, **values: str) -> tuple[int, str]:
    """Status and plain text of the page for what was asked."""
    response = as_user(user).get(reverse("activities"), values)
    assert isinstance(response, HttpResponse)
    return response.status_code, " ".join(re.sub(r"<[^>]+>", " ", response.content.decode()).split())


def test_the_page_opens_for_every_role_before_anything_is_asked(staff: dict[str, User]) -> None:
    for user in staff.values():
        status, text = asked(user)
        assert status == 200
        assert "METs of activities" in text
        assert "Code " not in text


def test_an_activity_is_named_with_its_code_and_year(lead: User) -> None:
    _status, text = asked(lead, q="walk", year="2024")
    assert "Code 17190 of 2024" in text
    assert "about 3.8 METs" in text
    assert " of 2011" not in text


def test_minutes_and_weight_give_met_minutes_and_energy_with_their_cautions(lead: User) -> None:
    _status, text = asked(lead, q="walk", year="2024", minutes="30", mass_kg="71 kg", age_y="78")
    assert "114 MET·min" in text  # 3.8 METs × 30 min
    assert "142 kcal" in text  # 3.8 × 3.5 × 71 ÷ 200 × 30
    assert "at 78 years its METs are approximate" in text


def test_words_that_no_activity_holds_are_answered_by_what_to_try(lead: User) -> None:
    status, text = asked(lead, q="zebra", year="2024")
    assert status == 200
    assert "No activity of that year holds all of these words" in text


@pytest.mark.parametrize(
    ("box", "typed", "told"), [("minutes", "0", "from 1 to 600"), ("mass_kg", "71", "has no unit")]
)
def test_a_bout_that_cannot_be_is_refused_with_the_remedy(box: str, typed: str, told: str, lead: User) -> None:
    status, text = asked(lead, q="walk", year="2024", **{box: typed})
    assert status == 422
    assert told in text

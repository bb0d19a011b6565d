"""Staff pages never show a number without the error that is known for it."""

from __future__ import annotations

import pytest
from django.utils import timezone

from haleward.web.accounts.models import User
from haleward.web.people.models import Person
from haleward.web.prescription import actions
from haleward.web.prescription.templatetags.working import with_range
from haleward.web.project.templatetags.show import likely
from haleward.worksheet import Figure, Input, Step
from tests.web.conftest import as_user

pytestmark = pytest.mark.django_db


def text_of(user: User, address: str) -> str:
    return as_user(user).get(address).content.decode()


def test_the_numbers_page_shows_each_error_beside_its_number(nurse: User, assessed: Person) -> None:
    text = text_of(nurse, f"/people/{assessed.pk}/numbers/")
    assert '<p class="figure-number">About ' in text
    assert "Oxygen uptake about " in text
    assert text.count(" METs, likely ") >= 2  # the figure and its line of working
    assert text.count(" mL/kg/min, likely ") >= 2


def test_the_persons_page_shows_the_error_of_the_capacity(nurse: User, assessed: Person) -> None:
    text = text_of(nurse, f"/people/{assessed.pk}/")
    assert " METs, likely " in text


def test_the_programme_shows_the_error_of_the_capacity_it_rests_on(lead: User, assessed: Person) -> None:
    actions.start_draft(assessed, user=lead, now=timezone.now())
    text = text_of(lead, f"/people/{assessed.pk}/programme/")
    assert "capacity is about " in text
    assert ", likely " in text


def test_a_line_of_working_shows_its_range_only_where_there_is_one() -> None:
    assert with_range(Input("Rest", 62.0, "bpm")) == "62 bpm"
    assert with_range(Input("Maximum", 150.0, "bpm", "", 140.5, 160.25)) == "150 bpm, likely 140.5 to 160.25"
    assert with_range(Step("Share", "a ÷ b", (), 0.5, "1", low=0.4, high=0.6)) == "0.5, likely 0.4 to 0.6"
    assert with_range(Step("Can it be used?", "look", (), "no: not recorded")) == "no: not recorded"


def test_a_figure_is_said_by_the_one_shared_function() -> None:
    assert likely(Figure(5.06, "METs", 3.94, 6.27)) == "about 5.1 METs, likely 3.9 to 6.3"

"""The assessment page: who opens it, what it keeps, what it refuses."""

from __future__ import annotations

import pytest

from haleward.web.accounts.models import User
from haleward.web.people.models import Person
from tests.web.conftest import as_user

pytestmark = pytest.mark.django_db


def test_it_works(lead: User, person: Person) -> None:
    page = as_user(lead).get(f"/people/{person.pk}/assessment/")
    assert page.status_code == 200
    assert b"Finish the assessment" in page.content

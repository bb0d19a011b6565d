"""Stock people for the tests of the web application: one service with four members of staff, and a stranger to it."""

from __future__ import annotations

from datetime import date

import pytest
from django.test import Client

from haleward.web.accounts.models import Role, User
from haleward.web.people.models import Person
from haleward.web.team.demo import NUMBERS
from haleward.web.team.models import Service


@pytest.fixture
def service(db: None) -> Service:
    return Service.objects.create(name="Test team", values=NUMBERS)


def _user(service: Service, role: Role, username: str = "") -> User:
    name = username or role.value
    return User.objects.create(
        username=name, role=role, service=service, first_name=name.capitalize(), last_name="Test"
    )


@pytest.fixture
def lead(service: Service) -> User:
    return _user(service, Role.LEAD)


@pytest.fixture
def nurse(service: Service) -> User:
    return _user(service, Role.NURSE)


@pytest.fixture
def assistant(service: Service) -> User:
    return _user(service, Role.ASSISTANT)


@pytest.fixture
def manager(service: Service) -> User:
    return _user(service, Role.MANAGER)


@pytest.fixture
def staff(lead: User, nurse: User, assistant: User, manager: User) -> dict[str, User]:
    """One member of staff of each role, by role."""
    return {user.role: user for user in (lead, nurse, assistant, manager)}


@pytest.fixture
def outsider(db: None) -> User:
    """The lead of another service."""
    return _user(Service.objects.create(name="Other team", values=NUMBERS), Role.LEAD, "outsider")


@pytest.fixture
def person(service: Service) -> Person:
    return Person.objects.create(
        service=service, first_name="Ana", last_name="Hill", born_on=date(1956, 5, 4), sex="female"
    )


def as_user(user: User) -> Client:
    """A browser signed in as this member of staff."""
    client = Client()
    client.force_login(user, backend="django.contrib.auth.backends.ModelBackend")
    return client

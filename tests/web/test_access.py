"""Every address declares who may open it, and opens for nobody else."""

import uuid
from collections.abc import Iterator

import pytest
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from haleward.web.accounts.access import ALL_ROLES, Access
from haleward.web.accounts.models import User
from haleward.web.people.models import Person


def all_patterns(resolver: URLResolver | None = None) -> Iterator[URLPattern]:
    for entry in (resolver or get_resolver()).url_patterns:
        if isinstance(entry, URLResolver):
            yield from all_patterns(entry)
        else:
            yield entry


PATTERNS = {pattern.name: pattern for pattern in all_patterns()}


def access_of(name: str) -> Access | None:
    return getattr(PATTERNS[name].callback, "access", None)


def address(name: str, person: Person) -> str:
    """The pattern's address with the person's id and harmless other values."""
    samples = {"person_id": person.pk, "token": "not-a-token", "part_key": "one"}
    converters = PATTERNS[name].pattern.converters
    fallback = {"UUIDConverter": uuid.uuid4(), "IntConverter": 987654, "SlugConverter": "x", "StringConverter": "x"}
    values = {key: samples.get(key, fallback[type(item).__name__]) for key, item in converters.items()}
    return reverse(name, kwargs=values)


def test_every_address_has_a_name_and_declares_its_access() -> None:
    assert len(PATTERNS) == len(list(all_patterns()))
    assert [name for name in PATTERNS if access_of(name) is None] == []


STAFF_PAGES = sorted(name for name in PATTERNS if (access_of(name) or Access()).roles)
LINK_PAGES = sorted(name for name in PATTERNS if (access_of(name) or Access()).link)


@pytest.mark.django_db
@pytest.mark.parametrize("name", STAFF_PAGES)
def test_a_page_opens_for_its_roles_only(name: str, client: Client, staff: dict[str, User], person: Person) -> None:
    allowed = access_of(name).roles  # type: ignore[union-attr]
    for role in sorted(ALL_ROLES):
        client.force_login(staff[role], backend="django.contrib.auth.backends.ModelBackend")
        status = client.get(address(name, person)).status_code
        if role in allowed:
            assert status in (200, 302, 404, 405, 422), f"{name} for {role}: {status}"
        else:
            assert status == 403, f"{name} for {role}: {status}"


@pytest.mark.django_db
@pytest.mark.parametrize("name", STAFF_PAGES)
def test_signed_out_goes_to_sign_in(name: str, client: Client, person: Person) -> None:
    answer = client.get(address(name, person))
    assert answer.status_code == 302
    assert answer.headers["Location"].startswith(reverse("sign_in"))


@pytest.mark.django_db
@pytest.mark.parametrize("name", [name for name in STAFF_PAGES if "person_id" in PATTERNS[name].pattern.converters])
def test_another_team_finds_nothing_at_a_persons_address(
    name: str, client: Client, outsider: User, person: Person
) -> None:
    for role in sorted(access_of(name).roles):  # type: ignore[union-attr]
        outsider.role = role
        outsider.save()
        client.force_login(outsider, backend="django.contrib.auth.backends.ModelBackend")
        assert client.get(address(name, person)).status_code in (404, 405), name


@pytest.mark.django_db
@pytest.mark.parametrize("name", LINK_PAGES)
def test_a_made_up_link_opens_nothing(name: str, client: Client, person: Person) -> None:
    answer = client.post(address(name, person), content_type="application/json", data={"entries": []})
    if answer.status_code == 405:
        answer = client.get(address(name, person))
    assert answer.status_code == 410
    assert person.first_name.encode() not in answer.content

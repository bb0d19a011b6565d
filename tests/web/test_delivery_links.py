"""The person's link: made, withdrawn, expired, forged; and the one staff use beside the person."""

from __future__ import annotations

import re
from datetime import timedelta

import pytest
from django.core import signing
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from haleward.web.accounts.models import User
from haleward.web.delivery import links
from haleward.web.delivery.models import PersonLink
from haleward.web.people.models import Person
from haleward.web.prescription.models import ProgrammeVersion
from tests.web.conftest import as_user

pytestmark = pytest.mark.django_db

CLOSED = "Ask your team for a new one."


def opens(token: str) -> bool:
    """Whether the landing page opens; a closed one must say so and never show the person's name."""
    answer = Client().get(reverse("me", args=[token]))
    text = answer.content.decode()
    if answer.status_code == 200:
        assert "Ana" in text
        return True
    assert answer.status_code == 410
    assert CLOSED in text
    assert "Ana" not in text
    assert "Hill" not in text
    return False


def link_page(person: Person) -> str:
    return reverse("person_link", args=[person.pk])


def test_the_nurse_makes_a_link_that_opens_without_a_password(nurse: User, plan: ProgrammeVersion) -> None:
    client = as_user(nurse)
    assert "There is no open link" in client.get(link_page(plan.person)).content.decode()
    assert client.post(link_page(plan.person)).status_code == 302
    text = client.get(link_page(plan.person)).content.decode()
    shown = re.search(r"/me/([\w:-]+)/", text)  # it carries the second it was shown
    assert shown is not None
    assert "data:image/svg+xml" in text
    assert opens(shown[1])


def test_the_link_keeps_no_password_and_asks_search_engines_to_stay_away(token: str) -> None:
    answer = Client().get(reverse("me", args=[token]))
    assert 'name="robots" content="noindex"' in answer.content.decode()
    assert "no-store" in answer.headers["Cache-Control"]
    assert answer.headers["Referrer-Policy"] == "same-origin"
    assert answer.cookies == {}


def test_a_new_link_stops_the_old_one(nurse: User, plan: ProgrammeVersion) -> None:
    now = timezone.now()
    first = links.token_of(links.make_link(plan.person, user=nurse, now=now))
    second = links.token_of(links.make_link(plan.person, user=nurse, now=now))
    assert not opens(first)
    assert opens(second)


def test_a_withdrawn_link_opens_nothing(nurse: User, token: str, plan: ProgrammeVersion) -> None:
    client = as_user(nurse)
    client.post(link_page(plan.person), {"withdraw": "1"})
    assert not opens(token)
    assert "There is no open link" in client.get(link_page(plan.person)).content.decode()


def test_a_link_ends_with_its_days(token: str, plan: ProgrammeVersion) -> None:
    link = plan.person.links.get()
    assert (link.expires_at - link.made_at).days in (links.LINK_DAYS - 1, links.LINK_DAYS)
    PersonLink.objects.filter(pk=link.pk).update(expires_at=timezone.now() - timedelta(seconds=1))
    assert not opens(token)


@pytest.mark.parametrize("salt", ["haleward.other", "django.core.signing"])
def test_a_token_of_another_salt_opens_nothing(salt: str, token: str, plan: ProgrammeVersion) -> None:
    link = plan.person.links.get()
    assert opens(token)
    assert not opens(signing.dumps({"link": str(link.pk)}, salt=salt, compress=True))


def test_a_changed_token_opens_nothing(token: str) -> None:
    content, rest = token.split(":", 1)
    assert not opens(f"{content}x:{rest}")
    assert not opens(token[:-1] + ("A" if token[-1] != "A" else "B"))


def test_a_token_for_a_link_that_never_was_opens_nothing(person: Person) -> None:
    assert not opens(signing.dumps({"link": str(person.pk)}, salt=links.SALT))
    assert not opens(signing.dumps({}, salt=links.SALT))


@pytest.mark.parametrize("page", ["me", "me_session", "me_booklet", "me_worker"])
def test_every_page_of_a_closed_link_is_closed(page: str, token: str, plan: ProgrammeVersion) -> None:
    plan.person.links.update(withdrawn_at=timezone.now())
    part = {"me_session": ["one"], "me_booklet": ["one"]}.get(page, [])
    answer = Client().get(reverse(page, args=[token, *part]))
    assert answer.status_code == 410
    assert b"Ana" not in answer.content


# Run by staff, beside the person


def test_staff_run_a_session_through_a_token_of_their_own(assistant: User, plan: ProgrammeVersion) -> None:
    answer = as_user(assistant).get(reverse("hall_session", args=[plan.person.pk, "one"]))
    assert answer.status_code == 302
    token = answer.headers["Location"].split("/")[2]
    holder = links.read_token(token)
    assert (holder.person, holder.origin) == (plan.person, "staff")


def test_the_staff_token_ends_after_a_working_day(
    assistant: User, plan: ProgrammeVersion, monkeypatch: pytest.MonkeyPatch
) -> None:
    token = links.staff_token(plan.person, assistant)
    assert links.read_token(token).origin == "staff"
    later = timezone.now().timestamp() + links.STAFF_HOURS * 3600 + 60
    monkeypatch.setattr(signing.time, "time", lambda: later)
    with pytest.raises(links.LinkClosed):
        links.read_token(token)


def test_the_staff_token_ends_with_the_account(assistant: User, plan: ProgrammeVersion) -> None:
    token = links.staff_token(plan.person, assistant)
    assistant.is_active = False
    assistant.save()
    assert not opens(token)


def test_the_staff_token_opens_no_person_of_another_team(outsider: User, plan: ProgrammeVersion) -> None:
    assert not opens(links.staff_token(plan.person, outsider))


def test_the_manager_makes_no_link(manager: User, assistant: User, plan: ProgrammeVersion) -> None:
    for user in (manager, assistant):
        answer = as_user(user).post(link_page(plan.person))
        assert answer.status_code == 403
        assert "Ask exercise lead or nurse." in answer.content.decode()
    assert not plan.person.links.exists()

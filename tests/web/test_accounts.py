"""Signing in and out, the staff page, and what is refused to whom."""

from __future__ import annotations

import pytest
from django.conf import settings
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from haleward.errors import HalewardError, Inconsistent
from haleward.web.accounts.actions import switch_off
from haleward.web.accounts.models import AccountStep, User
from haleward.web.concerns.handling import close, take
from haleward.web.concerns.models import Concern
from haleward.web.people.models import Person
from haleward.web.team.demo import DEMO_PASSWORD, NUMBERS, load_demo_if_empty
from haleward.web.team.models import Service
from tests.web.conftest import as_user

pytestmark = pytest.mark.django_db

PASSWORD = "a heron on the tarn"
SIGN_IN = "/sign-in/"


@pytest.fixture
def with_password(nurse: User) -> User:
    nurse.set_password(PASSWORD)
    nurse.save()
    return nurse


def sign_in(client: Client, username: str, password: str) -> tuple[int, str]:
    answer = client.post(SIGN_IN, {"username": username, "password": password})
    return answer.status_code, answer.content.decode()


def signed_in(client: Client) -> bool:
    return client.get(reverse("today")).status_code == 200


def test_the_right_password_opens_today(with_password: User) -> None:
    client = Client()
    assert not signed_in(client)
    answer = client.post(SIGN_IN, {"username": "nurse", "password": PASSWORD})
    assert answer.status_code == 302
    assert answer.headers["Location"] == reverse("today")
    assert signed_in(client)


def test_sign_in_leads_back_to_where_one_wanted_to_go_but_never_elsewhere(with_password: User) -> None:
    data = {"username": "nurse", "password": PASSWORD}
    assert Client().post(SIGN_IN, data | {"next": "/people/"}).headers["Location"] == "/people/"
    assert Client().post(SIGN_IN, data | {"next": "https://example.org/"}).headers["Location"] == reverse("today")


def test_a_wrong_password_gets_one_sentence_and_no_hint(with_password: User) -> None:
    _, wrong = sign_in(Client(), "nurse", "not this one at all")
    _, unknown = sign_in(Client(), "nobody", "not this one at all")
    sentence = "This name and password do not fit. Check both; capitals count in the password."
    assert sentence in wrong
    assert sentence in unknown


def test_an_account_that_is_switched_off_does_not_open(with_password: User) -> None:
    with_password.is_active = False
    with_password.save()
    client = Client()
    sign_in(client, "nurse", PASSWORD)
    assert not signed_in(client)


def test_after_five_wrong_passwords_the_page_says_to_wait(with_password: User) -> None:
    client = Client()
    first = [sign_in(client, "nurse", f"wrong password {number}") for number in range(4)]
    assert all("do not fit" in text for _, text in first)
    status, text = sign_in(client, "nurse", "wrong password 5")
    assert status == 429
    assert "Wait 15 minutes" in text
    status, text = sign_in(client, "nurse", PASSWORD)
    assert status == 429, "even the right password waits"
    assert not signed_in(client)


def test_the_wait_is_as_long_as_the_page_says() -> None:
    assert settings.AXES_COOLOFF_TIME * 60 == 15


def test_one_name_that_waits_stops_no_colleague(with_password: User, lead: User) -> None:
    lead.set_password(PASSWORD)
    lead.save()
    for number in range(5):
        sign_in(Client(), "nurse", f"wrong password {number}")
    client = Client()
    sign_in(client, "lead", PASSWORD)
    assert signed_in(client)


def test_a_right_password_forgets_the_wrong_ones(with_password: User) -> None:
    for _ in range(2):
        for number in range(4):
            sign_in(Client(), "nurse", f"wrong password {number}")
        client = Client()
        sign_in(client, "nurse", PASSWORD)
        assert signed_in(client)


def test_signing_out_ends_the_session(with_password: User) -> None:
    client = Client()
    sign_in(client, "nurse", PASSWORD)
    assert client.get(reverse("sign_out")).status_code == 405, "a link on another page signs nobody out"
    assert signed_in(client)
    assert client.post(reverse("sign_out")).status_code == 302
    assert not signed_in(client)


def test_passwords_are_kept_as_argon2_hashes_only(with_password: User) -> None:
    assert with_password.password.startswith("argon2$argon2id$")
    assert settings.PASSWORD_HASHERS == ["django.contrib.auth.hashers.Argon2PasswordHasher"]


def test_the_form_needs_the_token_of_its_page(with_password: User) -> None:
    client = Client(enforce_csrf_checks=True)
    assert client.post(SIGN_IN, {"username": "nurse", "password": PASSWORD}).status_code == 403


# Demo accounts


def test_the_demo_password_is_shown_in_a_demo_store_and_works(db: None) -> None:
    load_demo_if_empty()
    client = Client()
    text = client.get(SIGN_IN).content.decode()
    assert DEMO_PASSWORD in text
    for name in ("lead", "nurse", "assistant", "manager"):
        assert f"<code>{name}</code>" in text
        client = Client()
        sign_in(client, name, DEMO_PASSWORD)
        assert signed_in(client)


def test_a_store_that_is_not_the_demo_has_no_account_and_shows_no_password(db: None) -> None:
    Service.objects.create(name="A real team", values=NUMBERS)
    assert load_demo_if_empty() is False
    assert User.objects.count() == 0
    text = Client().get(SIGN_IN).content.decode()
    assert DEMO_PASSWORD not in text
    assert "Demo" not in text


# The staff page

COLLEAGUE = {"first_name": "Mara", "last_name": "Strand", "username": "mara", "role": "assistant"}


def test_the_manager_adds_a_colleague_who_can_sign_in(manager: User) -> None:
    client = as_user(manager)
    answer = client.post(reverse("staff"), COLLEAGUE | {"password": PASSWORD})
    assert answer.status_code == 302
    text = client.get(reverse("staff")).content.decode()
    assert "Mara Strand, exercise assistant can now sign in." in text
    user = User.objects.get(username="mara")
    assert (user.service, user.role, user.is_staff, user.is_superuser) == (
        manager.service, "assistant", False, False,
    )  # fmt: skip
    assert user.password.startswith("argon2$")
    other = Client()
    sign_in(other, "mara", PASSWORD)
    assert signed_in(other)


@pytest.mark.parametrize(
    ("password", "sentence"),
    [
        ("q7-heron", "This password is too short. It must contain at least 12 characters."),
        ("password1234", "This password is too common."),
        ("marastrand99", "The password is too similar to the"),
        ("", "This field is required."),
    ],
)
def test_a_bad_password_is_refused_with_a_sentence_and_nothing_is_saved(
    password: str, sentence: str, manager: User
) -> None:
    data = COLLEAGUE | {"username": "marastrand", "password": password}
    answer = as_user(manager).post(reverse("staff"), data)
    assert answer.status_code == 422
    assert sentence in answer.content.decode()
    assert password == "" or password not in answer.content.decode(), "a password never comes back on a page"
    assert not User.objects.filter(username="marastrand").exists()


@pytest.mark.parametrize(("change", "status"), [({"role": "owner"}, 422), ({"username": "manager"}, 422)])
def test_an_unknown_role_or_a_taken_name_is_refused(change: dict[str, str], status: int, manager: User) -> None:
    answer = as_user(manager).post(reverse("staff"), COLLEAGUE | {"password": PASSWORD} | change)
    assert answer.status_code == status
    assert User.objects.count() == 1


def test_a_switched_off_account_is_out_at_once_and_stays_out(manager: User, with_password: User) -> None:
    own, window = as_user(manager), Client()
    sign_in(window, "nurse", PASSWORD)
    assert signed_in(window)
    address = reverse("account", args=[with_password.pk])
    assert "nurse" in own.get(reverse("staff")).content.decode()
    text = own.post(address, {"off": "1"}, follow=True).content.decode()
    assert "Nurse Test’s account is switched off." in text
    assert "Switch on" in text
    assert not signed_in(window)
    assert sign_in(Client(), "nurse", PASSWORD)[0] == 200
    assert "Nurse Test can sign in again." in own.post(address, {"on": "1"}, follow=True).content.decode()
    assert not signed_in(window), "a session of before does not come back"
    assert sign_in(window, "nurse", PASSWORD)[0] == 302
    assert signed_in(own)


def test_what_a_switched_off_colleague_had_taken_goes_back_into_the_queue(
    manager: User, nurse: User, lead: User, person: Person
) -> None:
    now = timezone.now()
    around = {"person": person, "urgency": "same_day", "text": "Told on the phone.", "raised_at": now}
    rows = [Concern.objects.create(topic=topic, **around) for topic in ("sore knee", "fall", "swollen ankle")]
    take(rows[0], user=nurse, now=now)
    take(rows[1], user=lead, now=now)
    take(rows[2], user=nurse, now=now)
    close(rows[2], "Seen.", user=nurse, now=now)
    own = as_user(manager)
    own.post(reverse("account", args=[nurse.pk]), {"off": "1"})
    for row in rows:
        row.refresh_from_db()
    assert [row.taken_by for row in rows] == [None, lead, nurse]
    step = rows[0].steps.last()
    assert (step.kind, step.by, step.to_role) == ("handed_over", manager, "nurse")
    queue = as_user(lead).get(reverse("concern", args=[rows[0].pk])).content.decode()
    assert "The account of Nurse Test, who had taken it, is switched off." in queue
    own.post(reverse("account", args=[nurse.pk]), {"on": "1"})
    own.post(reverse("password", args=[nurse.pk]), {"password": "a new long word of twelve"})
    text = own.get(reverse("staff")).content.decode()
    name = manager.get_full_name()
    told = [f"Nurse Test, {what} by {name}" for what in ("new password", "switched on", "switched off")]
    assert [text.index(one) for one in told] == sorted(text.index(one) for one in told)
    assert f"switched off by {name}; 1 concern back in the queue" in text
    with pytest.raises(Inconsistent):
        AccountStep.objects.latest("at").save()


def test_an_account_of_another_team_has_no_place_in_the_history(manager: User, outsider: User) -> None:
    AccountStep.objects.create(colleague=outsider, kind="off", at=timezone.now(), by=outsider)
    assert "What was done with accounts" not in as_user(manager).get(reverse("staff")).content.decode()


def test_who_is_switched_off_signs_no_protocol_any_more(manager: User, nurse: User) -> None:
    data = {"colleague": nurse.pk, "profession": "cardiac nurse", "agreed": "on"}
    as_user(manager).post(reverse("clinical_lead"), data)
    nurse.refresh_from_db()
    assert nurse.is_clinical_lead
    text = as_user(manager).post(reverse("account", args=[nurse.pk]), {"off": "1"}, follow=True).content.decode()
    assert "Nobody is named." in text


def test_nobody_switches_off_their_own_account_or_the_last_manager(manager: User, nurse: User) -> None:
    text = as_user(manager).post(reverse("account", args=[manager.pk]), {"off": "1"}, follow=True).content.decode()
    assert "This is your own account." in text
    manager.refresh_from_db()
    assert manager.is_active
    with pytest.raises(HalewardError, match="last service manager"):  # two who switch each other off
        switch_off(manager, by=nurse, now=timezone.now())


def test_a_new_password_replaces_the_old_one_and_ends_its_sessions(manager: User, with_password: User) -> None:
    own, window, new = as_user(manager), Client(), "a wren in the hedge"
    sign_in(window, "nurse", PASSWORD)
    for _ in range(settings.AXES_FAILURE_LIMIT):
        sign_in(Client(), "nurse", "not this one at all")
    address = reverse("password", args=[with_password.pk])
    assert "New password for Nurse Test" in own.get(address).content.decode()
    text = own.post(address, {"password": new}, follow=True).content.decode()
    assert "Nurse Test has a new password." in text
    assert not signed_in(window)
    assert sign_in(Client(), "nurse", new)[0] == 302, "wrong tries are forgotten"
    assert sign_in(Client(), "nurse", PASSWORD)[0] == 200


def test_a_new_password_keeps_to_the_rules_and_to_the_team(manager: User, nurse: User, outsider: User) -> None:
    own, before = as_user(manager), nurse.password
    answer = own.post(reverse("password", args=[nurse.pk]), {"password": "q7-heron"})
    assert answer.status_code == 422
    assert "This password is too short." in answer.content.decode()
    assert "q7-heron" not in answer.content.decode()
    nurse.refresh_from_db()
    assert nurse.password == before
    for name in ("password", "account"):
        data = {"password": PASSWORD, "off": "1"}
        assert own.post(reverse(name, args=[outsider.pk]), data).status_code == 404


def test_a_manager_who_changes_their_own_password_stays_signed_in(manager: User) -> None:
    own = as_user(manager)
    own.post(reverse("password", args=[manager.pk]), {"password": PASSWORD})
    assert signed_in(own)


def test_the_page_lists_only_the_own_team(manager: User, outsider: User) -> None:
    text = as_user(manager).get(reverse("staff")).content.decode()
    assert "Manager Test" in text
    assert "Outsider" not in text


@pytest.mark.parametrize(
    ("role", "page", "who"),
    [
        ("lead", "staff", "service manager"),
        ("assistant", "referrals", "exercise lead or nurse"),
        ("manager", "people", "exercise lead or nurse or exercise assistant"),
        ("nurse", "service", "exercise lead or service manager"),
    ],
)
def test_a_refused_role_reads_who_can(role: str, page: str, who: str, staff: dict[str, User]) -> None:
    answer = as_user(staff[role]).get(reverse(page))
    assert answer.status_code == 403
    assert f"({staff[role].get_role_display()}) cannot open this page. Ask {who}." in answer.content.decode()


def test_the_top_of_the_page_offers_only_what_the_role_may_open(staff: dict[str, User]) -> None:
    for role, hidden in (("assistant", "staff"), ("nurse", "service"), ("manager", "people"), ("lead", "staff")):
        text = as_user(staff[role]).get(reverse("today")).content.decode()
        assert f'href="{reverse(hidden)}"' not in text, role
        assert f'href="{reverse("protocol")}"' in text, role


def test_an_address_that_is_not_there_says_so_in_words(nurse: User) -> None:
    answer = as_user(nurse).get("/nowhere/")
    assert answer.status_code == 404
    assert "There is nothing at this address." in answer.content.decode()

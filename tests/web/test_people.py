"""Today, people, a person's page and corrections of who they are."""

from __future__ import annotations

from datetime import date, timedelta
from uuid import UUID

import pytest
from django.urls import reverse
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from haleward.web.accounts.models import User
from haleward.web.people.forms import PersonForm
from haleward.web.people.models import Person, Referral
from haleward.web.prescription.models import ProgrammeVersion
from haleward.web.team.models import Service
from tests.web.conftest import as_user
from tests.web.log_entries import send, whole_session

pytestmark = pytest.mark.django_db
PEOPLE = "/people/"


def add(service: Service, first_name: str, last_name: str, local_number: str = "") -> Person:
    return Person.objects.create(service=service, first_name=first_name, last_name=last_name, local_number=local_number)


@pytest.fixture
def several(service: Service, person: Person) -> Service:
    add(service, "Bram", "Hillier", "T-100")
    add(service, "Cora", "Østby", "T-201")
    add(service, "Zoë", "Lark")
    return service


@pytest.mark.parametrize(
    ("query", "found"),
    [
        ("", ["Ana", "Bram", "Cora", "Zoë"]),
        ("hill", ["Ana", "Bram"]),
        ("ana hill", ["Ana"]),
        ("hill ana", ["Ana"]),
        ("T-2", ["Cora"]),
        ("  bram  ", ["Bram"]),
        ("østby", ["Cora"]),
        ("zoe", ["Zoë"]),
        ("ZOË", ["Zoë"]),
        ("ana bram", []),
        ("%", []),
        ("_", []),
    ],
)
def test_people_are_found_by_parts_of_their_names_or_number(
    query: str, found: list[str], several: Service, assistant: User
) -> None:
    text = as_user(assistant).get(PEOPLE, {"q": query}).content.decode()
    assert [name for name in ("Ana", "Bram", "Cora", "Zoë") if f", {name}</a>" in text] == found


def test_nobody_found_says_what_to_do(several: Service, nurse: User) -> None:
    text = as_user(nurse).get(PEOPLE, {"q": "<b>zzz"}).content.decode()
    assert "No one matches “&lt;b&gt;zzz”." in text


def test_nobody_yet_says_how_to_start(nurse: User) -> None:
    assert "No people yet." in as_user(nurse).get(PEOPLE).content.decode()


def test_another_team_sees_nobody(several: Service, outsider: User, person: Person) -> None:
    client = as_user(outsider)
    assert "Hill" not in client.get(PEOPLE).content.decode()
    assert "Hill" not in client.get(PEOPLE, {"q": "hill"}).content.decode().replace('value="hill"', "")
    assert "Hill" not in client.get("/").content.decode()
    for name in ("person", "person_details"):
        assert client.get(reverse(name, args=[person.pk])).status_code == 404
    answer = client.post(reverse("person_details", args=[person.pk]), {"first_name": "X", "last_name": "Y"})
    assert answer.status_code == 404
    person.refresh_from_db()
    assert person.first_name == "Ana"


# A person's page


def test_the_page_reads_in_the_order_of_care(lead: User, plan: ProgrammeVersion) -> None:
    text = as_user(lead).get(reverse("person", args=[plan.person.pk])).content.decode()
    headings = ["Assessment", "Programme", "Sessions"]
    places = [text.find(f"<h2>{heading}") for heading in headings]
    assert -1 not in places, dict(zip(headings, places, strict=True))
    assert places == sorted(places)


def test_the_assistant_sees_sessions_but_no_clinical_record(assistant: User, plan: ProgrammeVersion) -> None:
    client, page = as_user(assistant), reverse("person", args=[plan.person.pk])
    text = client.get(page).content.decode()
    assert "<h2>Sessions" in text
    assert "<h2>Assessment" not in text
    assert "atorvastatin" not in text
    assert "Correct details" not in text


def test_the_manager_opens_no_person(manager: User, person: Person) -> None:
    assert as_user(manager).get(reverse("person", args=[person.pk])).status_code == 403
    assert "Ana" not in as_user(manager).get("/").content.decode()


# Correcting who someone is

DETAILS = {"first_name": "Anna", "last_name": "Hill", "born_on": "1956-05-14", "sex": "female"}


def test_a_correction_is_kept_with_what_was_there_before(person: Person, nurse: User) -> None:
    answer = as_user(nurse).post(reverse("person_details", args=[person.pk]), DETAILS)
    assert answer.status_code == 302
    person.refresh_from_db()
    assert (person.first_name, person.born_on) == ("Anna", date(1956, 5, 14))
    newest, oldest = person.history.all()
    assert (oldest.first_name, newest.first_name) == ("Ana", "Anna")
    assert newest.history_user == nurse


@pytest.mark.parametrize("role", ["assistant", "manager"])
def test_only_lead_and_nurse_correct(role: str, person: Person, staff: dict[str, User]) -> None:
    assert as_user(staff[role]).post(reverse("person_details", args=[person.pk]), DETAILS).status_code == 403


def born_fault(written: str) -> str:
    form = PersonForm(DETAILS | {"born_on": written})
    return "" if form.is_valid() else " ".join(form.errors["born_on"])


@pytest.mark.parametrize("written", ["1951-05-04", "4 May 1951", "04 may 1951", "4 Mar 1951", ""])
def test_a_date_that_can_be_read_in_one_way_is_taken(written: str) -> None:
    assert born_fault(written) == ""


@pytest.mark.parametrize("written", ["04/05/1951", "4.5.1951", "04-05-1951", "4 5 51", "1951", "31 June 1951"])
def test_a_date_that_can_be_misread_is_refused_with_how_to_write_it(written: str) -> None:
    assert born_fault(written) == ("Write the date as YYYY-MM-DD or with the month in words, for example 4 May 1951.")


def test_a_day_to_come_is_refused() -> None:
    tomorrow = timezone.localdate() + timedelta(days=1)
    assert born_fault(tomorrow.isoformat()) == f"{tomorrow:%d %B %Y} is in the future. Enter a date up to today."


@pytest.mark.parametrize(("years", "fits"), [(15, False), (17, True), (109, True), (112, False), (900, False)])
def test_an_age_that_nobody_here_has_is_questioned(years: int, fits: bool) -> None:
    born = timezone.localdate() - timedelta(days=round(years * 365.25))
    assert (born_fault(f"{born:%Y-%m-%d}") == "") is fits
    if not fits:
        assert f"makes the person {years} years old" in born_fault(f"{born:%Y-%m-%d}")


# Counts


def test_lists_need_as_many_queries_for_many_as_for_one(
    service: Service, lead: User, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    for number in range(30):
        someone = add(service, f"First{number}", f"Last{number}")
        Referral.objects.create(service=service, person=someone, state=Referral.State.CONFIRMED, reason="Asked")
        Referral.objects.create(service=service, reason="Asked")
    client = as_user(lead)
    for page in ("/", PEOPLE, "/referrals/"):
        with django_assert_max_num_queries(20):
            assert client.get(page).status_code == 200


def test_a_persons_page_needs_few_queries(
    lead: User, plan: ProgrammeVersion, token: str, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    for number in range(6):
        send(token, whole_session(UUID(int=number)))
    client = as_user(lead)
    with django_assert_max_num_queries(40):
        assert client.get(reverse("person", args=[plan.person.pk])).status_code == 200


def test_today_says_when_nothing_is_due(manager: User) -> None:
    assert "Nothing is due today." in as_user(manager).get("/").content.decode()

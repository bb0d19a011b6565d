"""Referrals: typed in, or imported as a proposal that a person confirms."""

from __future__ import annotations

import json
import re
from datetime import date, timedelta
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.http import HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.html import escape

from haleward.errors import HalewardError
from haleward.web.accounts.models import User
from haleward.web.people import actions
from haleward.web.people.models import Person, Referral
from haleward.web.team.demo import DEMO_FOLDER
from haleward.web.team.models import Service
from tests.web.conftest import as_user

pytestmark = pytest.mark.django_db

REFERRALS, NEW = "/referrals/", "/referrals/new/"
SAMPLE = (DEMO_FOLDER / "referral.json").read_bytes()
TYPED = {
    "first_name": "Edda",
    "last_name": "Marsh",
    "born_on": "1957-10-02",
    "sex": "female",
    "event": "Heart valve operation",
    "event_on": "2 March 2026",
    "medicines": "aspirin 75 mg\n\n  bisoprolol 2.5 mg  \n",
    "reason": "Exercise after a valve operation",
    "referrer": "Invented clinic",
}
CONFIRMED = {"first_name": "Robin", "last_name": "Sample", "born_on": "1955-06-01", "sex": "female"}


def upload(user: User, data: bytes, name: str = "referral.json") -> HttpResponse:
    answer: HttpResponse = as_user(user).post(REFERRALS, {"file": SimpleUploadedFile(name, data)})
    return answer


@pytest.fixture
def imported(nurse: User) -> Referral:
    """The sample file as a proposal."""
    assert upload(nurse, SAMPLE).status_code == 302
    return Referral.objects.get()


def page(referral: Referral) -> str:
    return reverse("referral", args=[referral.pk])


# Typed in


def test_a_typed_referral_makes_the_person_and_keeps_what_was_said(nurse: User) -> None:
    client = as_user(nurse)
    answer = client.post(NEW, TYPED)
    person = Person.objects.get()
    assert answer.headers["Location"] == reverse("person", args=[person.pk])
    assert (str(person), person.born_on, person.service) == ("Edda Marsh", date(1957, 10, 2), nurse.service)
    row = person.referrals.get()
    assert (row.state, row.decided_by, row.referrer) == ("confirmed", nurse, "Invented clinic")
    proposal = actions.proposal_of(row)
    assert proposal is not None
    assert [(item.text, item.on) for item in proposal.events] == [("Heart valve operation", date(2026, 3, 2))]
    assert [item.text for item in proposal.medicines] == ["aspirin 75 mg", "bisoprolol 2.5 mg"]
    text = client.get(page(row)).content.decode()
    assert "Heart valve operation, 2 March 2026" in text
    assert "bisoprolol 2.5 mg" in text
    assert "Confirm who it is" not in text


def number_in(text: str) -> str:
    """The hidden number of a page's form."""
    found = re.search(r'name="form_id" value="([0-9a-f-]{36})"', text)
    assert found, "the form has no number of its own"
    return found[1]


def test_a_second_press_makes_no_second_person(nurse: User) -> None:
    client = as_user(nurse)
    page_read = client.get(NEW).content.decode()
    data = TYPED | {"form_id": number_in(page_read)}
    assert number_in(client.post(NEW, data | {"first_name": ""}).content.decode()) == data["form_id"], (
        "a fault keeps it"
    )
    first, second = client.post(NEW, data), client.post(NEW, data, follow=True)
    person = Person.objects.get()
    assert Referral.objects.get().person == person
    assert first.headers["Location"] == second.redirect_chain[-1][0] == reverse("person", args=[person.pk])
    assert "The referral of Edda Marsh was stored before." in second.content.decode()
    client.post(NEW, TYPED | {"form_id": number_in(client.get(NEW).content.decode())})
    assert Person.objects.count() == 2, "another form is another referral"


def test_the_typed_person_waits_to_be_assessed(nurse: User) -> None:
    client = as_user(nurse)
    client.post(NEW, TYPED)
    text = client.get("/").content.decode()
    assert "Edda Marsh" in text
    assert "No finished assessment yet" in text


@pytest.mark.parametrize(
    ("field", "value", "sentence"),
    [
        ("first_name", "", "This field is required."),
        ("event", "  ", "This field is required."),
        ("born_on", "04/05/1951", "Write the date as YYYY-MM-DD or with the month in words"),
        ("event_on", "03/02/2026", "Write the date as YYYY-MM-DD or with the month in words"),
        ("event_on", "1950-01-01", "This is before the date of birth. Check both dates."),
        ("sex", "unknown", "Select a valid choice."),
    ],
)
def test_a_fault_is_told_beside_its_field_and_nothing_is_stored(
    field: str, value: str, sentence: str, nurse: User
) -> None:
    answer = as_user(nurse).post(NEW, TYPED | {field: value})
    assert answer.status_code == 422
    text = answer.content.decode()
    assert sentence in text
    assert f'id="id_{field}_error"' in text
    assert "Exercise after a valve operation" in text, "what was typed stays"
    assert Person.objects.count() == Referral.objects.count() == 0


def test_an_event_to_come_is_refused(nurse: User) -> None:
    tomorrow = timezone.localdate() + timedelta(days=1)
    answer = as_user(nurse).post(NEW, TYPED | {"event_on": tomorrow.isoformat()})
    assert answer.status_code == 422
    assert "is in the future. Enter a date up to today." in answer.content.decode()


# Imported


def test_an_import_proposes_and_stores_no_person(imported: Referral, nurse: User) -> None:
    assert Person.objects.count() == 0
    assert imported.state == Referral.State.PROPOSED
    assert bytes(imported.source_file) == SAMPLE
    text = as_user(nurse).get(page(imported)).content.decode()
    for words in ("Heart attack treated with a stent", "bisoprolol", "128 mmHg", "What is missing"):
        assert words in text, words
    assert imported.proposal["missing"]
    for gap in imported.proposal["missing"]:
        assert escape(gap["question"]) in text
    assert 'value="Robin"' in text
    assert 'value="Sample"' in text


def test_a_birth_year_alone_is_not_made_into_a_day(imported: Referral, nurse: User) -> None:
    text = as_user(nurse).get(page(imported)).content.decode()
    assert "Born 1955." in text
    assert 'name="born_on" value' not in text


def test_the_waiting_import_is_on_today_and_in_the_list(imported: Referral, nurse: User) -> None:
    for address in ("/", REFERRALS):
        assert "Supervised exercise after a heart event" in as_user(nurse).get(address).content.decode()


def test_confirming_makes_the_person_that_staff_saw(imported: Referral, nurse: User) -> None:
    answer = as_user(nurse).post(page(imported), CONFIRMED)
    person = Person.objects.get()
    assert answer.headers["Location"] == reverse("person", args=[person.pk])
    assert (str(person), person.born_on) == ("Robin Sample", date(1955, 6, 1))
    imported.refresh_from_db()
    assert (imported.state, imported.person, imported.decided_by) == ("confirmed", person, nurse)
    assert bytes(imported.source_file) == SAMPLE
    assert not person.assessments.exists()


def test_confirming_twice_makes_one_person(imported: Referral, nurse: User, lead: User) -> None:
    as_user(nurse).post(page(imported), CONFIRMED)
    answer = as_user(lead).post(page(imported), CONFIRMED | {"first_name": "Other"})
    assert answer.status_code == 422
    assert Person.objects.count() == 1


def test_a_colleague_who_was_quicker_is_not_overruled(imported: Referral, nurse: User) -> None:
    stale = Referral.objects.get(pk=imported.pk)
    actions.decline_referral(imported, user=nurse)
    with pytest.raises(HalewardError, match="This referral is already declined"):
        actions.confirm_referral(stale, {}, user=nurse)
    with pytest.raises(HalewardError, match="This referral is already declined"):
        actions.decline_referral(stale, user=nurse)


def test_a_fault_while_confirming_stores_nobody(imported: Referral, nurse: User) -> None:
    answer = as_user(nurse).post(page(imported), CONFIRMED | {"born_on": "01/06/1955"})
    assert answer.status_code == 422
    assert "Write the date as YYYY-MM-DD" in answer.content.decode()
    assert Person.objects.count() == 0


def test_declining_keeps_the_file_and_makes_nobody(imported: Referral, nurse: User) -> None:
    client = as_user(nurse)
    answer = client.post(reverse("referral_refusal", args=[imported.pk]))
    assert answer.headers["Location"] == REFERRALS
    imported.refresh_from_db()
    assert (imported.state, bytes(imported.source_file)) == ("declined", SAMPLE)
    assert Person.objects.count() == 0
    assert client.post(page(imported), CONFIRMED).status_code == 422
    assert client.post(reverse("referral_refusal", args=[imported.pk])).status_code == 404
    assert Person.objects.count() == 0


def test_a_get_declines_nothing(imported: Referral, nurse: User) -> None:
    assert as_user(nurse).get(reverse("referral_refusal", args=[imported.pk])).status_code == 405
    imported.refresh_from_db()
    assert imported.state == "proposed"


@pytest.mark.parametrize("name", ["Sample", "SAMPLE", "Sämple"])
def test_someone_of_the_same_name_is_shown_before_confirming(
    name: str, imported: Referral, nurse: User, service: Service, outsider: User
) -> None:
    twin = Person.objects.create(service=service, first_name="Robyn", last_name=name, born_on=date(1955, 6, 1))
    Person.objects.create(service=service, first_name="Ida", last_name="Sampler")
    Person.objects.create(service=outsider.service, first_name="Olaf", last_name="Sample")
    text = as_user(nurse).get(page(imported)).content.decode()
    assert "This may be someone you already know:" in text
    assert f'href="{reverse("person", args=[twin.pk])}"' in text
    assert "born 1 June 1955" in text
    assert "Ida" not in text
    assert "Olaf" not in text


def test_without_a_twin_nothing_is_said(imported: Referral, nurse: User) -> None:
    assert "someone you already know" not in as_user(nurse).get(page(imported)).content.decode()


# Files that are no referral


def two_people() -> bytes:
    bundle = json.loads(SAMPLE)
    bundle["entry"].append(bundle["entry"][0] | {"fullUrl": "urn:uuid:2"})
    return json.dumps(bundle).encode()


NOT_A_REFERRAL: dict[str, tuple[bytes, str]] = {
    "words": (b"Dear colleague,", "The file is not JSON: line 1"),
    "a picture": (b"\x89PNG\r\n\x1a\n\xff", "letters cannot be read"),
    "a list": (b"[]", "must start with {"),
    "not FHIR": (b'{"name": "Robin"}', "resourceType is missing"),
    "an empty bundle": (b'{"resourceType": "Bundle", "type": "collection"}', "has no entries"),
    "two people": (two_people(), "The file is about 2 people"),
    "another resource": (b'{"resourceType": "Slot"}', "holds no part of a referral"),
    "too deep": (b"[" * 100_000, "nested too deeply"),
}


@pytest.mark.parametrize(("data", "sentence"), NOT_A_REFERRAL.values(), ids=NOT_A_REFERRAL.keys())
def test_what_is_no_referral_gets_one_sentence_and_is_not_stored(data: bytes, sentence: str, nurse: User) -> None:
    answer = upload(nurse, data)
    assert answer.status_code == 422
    text = answer.content.decode().replace("&quot;", '"')
    assert sentence in text
    assert text.count("<li>") - text.count("<li><a") == 1, "one fault, one sentence"
    assert Referral.objects.count() == Person.objects.count() == 0


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        (b"", "The submitted file is empty."),
        (b"{" + b" " * 2_000_001, "2.0 MB is over the limit of 2 MB. Send a smaller file."),
    ],
)
def test_a_file_of_a_wrong_size_is_refused_before_it_is_read(data: bytes, sentence: str, nurse: User) -> None:
    answer = upload(nurse, data)
    assert answer.status_code == 422
    assert sentence in answer.content.decode()
    assert Referral.objects.count() == 0


def test_no_file_at_all_is_said(nurse: User) -> None:
    answer = as_user(nurse).post(REFERRALS, {"other": "x"})
    assert answer.status_code == 422
    assert "This field is required." in answer.content.decode()


def test_marks_in_a_file_stay_text(nurse: User) -> None:
    bundle: dict[str, Any] = json.loads(SAMPLE)
    bundle["entry"][1]["resource"]["code"]["text"] = "<script>alert(1)</script>stroke \ud83d"
    bundle["entry"][0]["resource"]["name"][0]["family"] = '"><img src=x onerror=alert(1)>'
    assert upload(nurse, json.dumps(bundle).encode()).status_code == 302
    text = as_user(nurse).get(page(Referral.objects.get())).content.decode()
    assert "<script>alert" not in text
    assert "<img" not in text
    assert "stroke" in text


# Other teams and roles


def test_another_team_sees_no_referral(imported: Referral, outsider: User) -> None:
    client = as_user(outsider)
    assert client.get(page(imported)).status_code == 404
    assert client.post(page(imported), CONFIRMED).status_code == 404
    assert client.post(reverse("referral_refusal", args=[imported.pk])).status_code == 404
    for address in ("/", REFERRALS):
        assert "Supervised exercise" not in client.get(address).content.decode()
    imported.refresh_from_db()
    assert imported.state == "proposed"


@pytest.mark.parametrize("role", ["assistant", "manager"])
def test_referrals_are_for_lead_and_nurse(role: str, staff: dict[str, User]) -> None:
    answer = upload(staff[role], SAMPLE)
    assert answer.status_code == 403
    assert "Ask exercise lead or nurse." in answer.content.decode()
    assert Referral.objects.count() == 0

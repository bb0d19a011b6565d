"""Numbers, check of the day, programme and signature: who opens them, what they keep, what they refuse."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from unittest.mock import patch

import pytest
from django.test import Client
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from haleward.errors import HalewardError, Inconsistent
from haleward.plain import from_plain
from haleward.safety.model import Gate
from haleward.web.accounts.models import User
from haleward.web.people.models import Person
from haleward.web.prescription import actions
from haleward.web.prescription.models import CheckOfDay, ProgrammeVersion, draft_of, signed_of
from tests.web.conftest import as_user, complete_record, finish

pytestmark = pytest.mark.django_db


def base(person: Person) -> str:
    return f"/people/{person.pk}/"


def drafted(person: Person, lead: User) -> ProgrammeVersion:
    return actions.start_draft(person, user=lead, now=timezone.now())


def signed(person: Person, lead: User) -> ProgrammeVersion:
    row = drafted(person, lead)
    actions.sign(row, decision=actions.Decision(), user=lead, now=timezone.now())
    return row


# Numbers


def test_the_numbers_open_with_their_working(nurse: User, assessed: Person) -> None:
    text = as_user(nurse).get(base(assessed) + "numbers/").content.decode()
    assert "Go ahead" in text
    assert "about " in text
    assert "METs" in text
    assert text.count("Show the working") == 4  # risk, capacity, intensity, placement
    assert "The decision is yours." in text


def test_before_an_assessment_there_are_no_numbers(nurse: User, person: Person) -> None:
    answer = as_user(nurse).get(base(person) + "numbers/")
    assert answer.status_code == 200
    assert "No finished assessment yet" in answer.content.decode()


@pytest.mark.parametrize("page", ["numbers/", "checks/"])
@pytest.mark.parametrize("role", ["assistant", "manager"])
def test_the_numbers_are_not_for_every_role(page: str, role: str, staff: dict[str, User], assessed: Person) -> None:
    assert as_user(staff[role]).get(base(assessed) + page).status_code == 403


def test_a_missing_answer_is_asked_and_the_gate_says_check_first(nurse: User, person: Person) -> None:
    record = complete_record(person, timezone.localdate())
    finish(person, replace(record, nitrate_prescribed=None), nurse)
    text = as_user(nurse).get(base(person) + "numbers/").content.decode()
    assert "Check first" in text
    assert "Is a nitrate prescribed, and does the person carry it?" in text


def test_atrial_fibrillation_gives_effort_and_says_why(nurse: User, person: Person) -> None:
    record = complete_record(person, timezone.localdate())
    finish(person, replace(record, rhythm="atrial_fibrillation"), nurse)
    text = as_user(nurse).get(base(person) + "numbers/").content.decode()
    assert "Heart rate not usable: effort and talk" in text
    assert "because your heart beat is uneven" in text


def test_the_numbers_need_few_queries(
    nurse: User, assessed: Person, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    client = as_user(nurse)
    with django_assert_max_num_queries(12):
        client.get(base(assessed) + "numbers/")


# The check of the day

WELL = {
    "hr_rest": "66",
    "sbp_rest": "128",
    "dbp_rest": "76",
    "angina_rest_or_worse": "no",
    "hf_worsening_signs": "no",
    "acute_illness": "no",
    "chest_pain_now": "no",
    "syncope_recent": "no",
    "rhythm_new_irregular": "no",
    "meds_missed": "no",
    "meds_changed": "no",
    "fall_since_last": "no",
    "postural_symptoms": "no",
    "alcohol_today": "no",
}


def outcome(person: Person) -> str:
    row = person.day_checks.first()
    assert row is not None
    return from_plain(Gate, row.gate).outcome


def test_a_well_person_may_exercise_today(nurse: User, assessed: Person) -> None:
    assert as_user(nurse).post(base(assessed) + "checks/", WELL).status_code == 302
    assert outcome(assessed) == "go_ahead"


def test_a_blank_answer_is_never_go_ahead(nurse: User, assessed: Person) -> None:
    as_user(nurse).post(base(assessed) + "checks/", WELL | {"chest_pain_now": ""})
    assert outcome(assessed) == "check_first"


def check_at(client: Client, person: Person, minute: int, **other: str) -> str:
    """Make a check of the day so many minutes after noon, and read the page as it is then."""
    noon = timezone.localtime().replace(hour=12, minute=0, second=0, microsecond=0)
    with patch("django.utils.timezone.now", return_value=noon + timedelta(minutes=minute)):
        client.post(base(person) + "checks/", WELL | other)
        return client.get(base(person) + "checks/").content.decode()


def test_a_high_reading_is_measured_again_after_rest_and_both_are_kept(nurse: User, assessed: Person) -> None:
    client = as_user(nurse)
    text = check_at(client, assessed, 0, sbp_rest="190")
    assert outcome(assessed) == "not_today"
    assert "Let the person rest, then measure again" in text
    assert "measure again from 12:10" in text
    assert 'value="190"' not in text  # the readings are asked anew, the answers are not
    text = check_at(client, assessed, 10, sbp_rest="150")
    assert outcome(assessed) == "go_ahead"
    assert assessed.day_checks.count() == 2
    assert "resting systolic blood pressure 190 mmHg" in text
    assert "resting systolic blood pressure 150 mmHg" in text
    assert "still count" not in text


def test_a_second_reading_before_the_rest_is_over_does_not_undo_the_first(nurse: User, assessed: Person) -> None:
    client = as_user(nurse)
    check_at(client, assessed, 0, sbp_rest="190")
    text = check_at(client, assessed, 4, sbp_rest="150")
    assert outcome(assessed) == "not_today"
    assert "until then the stricter reading decides" in text
    check_at(client, assessed, 11, sbp_rest="150")
    assert outcome(assessed) == "go_ahead"


def test_a_reading_left_out_does_not_undo_the_one_that_stopped(nurse: User, assessed: Person) -> None:
    client = as_user(nurse)
    check_at(client, assessed, 0, hr_rest="130")
    check_at(client, assessed, 30, hr_rest="")
    assert outcome(assessed) == "not_today"


def test_an_impossible_reading_is_shown_again_and_nothing_is_kept(nurse: User, assessed: Person) -> None:
    answer = as_user(nurse).post(base(assessed) + "checks/", WELL | {"sbp_rest": "70", "dbp_rest": "90"})
    assert answer.status_code == 422
    assert "must be higher than the lower value" in answer.content.decode()
    assert not CheckOfDay.objects.exists()


def test_a_check_is_never_changed(nurse: User, assessed: Person) -> None:
    row = actions.check_day(assessed, {"hr_rest": 66.0}, user=nurse, now=timezone.now())
    row.answers = {}
    with pytest.raises(Inconsistent, match="never changed"):
        row.save()


# The programme


def test_a_lead_makes_a_draft(lead: User, assessed: Person) -> None:
    client, url = as_user(lead), base(assessed) + "programme/"
    assert "Make a draft" in client.get(url).content.decode()
    assert client.post(url + "draft/").status_code == 302
    text = client.get(url).content.decode()
    assert "Plan 1, draft" in text
    assert "Part one" in text
    assert "Movements left out" in text
    assert "/figures/" in text


def test_a_draft_needs_an_assessment(lead: User, person: Person) -> None:
    answer = as_user(lead).post(base(person) + "programme/draft/")
    assert answer.status_code == 422
    assert "There is no finished assessment yet" in answer.content.decode()
    assert not ProgrammeVersion.objects.exists()


@pytest.mark.parametrize("role", ["nurse", "assistant"])
def test_others_read_the_programme_and_cannot_change_it(
    role: str, staff: dict[str, User], lead: User, assessed: Person
) -> None:
    drafted(assessed, lead)
    client, url = as_user(staff[role]), base(assessed) + "programme/"
    text = client.get(url).content.decode()
    assert "Part one" in text
    assert "Sign plan" not in text
    for address in ("draft/", "days/", "signature/", "one/exercises/", "one/0/movement/", "one/0/removal/"):
        assert client.post(url + address).status_code == 403


def test_the_manager_does_not_open_the_programme(manager: User, assessed: Person) -> None:
    assert as_user(manager).get(base(assessed) + "programme/").status_code == 403


def test_the_lead_of_another_team_finds_nothing(outsider: User, lead: User, assessed: Person) -> None:
    drafted(assessed, lead)
    client = as_user(outsider)
    assert client.get(base(assessed) + "programme/").status_code == 404
    assert client.post(base(assessed) + "programme/signature/").status_code == 404


def test_the_lead_signs_and_the_version_is_fixed(lead: User, assessed: Person) -> None:
    row = drafted(assessed, lead)
    sent = {"digest": actions.digest_of(row)}
    assert as_user(lead).post(base(assessed) + "programme/signature/", sent).status_code == 302
    row.refresh_from_db()
    assert row.signed_by == lead
    assert row.gate_at_signing["outcome"] == "go_ahead"
    plan = actions.programme_of(row)
    assert plan.signed_by == str(lead)
    assert plan.signed_on == timezone.localdate()


def test_a_plan_that_was_changed_after_the_page_was_opened_is_not_signed(lead: User, assessed: Person) -> None:
    row, client = drafted(assessed, lead), as_user(lead)
    url = base(assessed) + "programme/"
    seen = actions.digest_of(row)
    assert seen in client.get(url).content.decode()
    client.post(url + "one/0/removal/")  # in another window
    answer = client.post(url + "signature/", {"digest": seen})
    assert answer.status_code == 422
    assert "the plan was changed after you opened this page" in answer.content.decode()
    row.refresh_from_db()
    assert row.signed_at is None
    assert actions.digest_of(row) in answer.content.decode()  # the plan now on the screen can be signed
    client.post(url + "signature/", {"digest": actions.digest_of(row)})
    assert signed_of(assessed) == row


def test_a_signed_version_cannot_change(lead: User, assessed: Person) -> None:
    row = signed(assessed, lead)
    kept = dict(row.programme)
    row.programme = {**row.programme, "effort_high": 9.0}
    with pytest.raises(Inconsistent, match="signed and never changes"):
        row.save()
    assert ProgrammeVersion.objects.get(pk=row.pk).programme == kept


def test_no_page_edits_a_signed_version(lead: User, assessed: Person) -> None:
    signed(assessed, lead)
    client, url = as_user(lead), base(assessed) + "programme/"
    for address in ("days/", "signature/", "one/exercises/", "one/0/", "one/0/movement/", "one/0/removal/"):
        assert client.post(url + address).status_code == 404, address


def test_changing_a_signed_plan_begins_the_next_version(lead: User, assessed: Person) -> None:
    row = signed(assessed, lead)
    as_user(lead).post(base(assessed) + "programme/draft/")
    draft = draft_of(assessed)
    assert draft is not None
    assert draft.version == 2
    assert actions.programme_of(draft).parts == actions.programme_of(row).parts
    assert signed_of(assessed) == row


def test_a_draft_can_be_discarded_and_a_signed_plan_cannot(lead: User, assessed: Person) -> None:
    row = signed(assessed, lead)
    as_user(lead).post(base(assessed) + "programme/draft/")
    as_user(lead).post(base(assessed) + "programme/draft/", {"discard": "1"})
    assert list(assessed.programmes.all()) == [row]
    with pytest.raises(HalewardError, match="is kept"):
        actions.discard(row)


def test_check_first_needs_a_named_decision(lead: User, nurse: User, person: Person) -> None:
    record = complete_record(person, timezone.localdate())
    finish(person, replace(record, nitrate_prescribed=None), nurse)
    row = drafted(person, lead)
    client, url = as_user(lead), base(person) + "programme/signature/"
    answer = client.post(url, {"decided_by": "", "decision_reason": ""})
    assert answer.status_code == 422
    assert signed_of(person) is None
    named = {"decided_by": "Dr Reed, cardiologist", "decision_reason": "carries a spray"}
    client.post(url, named | {"digest": actions.digest_of(row)})
    row.refresh_from_db()
    assert row.signed_at is not None
    assert (row.decided_by, row.decision_reason) == ("Dr Reed, cardiologist", "carries a spray")
    assert row.gate_at_signing["outcome"] == "check_first"


def test_not_today_cannot_be_signed_whoever_decides(lead: User, nurse: User, person: Person) -> None:
    record = complete_record(person, timezone.localdate())
    finish(person, replace(record, answers=record.answers | {"hf_worsening_signs": True}), nurse)
    row = drafted(person, lead)
    sent = {"decided_by": "Dr Reed", "decision_reason": "fine", "digest": actions.digest_of(row)}
    answer = as_user(lead).post(base(person) + "programme/signature/", sent)
    assert answer.status_code == 422
    assert "the gate says not today" in answer.content.decode()
    row.refresh_from_db()
    assert row.signed_at is None


def test_the_programme_needs_few_queries(
    lead: User, assessed: Person, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    drafted(assessed, lead)
    client = as_user(lead)
    with django_assert_max_num_queries(12):
        client.get(base(assessed) + "programme/")


def test_the_persons_page_needs_few_queries(
    lead: User, assessed: Person, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    signed(assessed, lead)
    client = as_user(lead)
    with django_assert_max_num_queries(30):
        client.get(base(assessed))

"""Helpers with a consent: what they see and tell, and who gives it; and whose clock counts when several tell."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from haleward.web.accounts.models import User
from haleward.web.delivery import links
from haleward.web.delivery.logs import all_logs, session_logs
from haleward.web.delivery.models import LogEntry
from haleward.web.prescription.models import ProgrammeVersion
from tests.web.conftest import as_user
from tests.web.log_entries import report, send, whole_session

pytestmark = pytest.mark.django_db


def carer(plan: ProgrammeVersion, *covers: str) -> str:
    row = links.give_consent(
        plan.person, carer_name="Jo", covers=list(covers), recorded_by=None, now=timezone.now()
    )  # fmt: skip
    return links.carer_token(row)


PAGES = {"plan": ["me_days", "me_calendar"], "log": ["me_diary"], "progress": ["me_doing"]}


@pytest.mark.parametrize("covered", PAGES)
def test_a_helper_sees_what_the_consent_covers_and_nothing_else(covered: str, plan: ProgrammeVersion) -> None:
    token = carer(plan, covered)
    assert Client().get(reverse("me", args=[token])).status_code == 200
    for what, names in PAGES.items():
        for name in names:
            status = Client().get(reverse(name, args=[token])).status_code
            assert status == (200 if what == covered else 403), name
    assert Client().get(reverse("me_carers", args=[token])).status_code == 403


def test_what_a_helper_tells_is_labelled_and_needs_the_consent(plan: ProgrammeVersion) -> None:
    entry = report(plan.person, timezone.localdate(), "one")
    assert send(carer(plan, "plan"), [entry]).status_code == 403
    assert send(carer(plan, "log"), [entry]).status_code == 200
    assert session_logs(plan.person)[0].origin == "carer"


def test_a_consent_is_given_and_stopped_by_the_person(token: str, plan: ProgrammeVersion) -> None:
    address = reverse("me_carers", args=[token])
    assert Client().post(address, {"carer_name": "Jo", "covers": []}).status_code == 422
    Client().post(address, {"carer_name": "Jo", "covers": ["plan", "log"]})
    row = plan.person.carers.get()
    assert (row.covers, row.recorded_by) == (["plan", "log"], None)
    helping = links.carer_token(row)
    assert "You are helping Ana" in Client().get(reverse("me", args=[helping])).content.decode()
    Client().post(address, {"stop": str(row.pk)})
    assert Client().get(reverse("me", args=[helping])).status_code == 410
    assert send(helping, [report(plan.person, timezone.localdate(), "one")]).status_code == 410


def test_staff_who_record_a_consent_are_named(plan: ProgrammeVersion, nurse: User) -> None:
    as_user(nurse).post(reverse("person_carers", args=[plan.person_id]), {"carer_name": "Jo", "covers": ["progress"]})
    assert plan.person.carers.get().recorded_by == nurse


def test_who_runs_a_session_for_the_person_gives_no_consent_in_their_name(
    plan: ProgrammeVersion, assistant: User
) -> None:
    address = reverse("me_carers", args=[links.staff_token(plan.person, assistant)])
    answer = Client().post(address, {"carer_name": "Jo", "covers": ["plan", "log"]})
    assert answer.status_code == 403
    assert not plan.person.carers.exists()


def test_a_clock_that_is_ahead_outranks_no_later_word(token: str, plan: ProgrammeVersion) -> None:
    today, person = timezone.localdate(), plan.person
    send(token, [report(person, today, "one", entered_at="2026-01-02T12:00:00+00:00")])
    LogEntry.objects.update(clock_off_s=-26 * 3600)  # the phone was ahead: it was ten in the morning of the first
    send(token, [report(person, today, "one", "not_done", entered_at="2026-01-01T10:05:00+00:00")])
    assert all_logs(person)[0].outcome == "not_done"


def test_a_session_belongs_to_the_day_on_the_clock_of_the_service(token: str, plan: ProgrammeVersion) -> None:
    send(token, whole_session())
    with timezone.override("Australia/Sydney"):
        LogEntry.objects.update(happened_at=datetime(2026, 3, 1, 21, tzinfo=UTC))
        (log,) = session_logs(plan.person)
        assert log.started_at.date() == date(2026, 3, 2)  # eight in the morning there

"""A programme ends: open concerns come first, the link closes kindly, the calendar empties; and all of it goes back."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from haleward.web.accounts.models import User
from haleward.web.concerns.models import Concern
from haleward.web.delivery.calendar import feed_token
from haleward.web.people.models import Person, ProgrammeEnd, end_of
from haleward.web.prescription import daily
from haleward.web.prescription.models import ProgrammeVersion
from tests.web.conftest import as_user
from tests.web.log_entries import entry, send


def end(person: Person, user: User, **more: Any) -> Any:
    sent = {"why": "finished", "ended_on": timezone.localdate().isoformat(), "note": ""} | more
    return as_user(user).post(reverse("person_end", args=[person.pk]), sent)


def test_the_link_closes_kindly_and_opens_again_when_the_end_is_taken_back(
    token: str, plan: ProgrammeVersion, nurse: User
) -> None:
    home, session = reverse("me", args=[token]), reverse("me_session", args=[token, "one"])
    assert end(plan.person, nurse).status_code == 302
    for address in (home, session):
        answer = Client().get(address)
        assert answer.status_code == 410
        text = answer.content.decode()
        assert "The programme has ended. There is nothing more to do here." in text
        assert "Call for an ambulance" in text
        assert plan.person.first_name not in text
    as_user(nurse).post(reverse("person_end", args=[plan.person_id]), {"go_on": "1"})
    assert Client().get(home).status_code == 200
    row = ProgrammeEnd.objects.get()
    assert (row.told_by, row.undone_by, end_of(plan.person)) == (nurse, nurse, None)


def test_what_a_phone_still_holds_is_kept_after_the_end(token: str, plan: ProgrammeVersion, nurse: User) -> None:
    end(plan.person, nurse)
    assert send(token, [entry(1, "unwell", topic="chest discomfort, no nitrate")]).status_code == 200
    assert Concern.objects.filter(person=plan.person, closed_at=None).exists()


def test_a_calendar_that_follows_is_emptied_by_cancelling_every_session(
    token: str, plan: ProgrammeVersion, nurse: User
) -> None:
    feed = reverse("calendar_feed", args=[feed_token(token)])
    before = Client().get(feed).content.decode()
    end(plan.person, nurse)
    after = Client().get(feed).content.decode()
    assert "STATUS:CONFIRMED" in before
    assert "STATUS:CONFIRMED" not in after
    assert after.count("STATUS:CANCELLED") == after.count("BEGIN:VEVENT") == before.count("BEGIN:VEVENT")
    number = [int(text.split("SEQUENCE:")[1].split()[0]) for text in (before, after)]
    assert number[1] >= number[0]


def test_who_has_ended_leaves_today_but_an_open_concern_stays_and_is_shown_first(
    plan: ProgrammeVersion, lead: User, nurse: User
) -> None:
    person, long_ago = plan.person, timezone.now() - timedelta(days=80)
    ProgrammeVersion.objects.filter(pk=plan.pk).update(signed_at=long_ago)
    today = reverse("today")
    text = as_user(nurse).get(today).content.decode()
    assert "Finished" in text  # assessed again since, and no plan was signed
    assert reverse("person_end", args=[person.pk]) in text
    concern = Concern.objects.create(person=person, urgency="same_day", topic="palpitations", raised_at=timezone.now())
    form = as_user(nurse).get(reverse("person_end", args=[person.pk])).content.decode()
    assert form.index(reverse("concern", args=[concern.pk])) < form.index("Why does the programme end?")
    end(person, nurse, why="moved", note="To her daughter.")
    text = as_user(nurse).get(today).content.decode()
    assert "Finished" not in text
    assert "Nothing told yet" not in text
    assert "Palpitations" in text
    assert "programme ended" in as_user(lead).get(reverse("people")).content.decode()
    page = as_user(lead).get(reverse("person", args=[person.pk])).content.decode()
    assert "Moved away, or goes on elsewhere" in page
    assert "To her daughter." in page
    assert daily.look_again(person.service, timezone.now()).people == 0


@pytest.mark.parametrize("change", [{"why": ""}, {"ended_on": "2999-01-01"}, {"ended_on": ""}])
def test_an_end_needs_a_reason_and_a_day_that_has_come(
    change: dict[str, str], plan: ProgrammeVersion, nurse: User
) -> None:
    assert end(plan.person, nurse, **change).status_code == 422
    assert end_of(plan.person) is None


def test_an_end_is_told_once(plan: ProgrammeVersion, nurse: User, lead: User) -> None:
    end(plan.person, nurse)
    assert end(plan.person, lead).status_code == 422
    assert ProgrammeEnd.objects.count() == 1

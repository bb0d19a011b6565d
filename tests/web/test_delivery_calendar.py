"""The calendar on the web: for the person by their link, for staff of the team, and at an address programs follow."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from html import unescape
from urllib.parse import urlencode, urlsplit

import pytest
from django.core import signing
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from haleward.web.accounts.models import User
from haleward.web.assessment.models import Assessment
from haleward.web.concerns.models import Concern
from haleward.web.delivery import calendar
from haleward.web.delivery.links import make_link, staff_token, token_of
from haleward.web.people.models import Person
from haleward.web.prescription import actions, edits
from haleward.web.prescription.ground import needed_ground
from haleward.web.prescription.models import CheckOfDay, ProgrammeVersion
from haleward.web.prescription.signing import programme_of
from tests.exchange.calendar_samples import confirmed, events_of, starts_of
from tests.web.conftest import as_user

pytestmark = pytest.mark.django_db
CHOICES = {"at": "10:00", "walk_at": "15:30", "reminder": "half_hour"}


def get(name: str, token: str, **choices: str) -> HttpResponse:
    answer: HttpResponse = Client().get(reverse(name, args=[token]), choices)
    return answer


def file_of(token: str, **choices: str) -> bytes:
    answer = get("me_calendar_file", token, **choices)
    assert answer.status_code == 200
    return answer.content


def address_of(token: str, **choices: str) -> str:
    """The address that a calendar follows, as the page shows it."""
    text = get("me_calendar", token, **({"reminder": "none"} | choices)).content.decode()
    return unescape(text.split('id="address" readonly value="')[1].split('"')[0])


def followed(address: str) -> HttpResponse:
    """What a calendar program gets, which has no cookie and no script."""
    parts = urlsplit(address)
    answer: HttpResponse = Client().get(f"{parts.path}?{parts.query}")
    return answer


# The file


def test_the_person_saves_a_calendar_of_the_sessions_in_the_plan(token: str, plan: ProgrammeVersion) -> None:
    answer = get("me_calendar_file", token, **CHOICES)
    assert answer.headers["Content-Type"] == "text/calendar; charset=utf-8; method=PUBLISH"
    assert answer.headers["Content-Disposition"] == 'attachment; filename="exercise-plan.ics"'
    assert "no-store" in answer.headers["Cache-Control"]
    programme = programme_of(plan)
    days = [day for part in programme.parts for day in part.days] + list(programme.walking.days)
    events = confirmed(answer.content)
    assert sorted(f"{starts_of(event)[0]:%A}".lower() for event in events) == sorted(days)
    assert {event.decoded("dtstart").time() for event in events} == {time(10), time(15, 30)}
    assert all(len(starts_of(event)) == calendar.WEEKS for event in events)
    assert answer.content.count(b"BEGIN:VALARM") == len(events)


def test_without_choices_events_are_for_the_whole_day_and_nothing_rings(token: str) -> None:
    content = file_of(token)
    assert all(type(event.decoded("dtstart")) is date for event in events_of(content))
    assert b"VALARM" not in content


def test_the_file_names_nobody_and_holds_no_link_unless_it_is_ticked(token: str, plan: ProgrammeVersion) -> None:
    plain = file_of(token, **CHOICES).decode().replace("\r\n ", "")
    for private in ("Ana", "Hill", "Test team", str(plan.person.pk), token, "http", "Walk to the shop", "atorvastatin"):
        assert private not in plain
    ticked = file_of(token, link="on").decode().replace("\r\n ", "")
    assert f"URL:http://testserver{reverse('me', args=[token])}" in ticked


def test_the_file_says_the_version_of_the_plan_and_on_request_its_movements(token: str) -> None:
    plain, ticked = (file_of(token, **more).decode().replace("\r\n ", "") for more in ({}, {"movements": "on"}))
    assert "This is plan 1\\, made on" in plain
    assert "\\n1. " in ticked
    assert "\\n1. " not in plain


def test_staff_save_the_same_sessions_without_any_link(plan: ProgrammeVersion, assistant: User, token: str) -> None:
    answer = as_user(assistant).get(reverse("person_calendar_file", args=[plan.person.pk]), CHOICES | {"link": "on"})
    assert answer.headers["Content-Type"].startswith("text/calendar")
    mine = {event["uid"] for event in events_of(file_of(token, **CHOICES))}
    assert {event["uid"] for event in events_of(answer.content)} == mine
    assert b"URL" not in answer.content


@pytest.mark.parametrize("name", ["person_calendar", "person_calendar_file"])
def test_a_stranger_finds_no_calendar(name: str, plan: ProgrammeVersion, outsider: User) -> None:
    assert as_user(outsider).get(reverse(name, args=[plan.person.pk])).status_code == 404


# The page


def test_the_persons_page_leads_to_the_calendar_and_works_without_script(token: str) -> None:
    assert reverse("me_calendar", args=[token]) in get("me", token).content.decode()
    text = get("me_calendar", token).content.decode()
    assert "<script" not in text
    assert f'action="{reverse("me_calendar_file", args=[token])}"' in text
    assert "Time zone: Europe/London." in text
    assert "Call 999 now" in text


def test_staff_pages_lead_to_the_calendar(plan: ProgrammeVersion, nurse: User) -> None:
    client, address = as_user(nurse), reverse("person_calendar", args=[plan.person.pk])
    for name in ("person", "programme"):
        assert address in client.get(reverse(name, args=[plan.person.pk])).content.decode()
    assert client.get(address).status_code == 200


@pytest.mark.parametrize("name", ["me_calendar", "me_calendar_file"])
def test_half_an_hour_before_no_hour_is_asked_about(name: str, token: str) -> None:
    answer = get(name, token, at="10:00", reminder="half_hour")
    assert answer.status_code == 422
    assert "Half an hour before needs a time for the session and for the walk." in answer.content.decode()
    assert 'value="10:00"' in answer.content.decode()


@pytest.mark.parametrize("wrong", [{"at": "25:00"}, {"walk_at": "soon"}, {"reminder": "hourly"}])
def test_choices_that_cannot_be_are_refused_with_the_form_again(
    wrong: dict[str, str], token: str, plan: ProgrammeVersion, nurse: User
) -> None:
    assert get("me_calendar_file", token, **wrong).status_code == 422
    assert get("me_calendar", token, **wrong).status_code == 422
    answer = as_user(nurse).get(reverse("person_calendar_file", args=[plan.person.pk]), wrong)
    assert answer.status_code == 422
    assert "<form" in answer.content.decode()


def test_without_a_signed_plan_there_is_one_sentence(person: Person, nurse: User) -> None:
    token = token_of(make_link(person, user=nurse, now=timezone.now()))
    for name in ("me_calendar", "me_calendar_file"):
        answer = get(name, token)
        assert answer.status_code == 422
        assert "There is no signed plan yet." in answer.content.decode()
    answer = as_user(nurse).get(reverse("person_calendar", args=[person.pk]))
    assert answer.status_code == 422


# The address that a calendar follows


def test_a_followed_address_gives_the_chosen_calendar(token: str) -> None:
    address = address_of(token, **CHOICES)
    assert token not in address, "whoever learns it from a calendar can open the calendar only"
    answer = followed(address)
    assert answer.status_code == 200
    assert "no-store" in answer.headers["Cache-Control"]
    assert {event.decoded("dtstart").time() for event in events_of(answer.content)} == {time(10), time(15, 30)}


def test_a_followed_address_opens_no_page_of_the_person(token: str) -> None:
    feed = urlsplit(address_of(token)).path.split("/")[3]
    for name in ("me", "me_safety", "me_calendar", "me_calendar_file"):
        assert get(name, feed).status_code == 410
    assert get("calendar_feed", token).status_code == 410


def test_a_followed_address_is_closed_with_the_link(token: str, plan: ProgrammeVersion, nurse: User) -> None:
    address = address_of(token)
    make_link(plan.person, user=nurse, now=timezone.now())
    for answer in (followed(address), get("me_calendar", token), get("me_calendar_file", token)):
        assert answer.status_code == 410
        assert b"VEVENT" not in answer.content
        assert b"Ana" not in answer.content


def test_an_address_of_a_link_that_never_was_opens_nothing(token: str) -> None:
    for content in ({}, {"calendar": "8c1b8d5e-3a39-4a63-a1f1-000000000000"}):
        made = signing.dumps(content, salt=calendar.FEED_SALT, compress=True)
        assert get("calendar_feed", made).status_code == 410


def test_a_link_of_staff_gives_no_address_to_follow(plan: ProgrammeVersion, lead: User) -> None:
    token = staff_token(plan.person, lead)
    assert "Save the calendar file" in get("me_calendar", token).content.decode()
    assert 'id="address"' not in get("me_calendar", token, **CHOICES).content.decode()
    assert "link" not in get("me_calendar", token).content.decode().split("<form")[1].split("</form>")[0].lower()


def test_a_damaged_address_gets_one_sentence(token: str) -> None:
    answer = followed(address_of(token) + "?" + urlencode({"at": "99:99"}))
    assert answer.status_code == 422
    assert answer.content.decode() == "This calendar address is damaged. Make a new one on your page."


# Changes


def sequences(content: bytes) -> dict[str, int]:
    return {str(event["uid"]): int(event["sequence"]) for event in events_of(content)}


def test_a_new_plan_with_other_days_updates_what_is_there(
    token: str, plan: ProgrammeVersion, lead: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    address = address_of(token)
    before = sequences(followed(address).content)
    later = timezone.now() + timedelta(hours=2)
    monkeypatch.setattr(timezone, "now", lambda: later)
    row = actions.start_draft(plan.person, user=lead, now=later)
    programme = programme_of(row)
    days = {"one": ("tuesday",), "two": ("saturday",)}
    changed = edits.with_days(programme, days, programme.walking)
    actions.keep(row, changed, needed_ground(plan.person, timezone.localdate()))
    actions.sign(row, decision=actions.Decision(), user=lead, now=later)
    content = followed(address).content
    after = sequences(content)
    assert set(before) < set(after)
    assert all(after[uid] > number for uid, number in before.items())
    gone = [event for event in events_of(content) if event["status"] == "CANCELLED"]
    assert gone
    assert {str(event["uid"]) for event in gone} <= set(before)
    assert "This is plan 2\\," in content.decode().replace("\r\n ", "")


def test_nothing_changed_means_the_same_number_at_the_followed_address(token: str) -> None:
    address = address_of(token)
    assert sequences(followed(address).content) == sequences(followed(address).content)


def concern_of(person: Person, raised_at: datetime) -> Concern:
    return Concern.objects.create(
        person=person, topic="faint", urgency="emergency", text="Said so.", raised_at=raised_at, holds_plan=True
    )


def test_an_open_concern_calls_every_session_off_and_its_end_brings_them_back(
    token: str, plan: ProgrammeVersion, nurse: User
) -> None:
    address, now = address_of(token), timezone.now()
    first = sequences(followed(address).content)
    concern = concern_of(plan.person, now + timedelta(seconds=5))
    assert "Your plan is on hold." in get("me_calendar", token).content.decode()
    held = followed(address).content
    assert confirmed(held) == []
    assert b"VALARM" not in held
    concern.closed_at, concern.closed_by, concern.what_was_done = now + timedelta(days=3), nurse, "Rang."
    concern.save()
    again = followed(address).content
    for before, after in ((first, sequences(held)), (sequences(held), sequences(again))):
        assert all(after[uid] > number for uid, number in before.items())
    shown = {start for event in confirmed(again) for start in starts_of(event)}
    today = timezone.localdate()
    assert not shown & {today, today + timedelta(days=1), today + timedelta(days=2)}
    assert any(start > today + timedelta(days=3) for start in shown)


@pytest.mark.parametrize(("outcomes", "shown"), [(("not_today",), 0), (("not_today", "go_ahead"), 1)])
def test_a_day_whose_last_check_said_not_today_is_no_session_day(
    outcomes: tuple[str, ...], shown: int, token: str, plan: ProgrammeVersion, nurse: User
) -> None:
    address = address_of(token)
    day = starts_of(events_of(followed(address).content)[0])[1]
    noon = timezone.make_aware(datetime.combine(day, time(12)))
    for hour, outcome in enumerate(outcomes):
        CheckOfDay.objects.create(
            person=plan.person,
            assessment=Assessment.objects.get(person=plan.person),
            asked_at=noon + timedelta(hours=hour),
            asked_by=nurse,
            answers={},
            gate={"outcome": outcome},
        )
    starts = [start for event in confirmed(followed(address).content) for start in starts_of(event)]
    assert starts.count(day) == shown
    assert day + timedelta(weeks=1) in starts

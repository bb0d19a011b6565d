"""A week on the person's own pages: without a network, in two windows, under a wrong clock, and at night."""

from datetime import timedelta

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from haleward.errors import HalewardError
from haleward.web.concerns.models import Concern
from haleward.web.delivery import actions
from haleward.web.delivery.logs import session_logs
from haleward.web.delivery.models import LogEntry
from haleward.web.people.models import Person
from tests.browser.shots import shot
from tests.browser.test_offline_log import wait_until_kept

pytestmark = pytest.mark.browser

OFFLINE = ("ERR_INTERNET_DISCONNECTED", "ERR_FAILED")  # what consoles say of what cannot be fetched


def keep_pages(phone, way):
    """The phone has opened the link once and keeps what it needs for days without a network."""
    phone.open(way.link)
    expect(phone.page.locator("#today")).to_be_visible()
    for ending in ("/diary/", "/home.js", "/js/person.js", way.link):
        wait_until_kept(phone, ending)


def as_planned(phone):
    """One tap on the first page; the answer is saved before anything else is asked."""
    phone.page.locator("#today").get_by_role("link", name="Yes, as planned").first.click()
    expect(phone.page.locator("h1")).to_have_text("Saved, thank you. You did it as planned.")


def away(*_entries, **_more):
    """What the server does with notes that must not reach it yet."""
    raise HalewardError("There is no way through.")


def test_a_week_without_a_network_is_told_day_by_day_and_sent_once(ready, monkeypatch):
    ready.windows.expected.extend(OFFLINE)
    phone, today, person = ready.windows.phone(), ready.today, Person.objects.get()
    keep_pages(phone, ready)
    phone.page.context.set_offline(True)
    stored = actions.store_entries
    monkeypatch.setattr(actions, "store_entries", away)  # a service worker that starts anew may still find the network
    told = []
    for ahead in range(7):
        day = today + timedelta(days=ahead)
        phone.open(ready.link)
        expect(phone.page.locator("[data-week-day][aria-current]")).to_have_count(1)
        for _ in range(phone.page.locator("#today [data-tell] .tell").count()):
            phone.open(ready.link)
            as_planned(phone)
            told.append(day)
            waiting = "One note is" if len(told) == 1 else f"{len(told)} notes are"
            expect(phone.page.locator("#unsent")).to_contain_text(f"{waiting} on this device and not sent yet.")
        phone.page.clock.fast_forward(timedelta(days=1) / timedelta(milliseconds=1))
    assert len(told) >= 4  # two parts, and walks on days of their own
    assert LogEntry.objects.count() == 0

    ready.days_later(7)
    monkeypatch.setattr(actions, "store_entries", stored)
    with phone.page.expect_request("**/log/") as sent:
        phone.page.context.set_offline(False)
    phone.all_sent()
    logs = session_logs(person)
    assert [timezone.localdate(log.started_at) for log in logs] == told
    assert {(log.outcome, log.origin, log.back_dated) for log in logs} == {("as_planned", "person", False)}
    assert not LogEntry.objects.exclude(clock_off_s=None).exists()
    count = LogEntry.objects.count()
    again = phone.page.request.post(
        sent.value.url, data=sent.value.post_data, headers={"Content-Type": "application/json"}
    )
    assert len(again.json()["stored"]) == count == len(told)
    assert LogEntry.objects.count() == count


def test_two_windows_make_one_session_and_more_may_be_told_of_it(ready):
    ready.windows.expected.extend(OFFLINE)
    phone = ready.windows.phone()
    keep_pages(phone, ready)
    other = type(phone)(phone.page.context.new_page())
    other.open(ready.link)
    expect(other.page.locator("#today").get_by_role("link", name="Yes, as planned").first).to_be_visible()
    phone.page.context.set_offline(True)
    as_planned(phone)
    as_planned(other)
    phone.page.context.set_offline(False)
    phone.all_sent()
    other.all_sent()
    told = LogEntry.objects.filter(kind="report")
    assert told.count() in (1, 2)  # the second window may have seen that it was told already
    assert told.values("session_id").distinct().count() == 1
    assert len(session_logs(Person.objects.get())) == 1

    other.page.close()
    phone.page.context.set_offline(True)  # more is told of it: when it got hard, how hard, and who is writing
    phone.page.get_by_label("I am helping").check()
    phone.press("Say when each movement got hard")
    phone.page.get_by_role("button", name="It got hard at number: One more").first.click()
    phone.press("Save")
    phone.page.locator(".efforts button").nth(4).click()
    phone.press("No")
    expect(phone.page.locator("#unsent")).to_contain_text("2 notes are on this device and not sent yet.")
    shot(phone.page, "log-hard")
    phone.page.context.set_offline(False)
    phone.all_sent()
    (log,) = session_logs(Person.objects.get())
    assert (log.outcome, log.whole_effort, log.origin) == ("as_planned", 4, "carer")
    hard = [(one.exercise_index, one.set_number, one.hard_at) for one in log.sets if one.hard_at is not None]
    assert hard == [(0, 2, 5)]


def test_a_clock_that_is_a_day_ahead_is_marked_and_the_session_stands_on_its_true_day(ready):
    page = ready.windows.open((390, 844))
    page.clock.install(time=ready.clock.now() + timedelta(days=1))
    page.goto(ready.link)
    expect(page.locator("#today")).to_have_attribute("data-day", ready.today.isoformat())
    page.locator("#today").get_by_role("link", name="Yes, as planned").first.click()
    expect(page.locator("#unsent")).to_contain_text("has been sent")
    row = LogEntry.objects.get(kind="report")
    assert timezone.localdate(row.happened_at) == ready.today + timedelta(days=1)
    assert row.clock_off_s is not None
    assert abs(row.clock_off_s + 24 * 60 * 60) < 60 * 60
    (log,) = session_logs(Person.objects.get())
    assert timezone.localdate(log.started_at) == ready.today
    nurse = ready.desk("nurse")
    nurse.sees("The clock of the device was off")
    shot(nurse.page, "log-clock-off")


def test_a_chest_symptom_at_night_gives_help_first_then_is_kept_and_holds_the_plan(ready):
    ready.windows.expected.extend(OFFLINE)
    ready.clock.move(timedelta(hours=12))  # ten at night
    phone = ready.windows.phone()
    keep_pages(phone, ready)
    phone.page.context.set_offline(True)
    phone.page.get_by_role("link", name="I feel unwell").click()
    phone.press("Chest pain or tightness")
    lines = phone.page.locator("main li")
    expect(lines.first).to_contain_text("999")
    phone.shows("No one is reading this now.")
    phone.shows("Do not exercise until you have talked to the team.")
    expect(phone.page.locator("#unsent")).to_contain_text("One note is on this device and not sent yet.")
    shot(phone.page, "night")
    assert LogEntry.objects.count() == 0
    phone.page.context.set_offline(False)
    phone.all_sent()
    concern = Concern.objects.get()
    assert (concern.urgency, concern.holds_plan) == ("emergency", True)
    assert concern.text.startswith("Outside a session, at 22:0")
    phone.open(ready.link)
    phone.shows("on hold")
    expect(phone.page.get_by_role("link", name="Start today's session")).to_have_count(0)

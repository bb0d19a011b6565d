"""What stops a session, and what the team then sees: advice first, then the record, then someone who acts."""

from datetime import timedelta

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from haleward.web.accounts.models import User
from haleward.web.delivery.models import LogEntry
from haleward.web.people.models import Person
from haleward.web.prescription.actions import programme_of
from haleward.web.prescription.models import ProposalDecision, signed_of
from tests.browser.filled import log_session
from tests.browser.shots import shot

pytestmark = pytest.mark.browser


def first_line(phone):
    return phone.page.locator("main li").first.inner_text()


def test_chest_pain_before_the_start_holds_the_plan_until_a_nurse_closes_the_concern(ready):
    phone = ready.open_link()
    phone.start()
    phone.answer_day(odd="check_chest")
    assert first_line(phone).startswith("Call 999 now")
    assert phone.heading().startswith("Please do not exercise today.")
    assert phone.page.locator("[data-main]").count() == 0
    shot(phone.page, "stopped")
    phone.all_sent()
    assert set(LogEntry.objects.values_list("kind", flat=True)) == {"check"}

    nurse = ready.windows.desk("nurse")
    line = nurse.page.locator(".due li", has_text="Rowan Ashby").filter(has_text="Check before the session")
    expect(line.locator(".when")).to_have_text("Today")
    shot(nurse.page, "today-concern")
    phone.open(ready.link)
    phone.shows("on hold")
    expect(phone.page.get_by_role("link", name="Start today's session")).to_have_count(0)
    shot(phone.page, "landing-held")

    line.get_by_role("link").click()
    nurse.press("I take this")
    nurse.sees("Taken by Owen Pryce")
    assert ".." not in nurse.text()
    shot(nurse.page, "concern")
    nurse.page.get_by_label("What was done").fill("Rang at 10:20. Muscle ache after gardening; seen by the practice.")
    nurse.press("Close the concern")
    nurse.sees("Closed. It stays in the history.")
    shot(nurse.page, "concerns")
    phone.open(ready.link)
    phone.shows("The team has looked at what you told us. Your plan is open again.")
    phone.start()
    expect(phone.page.locator("h1")).to_contain_text("Your plan is open again.")
    phone.press("Start")
    expect(phone.page.locator("h1.question")).to_be_visible()


def test_unwell_in_a_set_gives_help_first_raises_a_concern_and_no_proposal(ready):
    def unwell(phone):
        phone.press("I feel unwell")
        assert first_line(phone).startswith("Call 999 now")
        shot(phone.page, "unwell")
        phone.press("Faint or dizzy")
        assert first_line(phone).startswith("Call 999")
        phone.shows("Your session has stopped. Do not start again today.")
        shot(phone.page, "advice")
        phone.all_sent()

    person = Person.objects.get(last_name=ready.last_name)
    lead = User.objects.get(username="lead")
    for days_ago in (2, 1):  # two sessions at effort 3 bring a raise
        log_session(person, programme_of(signed_of(person)), timezone.now() - timedelta(days=days_ago), lead)
    assert ProposalDecision.objects.filter(proposal__kind__startswith="raise_", answer="waiting").exists()
    ready.days_later(2)
    phone = ready.open_link()
    phone.start()
    phone.answer_day()
    while not phone.page.locator("[data-pause]").count():
        phone.page.locator("[data-main]").click()
    phone.page.clock.run_for(9000)
    unwell(phone)
    phone.press("Next")
    phone.page.locator("#note").fill("It passed after a minute.")
    phone.press("Finish")
    phone.all_sent()
    phone.open(ready.link)
    phone.shows("on hold")

    lead = ready.windows.desk("lead")
    lead.sees("faint")
    lead.person(ready.last_name)
    lead.sees("Reported: faint")
    assert "More repetitions" not in lead.text()
    shot(lead.page, "person-unwell")
    assert not ProposalDecision.objects.filter(proposal__kind__startswith="raise_", answer="waiting").exists()

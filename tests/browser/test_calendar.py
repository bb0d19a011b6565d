"""The calendar in a real browser: chosen without script, saved as a file, followed at its address."""

import pytest
from icalendar import Calendar

from tests.browser.shots import NARROW
from tests.browser.test_pages_accessible import faults_of

pytestmark = pytest.mark.browser


def test_the_person_saves_a_file_and_gets_an_address_without_script(windows, ready):
    page = windows.open(NARROW, reduced_motion="reduce", java_script_enabled=False)
    page.goto(ready.link)
    page.get_by_role("link", name="Add to a calendar").click()
    page.get_by_label("When do you start your exercise session?").fill("10:00")
    page.get_by_label("When do you start your walk?").fill("15:30")
    page.get_by_label("Half an hour before").check()
    with page.expect_download() as saved:
        page.get_by_role("button", name="Save the calendar file").click()
    assert saved.value.suggested_filename == "exercise-plan.ics"
    events = Calendar.from_ical(saved.value.path().read_bytes()).walk("VEVENT")
    assert {f"{event.decoded('dtstart'):%H:%M}" for event in events} == {"10:00", "15:30"}
    page.get_by_role("button", name="Get an address that keeps up").click()
    assert "/me/calendar/" in page.get_by_label("Address", exact=True).input_value()
    assert page.get_by_role("link", name="Open it in my calendar").get_attribute("href").startswith("webcal://")


def test_calendar_pages_are_accessible_and_fit_a_phone(windows, ready):
    page = windows.open(reduced_motion="reduce")
    page.goto(f"{ready.link}calendar/")
    faults = faults_of(page, "calendar")
    page.get_by_label("Half an hour before").check()
    page.get_by_role("button", name="Save the calendar file").click()
    faults += faults_of(page, "calendar-refused")
    page.goto(f"{ready.link}calendar/?reminder=evening")
    faults += faults_of(page, "calendar-address")
    desk = windows.desk("lead")
    desk.person(ready.last_name)
    faults += faults_of(desk.page, "calendar-person")
    desk.follow("Add to a calendar")
    faults += faults_of(desk.page, "calendar-staff")
    assert not faults, "\n".join(faults)

"""A paper week is typed in with the keyboard alone, in far less than two minutes."""

import pytest
from playwright.sync_api import expect

from haleward.web.delivery.logs import session_logs
from haleward.web.people.models import Person
from tests.browser.shots import shot

pytestmark = pytest.mark.browser

KEYS_A_MINUTE = 60  # a slow typist who looks at the paper after every key


def test_a_paper_week_is_typed_by_keyboard_in_under_two_minutes(ready):
    ready.days_later(6)
    desk = ready.desk("assistant")
    desk.follow("Type in a paper week")
    expect(desk.page.get_by_role("heading", name="Paper log,")).to_be_visible()
    desk.follow("Week before")
    expect(desk.page.locator("tbody tr", has_text="Sunday")).to_be_visible()
    part = desk.page.locator("tr", has_text="Part").first
    expect(part).to_be_visible()
    desk.page.locator("tbody select").first.focus()
    pressed = 0
    for row in desk.page.locator("tbody tr").all():
        controls = row.locator("select:visible, input:visible, summary").count()
        for key in ["A" if "planned" in row.inner_text() else "ArrowDown+ArrowUp", *["Tab"] * controls]:
            for one in key.split("+"):
                desk.page.keyboard.press(one)
                pressed += 1
    desk.page.keyboard.press("Enter")
    desk.sees("as reported on paper")
    shot(desk.page, "paper-week")
    assert pressed / KEYS_A_MINUTE < 2
    logs = session_logs(Person.objects.get())
    assert {log.part_key for log in logs} >= {"one", "walk"}
    assert {(log.origin, log.outcome, log.back_dated) for log in logs} == {("paper", "as_planned", True)}

"""Proposals accepted and taken back with the keyboard alone, and a brief that prints without its form."""

import re

import pytest
from playwright.sync_api import expect

from tests.browser.filled import filled_team

pytestmark = pytest.mark.browser


@pytest.fixture
def filled(team, clock):
    return filled_team(team)


def test_proposals_are_accepted_and_taken_back_with_the_keyboard(windows, filled):
    page = windows.desk("lead").page
    page.goto(filled.lead["today"])
    line = page.get_by_role("link", name=re.compile(r"\d+ proposals?"))
    line.focus()
    page.keyboard.press("Enter")
    box = page.get_by_role("checkbox", name="Rowan Ashby").first
    expect(box).not_to_be_checked()
    box.focus()
    page.keyboard.press("Space")
    button = page.get_by_role("button", name="Accept what is ticked")
    button.focus()
    page.keyboard.press("Enter")
    expect(page.get_by_role("status")).to_contain_text("1 plan is signed.")
    back = page.get_by_role("button", name="Take back what is ticked")
    back.focus()
    page.keyboard.press("Enter")
    expect(page.get_by_role("status")).to_contain_text("Plan 3 is as it was before.")
    expect(back).to_have_count(0)


def test_the_brief_prints_without_what_is_only_for_the_screen(windows, filled):
    page = windows.desk("lead").page
    page.goto(filled.lead["brief"])
    form, asked = page.get_by_role("heading", name="What came of it"), page.get_by_role("heading", name="To ask")
    expect(form).to_be_visible()
    page.emulate_media(media="print")
    expect(form).to_be_hidden()
    expect(asked).to_be_visible()

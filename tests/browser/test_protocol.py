"""A lead changes a limit, the clinical lead signs it, and the gate of a person follows."""

from datetime import timedelta

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from haleward.web.accounts.actions import name_clinical_lead
from haleward.web.accounts.models import User
from haleward.web.team.demo import assessed_person
from tests.browser.desk import PASSWORD
from tests.browser.shots import shot
from tests.browser.test_pages_accessible import faults_of

pytestmark = pytest.mark.browser
LIMIT = '[name="rule/R017/condition/under"]'
ANALYSED_MS = 30_000  # the rules are held against each other by a solver


@pytest.fixture
def rowan(team, clock):
    """Rowan of the demo, assessed, and the nurse named as clinical lead."""
    lead, nurse = (User.objects.get(service=team, username=name) for name in ("lead", "nurse"))
    name_clinical_lead(nurse, "consultant nurse", today=timezone.localdate())
    return assessed_person("rowan", reason="Exercise after a stent", lead=lead, nurse=nurse, now=timezone.now())


def open_section(desk):
    """A draft from the default, and the form of its entry rules."""
    desk.place("Protocol")
    desk.sees("not approved for clinical use")
    desk.follow("Versions and history")
    desk.press("Start from the default")
    desk.sees("It decides nothing until it is signed.")
    desk.follow("Entry rules")


def change_limit(desk):
    """A wrong value is told while it is typed; a right one is stored."""
    checked = desk.page.locator("[data-checked]")
    box = desk.page.locator(LIMIT)
    box.fill("sixty")
    expect(checked).to_contain_text("it must be a number in %")
    shot(desk.page, "protocol-fault")
    box.fill("60")
    expect(checked).to_contain_text("nothing that stands against saving or signing", timeout=ANALYSED_MS)
    desk.press("Save in the draft")
    desk.sees("Saved in the draft.")
    expect(desk.page.locator(LIMIT)).to_have_value("60")


def preview(desk):
    """What and why, then whom it would change."""
    desk.follow("Draft, version 0.3")
    desk.sees("R017: resting ejection fraction under from 40 to 60.")
    desk.fill({"note": "Supervise below 60%, team meeting of May."})
    desk.press("Save")
    desk.follow("Whom it would change")
    desk.press("See whom it would change")
    desk.sees("1 of 1 person would change")
    desk.sees("Rowan")
    desk.follow("To the signature")
    desk.sees("consultant nurse, signs this service’s protocol.")


def sign(desk):
    """The clinical lead reads, and signs with the password."""
    desk.place("Protocol")
    desk.follow("Go to the draft")
    desk.follow("To the signature")
    due = (timezone.localdate() + timedelta(days=365)).isoformat()
    desk.fill({"review_due": due, "read": True, "password": PASSWORD})
    faults = faults_of(desk.page, "protocol-signature")
    desk.press("Sign version 0.3")
    desk.sees("is signed and in force.")
    desk.sees("Signed by Owen Pryce, consultant nurse")
    return faults


def gate_of(desk, last_name):
    """The gate on the person's page."""
    desk.person(last_name)
    desk.follow("See the numbers and their working")
    return desk.page.locator("section", has=desk.page.get_by_role("heading", name="May this person start")).inner_text()


def test_a_changed_limit_is_signed_and_the_gate_of_a_person_follows(windows, rowan):
    lead = windows.desk("lead")
    assert "Go ahead" in gate_of(lead, rowan.last_name)
    open_section(lead)
    change_limit(lead)
    preview(lead)
    faults = sign(windows.desk("nurse"))
    gate = gate_of(lead, rowan.last_name)
    assert "Check first" in gate
    assert "R017" in gate
    lead.place("Today")
    lead.follow("Protocol version 0.3 changes this person")
    lead.fill({"note": "Spoken with the cardiologist."})
    faults += faults_of(lead.page, "protocol-review")
    lead.press("Close")
    expect(lead.page.locator("main")).not_to_contain_text("Protocol version 0.3")
    assert not faults, "\n".join(faults)


def test_pages_of_the_protocol_are_accessible_and_fit_a_phone(windows, rowan):
    lead = windows.desk("lead")
    open_section(lead)
    faults = []
    for name, address in {
        "protocol-versions": "/protocol/versions/",
        "protocol-draft": "/protocol/draft/",
        "protocol-section": "/protocol/draft/sections/rules.home/",
        "protocol-entry": "/protocol/draft/sections/rules.home/?entry=rule/R072",
        "protocol-rule": "/protocol/draft/sections/rules.home/rules/",
        "protocol-retirement": "/protocol/draft/sections/rules.home/retirement/",
        "protocol-wording": "/protocol/draft/wording/?q=feel+well",
        "protocol-comparison": "/protocol/comparison/",
    }.items():
        lead.page.goto(address)
        faults += faults_of(lead.page, name)
    assert not faults, "\n".join(faults)


def test_a_line_inside_a_folded_part_opens_from_its_address(windows, team):
    desk = windows.desk("lead")
    desk.page.goto("/protocol/#home.can_self_monitor")
    expect(desk.page.locator('[id="home.can_self_monitor"]')).to_be_visible()
    desk.page.get_by_label("Find in the protocol").fill("ketones")
    expect(desk.page.locator("#R057")).to_be_visible()
    expect(desk.page.locator("#R023")).to_be_hidden()
    expect(desk.page.locator("[data-found]")).to_contain_text("lines hold “ketones”.")

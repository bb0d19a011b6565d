"""Every kind of page, wide and narrow: nothing serious for assistive technology, no sideways scroll, quiet consoles."""

import pytest

from tests.browser.axe_rules import serious
from tests.browser.filled import filled_team
from tests.browser.shots import NARROW, WIDE, shot

pytestmark = pytest.mark.browser
TOO_WIDE = "document.documentElement.scrollWidth > innerWidth"


def faults_of(page, name):
    """What is wrong with the page as it stands, at both widths."""
    shot(page, name)
    faults = []
    for width, height in (WIDE, NARROW):
        page.set_viewport_size({"width": width, "height": height})
        if page.evaluate(TOO_WIDE):
            faults.append(f"{name} at {width} scrolls sideways")
        faults += [f"{name} at {width}: {fault}" for fault in serious(page)]
    page.set_viewport_size({"width": WIDE[0], "height": WIDE[1]})
    return faults


def faults_of_all(page, addresses):
    """Each page in turn, everything on it folded open."""
    faults = []
    for name, address in addresses.items():
        page.goto(address)
        page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true; })")
        faults += faults_of(page, name)
    return faults


@pytest.fixture
def filled(team, clock):
    return filled_team(team)


def test_pages_of_staff_are_accessible_and_fit_a_phone(windows, filled):
    page = windows.open(reduced_motion="reduce")
    page.goto("/sign-in/")
    faults = faults_of(page, "sign-in")
    faults += faults_of_all(windows.desk("lead").page, filled.lead)
    faults += faults_of_all(windows.desk("assistant").page, filled.assistant)
    windows.expected.append("status of 403")  # a manager does not read about people
    faults += faults_of_all(windows.desk("manager").page, filled.manager)
    assert not faults, "\n".join(faults)


def test_refused_forms_are_accessible_and_fit_a_phone(windows, filled):
    desk = windows.desk("lead")
    desk.page.goto(filled.lead["assessment"])
    desk.fill({"body-stature_m": "172", "readings-systolic_mmhg": "70", "readings-diastolic_mmhg": "120"})
    desk.press("Finish the assessment")
    faults = faults_of(desk.page, "assessment-refused")
    desk.page.goto(filled.lead["exercise"])
    desk.page.get_by_label("Rest between sets").fill("5")
    desk.press("Save the dose")
    faults += faults_of(desk.page, "exercise-refused")
    page = windows.open(reduced_motion="reduce")
    page.goto("/sign-in/")
    page.get_by_label("Username").fill("lead")
    page.get_by_label("Password").fill("not the password")
    page.get_by_role("button", name="Sign in").click()
    faults += faults_of(page, "sign-in-refused")
    assert not faults, "\n".join(faults)


def test_pages_of_the_person_are_accessible_and_fit_a_phone(windows, filled, ready):
    page = windows.open(NARROW, reduced_motion="reduce")
    faults = faults_of_all(page, filled.person)
    phone = ready.open_link()
    faults += faults_of(phone.page, "landing")
    phone.start()
    faults += faults_of(phone.page, "session-check")
    phone.answer_day()
    while not phone.page.locator("[data-pause]").count():
        phone.page.locator("[data-main]").click()
    phone.page.clock.run_for(9000)
    faults += faults_of(phone.page, "session-set")
    phone.open(f"{ready.link}session/walk/")
    faults += faults_of(phone.page, "session-walk")
    assert not faults, "\n".join(faults)

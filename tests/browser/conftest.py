"""A real browser against the real server: one team with four accounts, and a clock that tests can move."""

from collections.abc import Iterator
from datetime import UTC, datetime
from typing import Any

import pytest
from django.utils import timezone
from playwright.sync_api import Browser, sync_playwright

from haleward.web.accounts.models import Role, User
from haleward.web.delivery.links import make_link, token_of
from haleward.web.prescription import edits
from haleward.web.prescription.actions import Decision, keep, programme_of, sign, start_draft
from haleward.web.prescription.ground import needed_ground
from haleward.web.team.demo import NUMBERS, assessed_person
from haleward.web.team.models import Service
from tests.browser.desk import PASSWORD
from tests.browser.people import days_from
from tests.browser.served import ADDRESS, Served
from tests.browser.way import Way
from tests.browser.windows import TeamClock, Windows

ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    # A hidden page for the address bar starts with every window and costs more than most tests; the rest of the list is
    # what Playwright itself turns off, because of two lists the later one counts.
    "--disable-features=WebUIOmniboxPopup,WebUIOmniboxAimPopup,WebUIOmniboxFullPopup,"
    "AvoidUnnecessaryBeforeUnloadCheckSync,DestroyProfileOnBrowserClose,HttpsUpgrades,HttpsFirstBalancedModeAutoEnable,"
    "LensOverlay,MediaRouter,PaintHolding,ThirdPartyStoragePartitioning,AvoidCorsURLLoaderRestartOnRedirect,"
    "OptimizationHints,NetworkTimeServiceQuerying,AimEnabled,PreconnectToSearch,CDPScreenshotNewSurface,"
    "SkipListAccountsWithoutGaiaCookies",
]
STAFF = (
    (Role.LEAD, "lead", "Marion", "Stead"),
    (Role.NURSE, "nurse", "Owen", "Pryce"),
    (Role.ASSISTANT, "assistant", "Asha", "Lund"),
    (Role.MANAGER, "manager", "Piotr", "Vane"),
)


@pytest.fixture(scope="session")
def browser(chromium: str) -> Iterator[Browser]:
    """One browser for all tests of a worker, each with windows of its own."""
    with pytest.MonkeyPatch.context() as patch, sync_playwright() as playwright:
        patch.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "true")  # the browser's loop runs in the thread of the tests
        opened = playwright.chromium.launch(executable_path=chromium, args=ARGUMENTS)
        yield opened
        opened.close()


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> TeamClock:
    """The moment at which the server believes to be."""
    made = TeamClock()
    monkeypatch.setattr(timezone, "now", made.now)
    return made


@pytest.fixture
def team(transactional_db: None) -> Service:
    """A service with its numbers and four members of staff: all that is written without the screens."""
    service = Service.objects.create(name="Harrow Beck heart team", values=NUMBERS)
    for role, username, first_name, last_name in STAFF:
        user = User(username=username, role=role, first_name=first_name, last_name=last_name, service=service)
        user.set_password(PASSWORD)
        user.save()
    return service


@pytest.fixture
def windows(browser: Browser, clock: TeamClock, team: Service, live_server: Any) -> Iterator[Windows]:
    """Windows that are closed afterwards; a fault on any console fails the test."""
    opened = Windows(browser, clock, live_server.url)
    with opened.closing:
        yield opened
    assert [fault for fault in opened.faults if not any(known in fault for known in opened.expected)] == []


@pytest.fixture
def ready(windows: Windows, team: Service) -> Way:
    """Rowan of the demo, with a signed plan and a link: made by the actions themselves, for tests of what follows."""
    lead, nurse = (User.objects.get(service=team, username=name) for name in ("lead", "nurse"))
    now = timezone.now()
    person = assessed_person("rowan", reason="Exercise after a stent", lead=lead, nurse=nurse, now=now)
    row = start_draft(person, user=lead, now=now)
    first, second = days_from(timezone.localdate(now), 0, 2)
    plan = programme_of(row)
    planned = edits.with_days(plan, {"one": (first,), "two": (second,)}, plan.walking)
    keep(row, planned, needed_ground(person, timezone.localdate(now)))
    sign(row, decision=Decision(), user=lead, now=now)
    sets = sum(exercise.dose.sets for exercise in plan.parts[0].exercises)
    token = token_of(make_link(person, user=lead, now=now))
    link = f"{windows.base_url}/me/{token}/"
    return Way(windows, windows.clock, person.last_name, link, sets)


@pytest.fixture
def page(browser: Browser) -> Iterator[Any]:
    """A phone of a person at ten in the morning; a fault on its console fails the test."""
    context = browser.new_context(viewport={"width": 390, "height": 844})
    page = context.new_page()
    page.set_default_timeout(30_000)
    faults: list[str] = []
    page.on("pageerror", lambda error: faults.append(str(error)))
    page.on("console", lambda message: message.type == "error" and faults.append(message.text))
    page.clock.install(time=datetime(2026, 2, 4, 10, 0, tzinfo=UTC))
    yield page
    context.close()
    assert [one for one in faults if "ERR_FAILED" not in one] == []  # a network that was switched off on purpose


@pytest.fixture
def served(page: Any) -> Served:
    """The page of a session, opened."""
    served = Served(page)
    page.goto(ADDRESS)
    page.wait_for_selector("h1")
    return served

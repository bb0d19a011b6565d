"""A real browser against the real server: one team with four accounts, and a clock that tests can move."""

import os
import re
from collections.abc import Iterator
from contextlib import ExitStack
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.conf import settings
from django.utils import timezone
from playwright.sync_api import Browser, Page, sync_playwright

from haleward.web.accounts.models import Role, User
from haleward.web.team.demo import NUMBERS
from haleward.web.team.models import Service
from tests.browser.desk import PASSWORD, Desk
from tests.browser.phone import Phone

ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
WIDE, NARROW = (1280, 900), (390, 844)
STAFF = (
    (Role.LEAD, "lead", "Marion", "Stead"),
    (Role.NURSE, "nurse", "Owen", "Pryce"),
    (Role.ASSISTANT, "assistant", "Asha", "Lund"),
    (Role.MANAGER, "manager", "Piotr", "Vane"),
)
DELIBERATE = re.compile(r"the server responded with a status of (410|422)")  # a refused form, a closed link


class TeamClock:
    """The server's clock: today at ten in the morning, running on, and moved ahead by tests."""

    def __init__(self) -> None:
        self._started = datetime.now(tz=ZoneInfo("UTC"))
        self._base = datetime.combine(date.today(), time(10), ZoneInfo(settings.TIME_ZONE))

    def now(self) -> datetime:
        """The moment the server believes it is."""
        return (self._base + (datetime.now(tz=ZoneInfo("UTC")) - self._started)).astimezone(ZoneInfo("UTC"))

    def move(self, ahead: timedelta) -> None:
        """Let time pass."""
        self._base += ahead


@pytest.fixture(scope="module")
def browser(chromium: str) -> Iterator[Browser]:
    """One browser for all tests of a module."""
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


class Windows:
    """Opens windows of the browser and gathers every fault that their consoles report."""

    def __init__(self, browser: Browser, clock: TeamClock, base_url: str) -> None:
        self.browser, self.clock, self.base_url = browser, clock, base_url
        self.faults: list[str] = []
        self.closing = ExitStack()

    def open(self, size: tuple[int, int] = WIDE, **options: Any) -> Page:
        """A window with no cookies of its own."""
        width, height = size
        viewport = {"width": width, "height": height}
        options = {"base_url": self.base_url, "viewport": viewport, "locale": "en-GB"} | options
        context = self.browser.new_context(**options)
        self.closing.callback(context.close)
        page = context.new_page()
        page.set_default_timeout(20_000)
        page.on("pageerror", lambda error: self.faults.append(f"{page.url}: {error}"))
        page.on("console", lambda said: said.type == "error" and self.faults.append(f"{page.url}: {said.text}"))
        return page

    def desk(self, username: str, **options: Any) -> Desk:
        """A member of staff, signed in through the sign-in page."""
        desk = Desk(self.open(reduced_motion="reduce", **options), username)
        desk.sign_in()
        return desk

    def phone(self, **options: Any) -> Phone:
        """A person's phone, whose time the test drives."""
        page = self.open(NARROW, **options)
        page.clock.install(time=self.clock.now())
        return Phone(page)


@pytest.fixture
def windows(browser: Browser, clock: TeamClock, team: Service, live_server: Any) -> Iterator[Windows]:
    """Windows that are closed afterwards; a fault on any console fails the test."""
    opened = Windows(browser, clock, live_server.url)
    with opened.closing:
        yield opened
    assert [fault for fault in opened.faults if not DELIBERATE.search(fault)] == []


def shot(page: Page, name: str) -> None:
    """Keep a picture of the page at both widths, in the folder that HALEWARD_SHOTS names (if it names one)."""
    folder = os.environ.get("HALEWARD_SHOTS", "")
    if not folder:
        return
    before = page.viewport_size
    for width, height in (WIDE, NARROW):
        page.set_viewport_size({"width": width, "height": height})
        page.screenshot(path=Path(folder) / f"{name}-{width}.png", full_page=True)
    page.set_viewport_size(before)

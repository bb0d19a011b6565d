"""Windows of one browser, the faults on their consoles, and the clock of the server."""

from __future__ import annotations

from contextlib import ExitStack
from datetime import date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings
from django.test import Client
from playwright.sync_api import Browser, Page

from haleward.web.accounts.models import User
from tests.browser.desk import Desk
from tests.browser.phone import Phone
from tests.browser.shots import NARROW, WIDE

BACKEND = "django.contrib.auth.backends.ModelBackend"


class TeamClock:
    """The server's clock: today at ten in the morning, running on, and moved ahead by tests."""

    def __init__(self) -> None:
        self._started = datetime.now(tz=ZoneInfo("UTC"))
        self._base = datetime.combine(date.today(), time(10), ZoneInfo(settings.TIME_ZONE))  # noqa: DTZ011  (as the forms do)

    def now(self) -> datetime:
        """The moment the server believes it is."""
        return (self._base + (datetime.now(tz=ZoneInfo("UTC")) - self._started)).astimezone(ZoneInfo("UTC"))

    def move(self, ahead: timedelta) -> None:
        """Let time pass."""
        self._base += ahead


class Windows:
    """Opens windows of the browser and gathers every fault that their consoles report."""

    def __init__(self, browser: Browser, clock: TeamClock, base_url: str) -> None:
        self.browser, self.clock, self.base_url = browser, clock, base_url
        self.faults: list[str] = []
        self.expected = ["status of 422", "status of 410"]  # a refused form, a closed link
        self.closing = ExitStack()

    def open(self, size: tuple[int, int] = WIDE, **options: Any) -> Page:
        """A window with no cookies of its own."""
        width, height = size
        viewport = {"width": width, "height": height}
        options = {"base_url": self.base_url, "viewport": viewport, "locale": "en-GB"} | options
        context = self.browser.new_context(**options)
        self.closing.callback(context.close)
        page = context.new_page()
        page.set_default_timeout(60_000)  # a loaded machine is slow, not wrong
        page.on("pageerror", lambda error: self.faults.append(f"{page.url}: {error}"))
        page.on("console", lambda said: said.type == "error" and self.faults.append(f"{page.url}: {said.text}"))
        return page

    def desk(self, username: str, **options: Any) -> Desk:
        """A member of staff at Today, signed in; that the sign-in page does so is shown where it is opened."""
        desk = Desk(self.open(reduced_motion="reduce", **options), username)
        client = Client()
        client.force_login(User.objects.get(username=username), backend=BACKEND)
        cookie = client.cookies[settings.SESSION_COOKIE_NAME]
        desk.page.context.add_cookies([{"name": cookie.key, "value": cookie.value, "url": self.base_url}])
        desk.page.goto("/")
        return desk

    def phone(self, **options: Any) -> Phone:
        """A person's phone, whose time the test drives."""
        page = self.open(NARROW, **options)
        page.clock.install(time=self.clock.now())
        return Phone(page)

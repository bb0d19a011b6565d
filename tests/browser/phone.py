"""A person with a phone: opens the link, answers, moves, presses. The test drives the time."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from playwright.sync_api import Page, expect

from haleward.safety.protocol import default_protocol
from haleward.web.team.demo import NUMBERS
from haleward.wording import default_wording

GOOD_IS_YES = {"check_well", "check_breath", "check_medicine_taken", "check_nitrate", "check_phone", "check_wound"}
SET_AT_MOST_MS = 240_000


@dataclass
class Session:
    """How a person goes through a session: an effort for each set, and what they press in a set (by its number)."""

    effort: int | None = 3
    in_set: Mapping[int, Callable[[Phone], None]] = field(default_factory=dict)
    in_rest: Mapping[int, Callable[[Phone], None]] = field(default_factory=dict)
    worried: bool = False
    note: str = ""
    whole_effort: int | None = 3


class Phone:
    """One phone in a fresh window."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.said: list[str] = []  # every screen's text, in order
        self.sets = self.rests = 0

    def open(self, address: str) -> None:
        """The link, or the address in the QR code."""
        self.page.goto(address)

    def start(self, name: str = "Start today's session") -> None:
        """From the first page into the session."""
        self.page.get_by_role("link", name=name).click()
        expect(self.page.locator("h1")).to_be_visible()

    def heading(self) -> str:
        """The heading of the screen."""
        return self.page.locator("h1").first.inner_text()

    def text(self) -> str:
        """Everything on the page, kept for later too."""
        text = str(self.page.locator("body").inner_text())
        self.said.append(text)
        return text

    def press(self, name: str | re.Pattern[str]) -> None:
        """A button by its words."""
        exact = isinstance(name, str)
        self.page.get_by_role("button", name=name, exact=exact).first.click()

    def shows(self, text: str) -> None:
        """The screen says this."""
        expect(self.page.locator("main")).to_contain_text(text)

    def answer_day(self, *, odd: str = "") -> None:
        """Answer "How are you today?" reassuringly, or the question ``odd`` (its wording key) the other way."""
        wording = default_wording()
        checks = {wording.text(one.wording, NUMBERS): one for one in default_protocol().checks
                  if wording.has_values(one.wording, NUMBERS)}  # fmt: skip
        expect(self.page.locator("h1").first).to_be_visible()
        while self.page.locator("h1.question").count():
            question = self.heading()
            check = checks[question]
            good = (check.wording in GOOD_IS_YES) != (check.wording == odd)
            words = ("Done", "I cannot do that") if check.kind == "confirm" else ("Yes", "No")
            self.text()
            self.press(words[0] if good else words[1])
            expect(self.page.locator("h1").filter(has_not_text=question).first).to_be_visible()

    def play(self, session: Session) -> None:
        """From the welcome to the questions at the end."""
        self.sets = self.rests = 0
        while not self.page.locator("h2").filter(has_text="whole session").count():
            self._screen(session)
        self.text()

    def _screen(self, session: Session) -> None:
        page = self.page
        self.text()
        if page.locator("[data-pause]").count():
            self._set(session)
        elif page.locator(".efforts").count():
            self.give(session.effort)
        elif page.get_by_role("button", name="Need more rest").count():
            self.rests += 1
            session.in_rest.get(self.rests, lambda _phone: None)(self)
            page.locator("[data-main]").click()
        else:
            page.locator("[data-main]").click()

    def _set(self, session: Session) -> None:
        self.sets += 1
        pressed = session.in_set.get(self.sets)
        if pressed:
            self.page.clock.run_for(12_000)
            pressed(self)
        self.page.clock.fast_forward(SET_AT_MOST_MS)
        self.page.clock.run_for(1100)
        expect(self.page.locator("[data-pause]")).to_have_count(0)

    def give(self, effort: int | None) -> None:
        """A number from the buttons, or no number."""
        name = re.compile(rf"^{effort}\b") if effort is not None else "No number"
        self.press(name)

    def finish(self, session: Session) -> None:
        """The questions at the end."""
        self.give(session.whole_effort)
        self.press("Yes" if session.worried else "No")
        self.text()
        self.page.locator("#note").fill(session.note)
        self.press("Finish")
        self.text()

    def all_sent(self) -> None:
        """The footer says that every entry has reached the team."""
        expect(self.page.locator("#unsent")).to_contain_text("has been sent")

"""The steps of the whole way, each as staff or the person does it on the screen."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from datetime import date, timedelta
from io import BytesIO

from django.utils import timezone
from playwright.sync_api import expect
from pypdf import PdfReader

from haleward.web.delivery.models import LogEntry
from tests.browser.desk import Desk
from tests.browser.people import Typed, days_from
from tests.browser.phone import Phone, Session
from tests.browser.shots import shot
from tests.browser.windows import TeamClock, Windows
from tests.page_text import opened

LAST_SECTIONS = ("kit", "body", "plan", "walk")  # filled on the second visit, after "Save and go on later"


@dataclass
class Way:
    """One person's way through the product, with what was read on it."""

    windows: Windows
    clock: TeamClock
    last_name: str
    link: str = ""
    sets: int = 0  # of part one, in the signed plan
    phones: list[Phone] = field(default_factory=list)
    desks: dict[str, Desk] = field(default_factory=dict)

    @property
    def today(self) -> date:
        """The service's local day."""
        return timezone.localdate()

    def desk(self, username: str) -> Desk:
        """A member of staff on this person's page: at the desk of before, signed in anew if that has run out."""
        if username not in self.desks:
            self.desks[username] = self.windows.desk(username)
        desk = self.desks[username]
        desk.back()
        desk.person(self.last_name)
        return desk

    def assess(self, desk: Desk, answers: dict[str, Typed]) -> None:
        """Section by section, in two visits, with one height in the wrong unit on the way."""
        desk.follow("Start the assessment")
        for name, values in answers.items():
            if name not in LAST_SECTIONS:
                desk.fill(values)
        shot(desk.page, f"{self.last_name}-assessment")
        desk.press("Save and go on later")
        desk.sees("Saved. You can go on later.")
        desk.follow("Continue the assessment")
        for name in LAST_SECTIONS:
            desk.fill(answers[name])
        self._wrong_unit(desk)
        desk.fill({"body-stature_m": answers["body"]["body-stature_m"]})
        desk.press("Finish the assessment")
        desk.sees("The assessment is finished.")
        desk.sees("Go ahead")
        shot(desk.page, f"{self.last_name}-assessed")

    def _wrong_unit(self, desk: Desk) -> None:
        desk.fill({"body-stature_m": "172 ft"})
        desk.press("Finish the assessment")
        fault = desk.page.locator("#body .fault")
        expect(fault).to_contain_text("Height")
        expect(fault).to_contain_text("172 ft")
        desk.sees("Nothing is saved yet: 1 to check")
        shot(desk.page, f"{self.last_name}-wrong-unit")

    def numbers(self, desk: Desk) -> str:
        """Open every worksheet; returns all that the page says."""
        desk.person(self.last_name)
        desk.follow("See the numbers and their working")
        shot(desk.page, f"{self.last_name}-numbers")
        assert desk.open_workings() == 4  # risk level, capacity, how hard, posture
        return desk.text()

    def how_hard(self, desk: Desk) -> str:
        """What the numbers page says about intensity, the working folded away."""
        desk.person(self.last_name)
        desk.follow("See the numbers and their working")
        card = desk.page.locator("section", has=desk.page.get_by_role("heading", name="How hard"))
        return card.inner_text()

    def sign_plan(self, desk: Desk, *, swap_to: str = "") -> None:
        """Draft, swap the second movement of part one (for the first offered), change a dose and the days, sign."""
        desk.follow("Go to the programme")
        desk.press("Make a draft")
        desk.sees("Plan 1, draft")
        shot(desk.page, f"{self.last_name}-draft")
        self._swap(desk, 1, swap_to)
        desk.page.get_by_role("link", name=re.compile("^Change")).first.click()
        desk.page.get_by_label("Repetitions").fill("8")
        shot(desk.page, f"{self.last_name}-exercise")
        desk.press("Save the dose")
        desk.sees("2 sets of 8")
        self._set_days(desk)
        desk.sees("Sign plan 1")
        if desk.page.locator('[name="decided_by"]').count():
            desk.fill({"decided_by": "Dr A. Lunn, cardiologist", "decision_reason": "Seen in clinic; may start."})
        shot(desk.page, f"{self.last_name}-to-sign")
        desk.press("Sign plan 1 as Marion Stead")
        desk.sees("Plan 1 is signed.")
        shot(desk.page, f"{self.last_name}-signed")
        doses = desk.page.locator("section.part").first.locator(".exercise").all_inner_texts()
        self.sets = sum(int(re.search(r"(\d+) sets? of", dose).group(1)) for dose in doses)

    def _swap(self, desk: Desk, index: int, movement_id: str) -> None:
        desk.page.get_by_role("link", name=re.compile("^Change")).nth(index).click()
        select = desk.page.locator('select[name="movement"]')
        select.select_option(value=movement_id or select.locator("optgroup option").first.get_attribute("value"))
        select.locator("xpath=ancestor::form").get_by_role("button").click()
        desk.sees("Chosen by Marion Stead")

    def _set_days(self, desk: Desk) -> None:
        desk.page.locator("summary", has_text="Change days and walking").click()
        for name, ahead in (("part_one", (0,)), ("part_two", (2,))):
            for box in desk.page.locator(f'[name="{name}"]').all():
                box.set_checked(box.get_attribute("value") in days_from(self.today, *ahead))
        desk.press("Save the days")
        first, second = (day.capitalize() for day in days_from(self.today, 0, 2))
        expect(desk.page.locator("h2", has_text="Part one")).to_contain_text(first)
        expect(desk.page.locator("h2", has_text="Part two")).to_contain_text(second)

    def make_link(self, desk: Desk) -> None:
        """The link and its QR code, from the person's page."""
        desk.person(self.last_name)
        desk.follow(re.compile("^Link and QR code"))
        desk.press("Make the link")
        code = desk.page.get_by_role("img", name=re.compile("^QR code"))
        expect(code).to_be_visible()
        assert code.evaluate("(image) => image.complete && image.naturalWidth") > 100
        shot(desk.page, f"{self.last_name}-link")
        self.link = desk.page.get_by_label("Address").input_value()

    def open_link(self) -> Phone:
        """The person's first page, on a phone that was never here before."""
        phone = self.windows.phone()
        phone.open(self.link)
        expect(phone.page.locator("h1")).to_contain_text("Hello")
        shot(phone.page, f"{self.last_name}-landing")
        self.phones.append(phone)
        return phone

    def exercise(self, phone: Phone, session: Session) -> None:
        """From "how are you today" to the end; the log reaches the team once."""
        before = LogEntry.objects.count()
        phone.answer_day()
        phone.play(session)
        assert phone.sets == self.sets > 0
        phone.finish(session)
        phone.all_sent()
        sent = LogEntry.objects.count() - before
        phone.page.clock.run_for(130_000)  # it looks for unsent entries every minute
        assert LogEntry.objects.count() - before == sent > self.sets * 2

    def with_staff(self, part: int) -> Phone:
        """ "Run it here, with staff", on a tablet of the team."""
        page = self.windows.open(size=(1024, 768), reduced_motion="reduce")
        page.clock.install(time=self.clock.now())
        assistant = Desk(page, "assistant")
        assistant.sign_in()
        assistant.person(self.last_name)
        page.get_by_role("link", name="Run it here, with staff").nth(part).click()
        phone = Phone(page)
        self.phones.append(phone)
        return phone

    def two_sessions(self, first: Session) -> Phone:
        """One at home through the link, and two days later one with staff: what a raise of repetitions needs."""
        phone = self.open_link()
        phone.start()
        self.exercise(phone, first)
        self.days_later(2)
        tablet = self.with_staff(0)
        self.exercise(tablet, Session())
        return tablet

    def days_later(self, days: int) -> None:
        """Nothing happens for some days."""
        self.clock.move(timedelta(days=days))

    def read_log(self, desk: Desk) -> str:
        """The log as the lead reads it, folded open."""
        desk.person(self.last_name)
        for log in desk.page.locator("details.card").all():
            log.locator("summary").click()
        shot(desk.page, f"{self.last_name}-log")
        return desk.text()

    def accept_raise(self, desk: Desk) -> tuple[str, str]:
        """Accept the first proposal to raise something; returns the dose before and after."""
        card = desk.page.locator(".card", has=desk.page.get_by_role("link", name="Accept, change or hold")).first
        expect(card).to_contain_text("Rule progression.")
        before = card.locator(".change span").first.inner_text()
        after = card.locator(".change strong").inner_text()
        desk.follow("Accept, change or hold")
        shot(desk.page, f"{self.last_name}-proposal")
        if desk.page.locator('[name="decided_by"]').count():
            accept = desk.page.locator("form", has=desk.page.locator('[name="accept"]'))
            accept.locator('[name="decided_by"]').fill("Dr A. Lunn, cardiologist")
            accept.locator('[name="decision_reason"]').fill("Seen in clinic; may go on.")
        desk.press("Accept and sign the next plan")
        desk.sees("Plan 2, signed")
        return before, after

    def next_session(self) -> Phone:
        """The link again: the first screens of the next session, up to the first movement."""
        phone = self.open_link()
        phone.start("Open Part one")
        phone.answer_day()
        while not phone.page.get_by_role("button", name="Start", exact=True).count():
            phone.page.locator("[data-main]").click()
        phone.text()
        return phone

    def booklet(self, desk: Desk) -> str:
        """Print part one from the person's page; returns its text."""
        desk.person(self.last_name)
        address = desk.page.get_by_role("link", name="Print the booklet").first.get_attribute("href")
        answer = desk.page.request.get(address)
        assert answer.headers["content-type"] == "application/pdf"
        reader = PdfReader(BytesIO(answer.body()))
        assert reader.trailer["/Root"]["/MarkInfo"]["/Marked"]
        return "\n".join(page.extract_text() for page in reader.pages)

    def walk(self, desk: Desk) -> str:
        """The page of the walking session, as it is sent to the phone, with what is folded in it opened."""
        answer = desk.page.request.get(f"{self.link}session/walk/")
        assert answer.status == 200
        return opened(answer.text())

    def all_said(self) -> str:
        """Everything that any session page of this person said."""
        return "\n".join(text for phone in self.phones for text in phone.said)

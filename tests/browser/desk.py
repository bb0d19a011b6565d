"""A member of staff at a screen: everything is typed, ticked and pressed."""

import re
from collections.abc import Mapping

from playwright.sync_api import Locator, Page, expect

PASSWORD = "harrow beck of an evening"
KINDS = """(names) => Object.fromEntries(names.map((name) => {
  const one = document.querySelector(`[name="${name}"]`);
  return [name, one === null ? "" : one.tagName === "INPUT" ? one.type : one.tagName.toLowerCase()];
}))"""


class Desk:
    """One member of staff in one window."""

    def __init__(self, page: Page, username: str) -> None:
        self.page, self.username = page, username

    def sign_in(self) -> None:
        """Through the sign-in page, to Today."""
        self.page.goto("/sign-in/")
        self.page.get_by_label("Username").fill(self.username)
        self.page.get_by_label("Password").fill(PASSWORD)
        self.press("Sign in")
        expect(self.page.get_by_role("heading", level=1, name="Today")).to_be_visible()

    def back(self) -> None:
        """To Today, through the sign-in page if the product asks for it."""
        self.page.goto("/")
        if self.page.get_by_label("Password").count():
            self.sign_in()

    def press(self, name: str, *, within: Locator | None = None, exact: bool = True) -> None:
        """A button by the words on it."""
        (within or self.page).get_by_role("button", name=name, exact=exact).first.click()

    def follow(self, name: str | re.Pattern[str], *, within: Locator | None = None) -> None:
        """A link by its words."""
        (within or self.page).get_by_role("link", name=name).first.click()

    def place(self, name: str) -> None:
        """One of the places of the top navigation."""
        self.follow(name, within=self.page.get_by_role("navigation", name="Places"))

    def person(self, last_name: str) -> None:
        """A person's page, through People."""
        self.place("People")
        self.follow(re.compile(f"^{last_name}, "))

    def fill(self, values: Mapping[str, str | bool | list[str]]) -> None:
        """Controls by their names: text is typed, options chosen, "yes" and "no" pressed, ticks set."""
        self.page.locator(f'[name="{next(iter(values))}"]').first.wait_for()
        kinds = self.page.evaluate(KINDS, list(values))
        for name, value in values.items():
            self._fill(name, kinds[name], value)

    def _fill(self, name: str, kind: str, value: str | bool | list[str]) -> None:
        control = self.page.locator(f'[name="{name}"]')
        if isinstance(value, bool):
            control.set_checked(value)
        elif kind in ("radio", "checkbox"):
            for wanted in [value] if isinstance(value, str) else value:
                self.page.locator(f'[name="{name}"][value="{wanted}"]').check()
        elif kind == "select":
            control.select_option(value)
        else:
            assert isinstance(value, str)
            control.fill(value)

    def text(self) -> str:
        """Everything the page says, what is folded away included."""
        return self.page.locator("main").evaluate("(main) => main.textContent").replace("\xa0", " ")

    def heading(self) -> str:
        """The page's heading."""
        return self.page.locator("h1").inner_text()

    def sees(self, text: str | re.Pattern[str]) -> None:
        """The page shows this."""
        expect(self.page.locator("main")).to_contain_text(text)

    def open_workings(self) -> int:
        """Open every worksheet on the page; returns how many there are."""
        workings = self.page.locator("details.working")
        for working in workings.all():
            working.locator("summary").click()
            expect(working.locator("p").first).to_be_visible()
        return workings.count()

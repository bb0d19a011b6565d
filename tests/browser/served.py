"""The session page as a server would send it, and what a person does on it, for the tests of the page."""

import json
from dataclasses import replace

from haleward.movement.library import default_library
from haleward.render.page import page_hashes, session_page
from haleward.safety.protocol import default_protocol
from haleward.session.compile import compile_session
from haleward.wording import default_wording
from tests.session.people import PLAIN
from tests.session.samples import SERVICE, TODAY, exercise, programme, unframed

ADDRESS = "http://session.test/s/abc/"
TOLD = {"protocol": unframed(default_protocol()), "library": default_library(), "wording": default_wording()}
SHORT = programme(
    exercise(repetitions=6, rest_s=30),
    exercise("side_leg_raise", "hand_supported", sets=1, repetitions=3, each_side=True),
)
GOOD_ANSWERS = {"check_well", "check_breath", "check_medicine_taken", "check_nitrate", "check_phone"}


COUNTS_NOT = replace(PLAIN, answers={**PLAIN.answers, "can_self_monitor": False})


def made_page(record=PLAIN, *, part="one", rate="", **more):
    sheet = compile_session(SHORT, part, record, service=SERVICE, made_on=TODAY, **TOLD)
    sheet = replace(sheet, rate_ceiling=rate)
    return session_page(sheet, record=record, service=SERVICE, **TOLD, **more)


class Served:
    """The page as a server would send it, with its strict policy; the log can be made unreachable."""

    def __init__(self, page):
        self.html = made_page(post_url="log/", token="t-1")
        self.page, self.reachable, self.posts, self.stored, self.settled = page, True, [], {}, []
        page.route("**/*", self._answer)

    def _answer(self, route):
        if route.request.method == "GET":
            route.fulfill(body=self.html, content_type="text/html", headers={"Content-Security-Policy": self.policy()})
        elif not self.reachable:
            route.abort()
        else:
            self._store(route)

    def _store(self, route):
        sent = json.loads(route.request.post_data)
        self.posts.append((route.request.headers.get("x-haleward-link"), sent))
        self.stored.update({entry["entry_id"]: entry for entry in sent["entries"]})
        route.fulfill(json={"stored": [entry["entry_id"] for entry in sent["entries"]], "settled": self.settled})

    def policy(self):
        hashes = {name: " ".join(found) for name, found in page_hashes(self.html).items()}
        return (
            f"default-src 'none'; script-src {hashes['script-src']}; style-src {hashes['style-src']}; "
            "font-src data:; connect-src 'self'; base-uri 'none'; form-action 'none'"
        )

    @property
    def kinds(self):
        return [entry["kind"] for entry in sorted(self.stored.values(), key=lambda entry: entry["at"])]


def press(page, *names):
    for name in names:
        page.keyboard.press(name)


def choose(page, label):
    """Reach a button by the keyboard alone and press it."""
    for _ in range(40):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.textContent.trim()") == label:
            page.keyboard.press("Enter")
            return
    raise AssertionError(f'The keyboard does not reach "{label}" on: {heading(page)}')


def heading(page):
    return page.inner_text("h1")


# Press, question after question, the button that is named for it, until there is no question or the page stays.
PRESS_NAMED = """(names) => {
  for (let asked = ""; document.querySelector(".question") && document.querySelector(".answers");) {
    const question = document.querySelector("h1").innerText;
    if (question === asked) return;
    asked = question;
    [...document.querySelectorAll("button")].find((one) => one.innerText === names[question]).click();
  }
}"""


def answer_checks(page, *, by_keyboard=False, odd=None):
    """Answer every question reassuringly, or the question ``odd`` (a wording key) the other way."""
    wording = default_wording()
    names = {}
    for check in TOLD["protocol"].checks:
        if wording.has_values(check.wording, SERVICE.values):
            yes = (check.wording in GOOD_ANSWERS) != (check.wording == odd)
            labels = ("Done", "I cannot do that") if check.kind == "confirm" else ("Yes", "No")
            names[wording.text(check.wording, SERVICE.values)] = labels[0] if yes else labels[1]
    page.wait_for_selector("h1")
    if not by_keyboard:
        page.evaluate(PRESS_NAMED, names)
    while by_keyboard and page.locator(".question").count() and page.locator(".answers").count():
        before = heading(page)
        choose(page, names[before])
        if heading(page) == before:
            return


def start_set(page):
    answer_checks(page)
    press(page, "ArrowRight", "ArrowRight", "ArrowRight")

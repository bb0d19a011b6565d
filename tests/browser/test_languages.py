"""The session page in Arabic on a phone: from right to left, whole, and spoken in English."""

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from haleward.languages import translated
from haleward.movement.library import default_library
from haleward.render.page import session_page
from haleward.safety.protocol import default_protocol
from haleward.session.bilingual import compile_in_language
from haleward.wording import default_wording
from tests.browser.axe_rules import violations
from tests.languages.whole import whole_catalogue
from tests.page_text import page_data
from tests.session.people import PLAIN
from tests.session.samples import SERVICE, TODAY, exercise, programme, unframed

pytestmark = pytest.mark.browser

GOOD = {"check_well", "check_breath", "check_medicine_taken", "check_nitrate", "check_phone"}
KEEP_SAID = """
window.said = [];
Object.defineProperty(window, "speechSynthesis", { value: {
  getVoices: () => [{ lang: "en-GB" }], cancel: () => {}, speak: (one) => window.said.push([one.lang, one.text]),
} });
window.SpeechSynthesisUtterance = class { constructor(text) { this.text = text; } };
"""


@pytest.fixture
def arabic(browser: Browser) -> Iterator[Page]:
    """The page at its first question."""
    around = {"protocol": unframed(default_protocol()), "library": default_library(), "service": SERVICE}
    catalogue, wording = whole_catalogue("ar", *SERVICE.values.values()), default_wording()
    plan = programme(exercise(repetitions=6, rest_s=30))
    told = {"wording": wording, "catalogue": catalogue, "made_on": TODAY}
    sheet = compile_in_language(plan, "one", PLAIN, **around, **told)
    html = session_page(sheet, record=PLAIN, wording=translated(wording, catalogue), **around)
    context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True)
    page = context.new_page()
    page.add_init_script(KEEP_SAID)
    page.route("**/*", lambda route: route.fulfill(body=html, content_type="text/html; charset=utf-8"))
    page.goto("http://session.test/s/")
    yield page
    context.close()


def looked_at(page: Page) -> None:
    """Nothing hangs over the edge, and nothing is found that a reader of screens would stumble over."""
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    assert violations(page) == []


def english_on(page: Page) -> list[str]:
    """English words that are seen on the screen, but for the person's name and goal."""
    seen = page.locator("body").inner_text()
    known = {"Ada", *re.findall(r"[A-Za-z]{3,}", f"{SERVICE.name} {PLAIN.goal}")}
    return [word for word in re.findall(r"[A-Za-z]{3,}", seen) if word not in known]


def test_a_session_in_arabic_runs_from_right_to_left_and_speaks_english(arabic: Page) -> None:
    assert arabic.evaluate("[document.documentElement.lang, document.documentElement.dir]") == ["ar", "rtl"]
    looked_at(arabic)
    questions = page_data(arabic.content())["checks"]
    for place, question in enumerate(questions):
        expect(arabic.locator("h1")).to_have_text(question["text"])
        assert english_on(arabic) == []
        arabic.locator(".answers .button").nth(0 if question["wording"] in GOOD else 1).click()
        assert len(arabic.evaluate("said")) > place
    expect(arabic.get_by_text("الصوت يتكلم بالإنجليزية")).to_be_visible()
    for _ in range(3):
        arabic.locator("[data-main]").click()
    expect(arabic.locator(".cue")).to_be_visible()
    arabic.locator("[data-pause]").click()
    expect(arabic.locator("#announce")).to_have_text(re.compile(r"[\u0621-\u064a]"))
    assert english_on(arabic) == []
    looked_at(arabic)
    box = {name: arabic.locator(f"#{name}").bounding_box() for name in ("sound", "unwell")}
    assert box["unwell"]["x"] < box["sound"]["x"]  # mirrored: in English the sound stands left of it
    said = arabic.evaluate("said")
    assert {lang for lang, _ in said} == {"en-GB"}
    assert not any(re.search(r"[\u0621-\u064a]", text) for _, text in said)

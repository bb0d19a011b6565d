"""The player of a whole session: warm-up, the list of movements, versions, strong colours, a page kept as a file."""

import json
import re
from datetime import UTC, datetime
from itertools import pairwise

import pytest
from playwright.sync_api import expect

from haleward.render.page import session_page
from haleward.render.page_bundle import script
from haleward.render.page_pack import pack
from haleward.render.page_sprite import sprite_of
from haleward.render.voice import Phrases
from haleward.safety.protocol import default_protocol
from haleward.session.compile import compile_session
from haleward.session.options import SessionOptions
from haleward.web.delivery.views_person import self_contained
from tests.browser.axe_rules import serious
from tests.browser.served import ADDRESS, SHORT, TOLD, answer_checks, choose, heading, press
from tests.render.listening import Hum
from tests.session.people import PLAIN
from tests.session.samples import SERVICE, TODAY, exercise, programme

pytestmark = pytest.mark.browser
WHOLE = {**TOLD, "protocol": default_protocol()}


def html_of(told=WHOLE, **options):
    sheet = compile_session(
        SHORT, "one", PLAIN, service=SERVICE, made_on=TODAY, options=SessionOptions(**options), **told
    )
    return session_page(sheet, record=PLAIN, service=SERVICE, **told)


def opened(page, html):
    headers = dict(self_contained(html).items())  # the policy that the service sends it with
    page.route("**/*", lambda route: route.fulfill(body=html, headers=headers))
    page.goto(ADDRESS)
    page.wait_for_selector("h1")
    answer_checks(page)
    return page


@pytest.fixture
def warm_up(page):
    """In the first stretch of the warm-up."""
    opened(page, html_of())
    press(page, "ArrowRight", "ArrowRight")
    return page


@pytest.fixture
def in_set(page):
    """Nine seconds into the first set of a session whose arm curl may be done harder."""
    opened(page, html_of(TOLD, harder_agreed=("biceps_curl",)))
    press(page, "ArrowRight", "ArrowRight", "ArrowRight")
    page.clock.run_for(9000)
    return page


def test_the_warm_up_counts_its_minutes_down_pauses_and_leads_on_without_being_logged(warm_up):
    assert heading(warm_up) == "Shoulder rolls"
    warm_up.clock.run_for(30_000)
    assert warm_up.inner_text(".count") == "1:30"
    press(warm_up, " ")
    warm_up.clock.run_for(60_000)
    assert warm_up.inner_text(".count") == "1:30"
    press(warm_up, " ")
    warm_up.clock.run_for(91_000)
    assert heading(warm_up) == "Shoulder blade squeeze"
    press(warm_up, "ArrowRight", "ArrowRight", "ArrowRight", "ArrowRight")
    assert heading(warm_up) == "Arm curl"
    stored = warm_up.evaluate(
        """() => new Promise((give) => { const asked = indexedDB.open("haleward-log", 1);
        asked.onsuccess = () => { const all = asked.result.transaction("entries").objectStore("entries").getAll();
        all.onsuccess = () => give(all.result.map((one) => one.kind)); }; })"""
    )
    assert stored == ["check"]


def test_the_figure_of_the_warm_up_moves_at_its_own_tempo(warm_up):
    before = warm_up.evaluate("document.querySelector('canvas').toDataURL()")
    warm_up.clock.run_for(1900)
    assert warm_up.evaluate("document.querySelector('canvas').toDataURL()") != before


def test_the_list_shows_every_movement_with_a_picture_and_leads_to_each(warm_up):
    warm_up.get_by_role("button", name="All movements").click()
    entries = warm_up.locator(".stops li")
    assert entries.count() == 5 + 2 + 3
    assert warm_up.locator(".stops canvas").count() == entries.count()
    assert entries.nth(0).locator("button").get_attribute("aria-current") == "step"
    assert not serious(warm_up)
    warm_up.get_by_role("button", name="Go to Side leg raise").click()
    assert heading(warm_up) == "Side leg raise"
    warm_up.get_by_role("button", name="All movements").click()
    assert "Done" in entries.nth(0).inner_text()


def test_back_from_the_list_the_set_waits_where_it_was(in_set):
    assert in_set.inner_text(".count") == "1"
    in_set.get_by_role("button", name="All movements").click()
    in_set.clock.run_for(60_000)
    in_set.get_by_role("button", name="Back to where I was").click()
    assert in_set.inner_text(".count") == "1"
    expect(in_set.locator("main").get_by_text("Paused. Press Ready to go on.")).to_be_visible()


def test_the_easier_version_is_always_offered_and_the_harder_one_only_as_agreed(in_set):
    in_set.get_by_role("button", name="Make it easier").click()
    assert "Lift one arm at a time." in in_set.inner_text("#version")
    in_set.get_by_role("button", name="Back to the usual way").click()
    in_set.get_by_role("button", name="Make it harder").click()
    assert "Your team agreed" in in_set.inner_text("#version")
    in_set.get_by_role("button", name="Skip this one").click()
    expect(in_set.locator("h1")).to_have_text("Side leg raise")
    assert in_set.get_by_role("button", name="Make it harder").count() == 0
    assert in_set.get_by_role("button", name="Make it easier").count() == 1


def test_slower_has_two_steps_and_faster_never_passes_the_signed_tempo(in_set):
    slower = in_set.get_by_role("button", name="Slower")
    faster = in_set.get_by_role("button", name="A little faster")
    assert not faster.is_visible()
    slower.click()
    slower.click()
    assert slower.is_disabled()
    faster.click()
    faster.click()
    assert not faster.is_visible()


def test_larger_words_and_strong_colours_stay_after_a_reload(in_set):
    size = "parseFloat(getComputedStyle(document.body).fontSize)"
    before = in_set.evaluate(size)
    in_set.get_by_role("button", name="Bigger words").click()
    in_set.get_by_role("button", name="Strong colours").click()
    assert in_set.evaluate(size) >= 1.3 * before
    in_set.reload()
    in_set.wait_for_selector("h1")
    assert in_set.evaluate("getComputedStyle(document.body).color") == "rgb(0, 0, 0)"
    assert in_set.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert not serious(in_set)


def test_who_stops_after_work_is_led_through_the_cool_down_and_can_stop_there_too(warm_up):
    press(warm_up, *["ArrowRight"] * 6)
    warm_up.clock.run_for(240_000)
    warm_up.get_by_role("button", name="No number").click()
    warm_up.get_by_role("button", name="End here today").click()
    assert heading(warm_up) == "Walking"
    press(warm_up, "ArrowRight")
    assert heading(warm_up) == "Calf stretch"
    warm_up.get_by_role("button", name="End here today").click()
    assert warm_up.get_by_role("heading", name="whole session").is_visible()


def test_every_sentence_is_announced_once(warm_up):
    warm_up.evaluate(
        """() => { globalThis.heard = []; const line = document.getElementById("announce");
        new MutationObserver(() => heard.push(line.textContent)).observe(line, { childList: true }); }"""
    )
    warm_up.clock.run_for(100_000)
    heard = warm_up.evaluate("globalThis.heard")
    assert len(heard) >= 3
    assert len(heard) == len(set(heard))


def test_the_page_plays_from_a_stick_without_any_server(browser, tmp_path):
    path = tmp_path / "session.html"
    path.write_text(html_of(TOLD), encoding="utf-8")
    context = browser.new_context(offline=True, viewport={"width": 390, "height": 844})
    page = context.new_page()
    faults, asked = [], []
    page.on("pageerror", lambda error: faults.append(str(error)))
    page.on("request", lambda request: asked.append(request.url))
    page.clock.install(time=datetime(2026, 2, 4, 10, 0, tzinfo=UTC))
    page.goto(path.as_uri())
    page.wait_for_selector("h1")
    answer_checks(page)
    press(page, "ArrowRight", "ArrowRight", "ArrowRight")
    page.clock.run_for(15_000)
    assert page.inner_text(".count") == "3"
    page.reload()
    page.wait_for_selector(".count")
    page.clock.run_for(100)
    assert page.inner_text(".count") == "3"
    choose(page, "Skip this one")
    assert heading(page) == "Side leg raise"
    assert not faults
    assert {url.partition(":")[0] for url in asked} <= {"file", "data"}
    context.close()


def test_the_browser_unfolds_what_python_folded(browser):
    inside = script().replace("\nstart();\n", "\n").rsplit("})();", 1)[0].split('"use strict";', 1)[1]
    values = [[], "", "déjà vu → ✓", list(range(300)), {"a": "x" * 70_000}, [n * n % 977 for n in range(5000)]]
    page = browser.new_page()
    given = page.evaluate(f"(texts) => {{ {inside}\n return texts.map(unpack); }}", [pack(each) for each in values])
    page.close()
    assert given == json.loads(json.dumps(values))


def test_the_screen_is_asked_to_stay_on_and_again_when_the_page_comes_back(browser):
    context = browser.new_context()
    page = context.new_page()
    page.add_init_script(
        "globalThis.asked = 0; const lock = { request: async () => { asked += 1; } };"
        "Object.defineProperty(navigator, 'wakeLock', { value: lock });"
    )
    page.route("**/*", lambda route: route.fulfill(body=html_of(TOLD), content_type="text/html"))
    page.goto(ADDRESS)
    page.wait_for_function("asked === 1")
    page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    page.wait_for_function("asked === 2")
    context.close()


def test_no_screen_of_the_player_scrolls_sideways(warm_up):
    for width in (320, 1280):
        warm_up.set_viewport_size({"width": width, "height": 800})
        assert warm_up.evaluate("document.documentElement.scrollWidth <= innerWidth")
    warm_up.set_viewport_size({"width": 320, "height": 800})
    warm_up.get_by_role("button", name=re.compile("All movements")).click()
    assert warm_up.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_a_recorded_voice_counts_on_the_beat_of_its_own_clock(browser):
    brisk = programme(exercise(sets=1, repetitions=4, out_s=0.5, back_s=1.0))
    sheet = compile_session(brisk, "one", PLAIN, service=SERVICE, made_on=TODAY, **TOLD)
    sprite = sprite_of(sheet, Phrases(Hum()))
    html = session_page(sheet, record=PLAIN, service=SERVICE, **TOLD, sprite=sprite)
    context = browser.new_context()
    page = context.new_page()
    page.add_init_script(
        """globalThis.begun = []; const own = AudioBufferSourceNode.prototype.start;
        AudioBufferSourceNode.prototype.start = function (at, from, length) {
          begun.push([at, Math.round(from * 1000)]); return own.call(this, at, from, length); };"""
    )
    opened(page, html)
    page.wait_for_selector("#sprite", state="attached")
    press(page, "ArrowRight", "ArrowRight", "ArrowRight")
    expect(page.locator(".count")).to_have_text("4", timeout=30_000)
    places = {from_ms: text for text, from_ms, _ in sprite.sentences}
    begun = {places.get(from_ms): at for at, from_ms in page.evaluate("begun")}
    counts = [begun[text] for text in ("One", "Two", "Three", "Four")]
    assert [after - before for before, after in pairwise(counts)] == pytest.approx([1.5, 1.5, 1.5], abs=0.02)
    context.close()

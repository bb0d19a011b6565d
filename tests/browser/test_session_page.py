"""The session page in a real browser: by keyboard, with sound off, without a network, and with every stop."""

import json
import re
from dataclasses import replace
from datetime import UTC, datetime

import pytest
from playwright.sync_api import expect

from haleward.movement.library import default_library
from haleward.render.page import page_hashes, session_page
from haleward.safety.protocol import default_protocol
from haleward.session.compile import compile_session
from haleward.session.entries import faults_of, logs_of
from haleward.wording import default_wording
from tests.browser.axe_rules import serious
from tests.session.people import PLAIN
from tests.session.samples import SERVICE, TODAY, exercise, programme, unframed

pytestmark = pytest.mark.browser

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


@pytest.fixture
def page(browser):
    context = browser.new_context(viewport={"width": 390, "height": 844})
    page = context.new_page()
    page.set_default_timeout(8000)
    page.faults = []
    page.on("pageerror", lambda error: page.faults.append(str(error)))
    page.on("console", lambda message: message.type == "error" and page.faults.append(message.text))
    page.clock.install(time=datetime(2026, 2, 4, 10, 0, tzinfo=UTC))
    yield page
    context.close()
    faults = [fault for fault in page.faults if "ERR_FAILED" not in fault]  # a network that was switched off on purpose
    assert not faults


@pytest.fixture
def served(page):
    served = Served(page)
    page.goto(ADDRESS)
    page.wait_for_selector("h1")
    return served


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


def test_a_whole_session_by_keyboard_with_the_sound_off(page):
    html = made_page()
    page.route("**/*", lambda route: route.fulfill(body=html, content_type="text/html"))
    page.goto(ADDRESS)
    page.wait_for_selector("h1")
    choose(page, "Sound is on")
    assert page.inner_text("#sound") == "Sound is off"
    answer_checks(page, by_keyboard=True)
    assert heading(page) == "Hello, Ada. Take your time and settle in."
    press(page, "ArrowRight", "ArrowRight")
    assert heading(page) == "Arm curl"
    press(page, "ArrowRight")
    page.clock.run_for(9000)
    assert page.inner_text(".count") == "1"
    press(page, " ")
    assert page.locator("main").get_by_text("Paused. Press Ready to go on.").is_visible()
    page.clock.run_for(60_000)
    assert page.inner_text(".count") == "1"
    press(page, " ")
    page.clock.run_for(40_000)
    assert "0 to 10" in heading(page)
    choose(page, "4I could do four or five more.")
    assert heading(page) == "Rest"
    choose(page, "Need more rest")
    assert page.get_by_text("Take all the rest you need.").is_visible()
    press(page, "ArrowRight")
    page.clock.run_for(50_000)
    choose(page, "No number")
    press(page, "ArrowRight")
    assert heading(page) == "Side leg raise"
    press(page, "ArrowRight")
    page.clock.run_for(8000)
    assert page.inner_text(".side") == "Left side"
    page.clock.run_for(30_000)
    assert page.inner_text(".side") == "Right side"
    page.clock.run_for(30_000)
    choose(page, "6I could do two or three more.")
    assert heading(page) == "At which number did it get hard?"
    choose(page, "2")
    assert heading(page) in [default_wording().text(f"session_done_{n}", {}) for n in (1, 2, 3)]
    choose(page, "4I could do four or five more.")
    choose(page, "No")
    choose(page, "Finish")
    with page.expect_download() as download:
        choose(page, "Save my log")
    saved = json.loads(download.value.path().read_text(encoding="utf-8"))
    log = logs_of(saved["entries"])
    assert [(one.movement_id, one.set_number, one.repetitions, one.effort, one.hard_at) for one in log.sets] == [
        ("biceps_curl", 1, 6, 4, None), ("biceps_curl", 2, 6, None, None), ("side_leg_raise", 1, 3, 6, 2)]  # fmt: skip
    assert log.whole_effort == 4
    assert log.symptoms == ()


def test_every_state_is_free_of_serious_faults_and_works_under_a_strict_policy(served, page):
    assert not serious(page)
    answer_checks(page)
    for _ in range(3):
        assert not serious(page), heading(page)
        press(page, "ArrowRight")
    page.clock.run_for(9000)
    page.get_by_role("button", name="Too hard").click()
    assert not serious(page), "set"
    page.locator("[data-pause]").click()
    page.clock.run_for(60_000)
    assert not serious(page), "effort"
    page.get_by_role("button", name="No number").click()
    assert not serious(page), "rest"
    page.get_by_role("button", name="I feel unwell").click()
    assert not serious(page), "unwell"
    page.get_by_role("button", name="Very short of breath", exact=True).click()
    assert not serious(page), "advice"
    expect(page.locator(".unread li").first).to_contain_text("Call 999")
    page.get_by_role("button", name="Next").click()
    assert not serious(page), "note"
    expect(page.locator(".unread li").first).to_contain_text("Call 999")  # before anything is written
    page.get_by_role("button", name="Finish").click()
    assert not serious(page), "done"


def test_an_answer_that_stops_shows_the_emergency_line_first_and_starts_nothing(served, page):
    answer_checks(page, odd="check_chest")
    assert page.locator("main li").first.inner_text().startswith("Call 999 now if the pain is heavy")
    assert heading(page).startswith("Please do not exercise today.")
    assert page.locator("[data-main]").count() == 0
    expect(page.locator("#unsent")).to_contain_text("has been sent")
    (check,) = served.stored.values()
    assert check["data"]["outcome"] == "not_today"
    assert check["data"]["topics"] == ["chest discomfort, nitrate prescribed"]
    page.reload()
    assert heading(page).startswith("Please do not exercise today.")


def test_an_unsure_answer_never_starts_the_session(served, page):
    page.get_by_role("button", name="I am not sure").click()
    answer_checks(page)
    assert heading(page).startswith("Please do not start yet. Ring 01632 960000")
    assert page.locator("[data-main]").count() == 0


def test_feeling_unwell_in_a_set_shows_help_first_stops_the_session_and_is_recorded(served, page):
    start_set(page)
    page.clock.run_for(9000)
    page.get_by_role("button", name="I feel unwell").click()
    assert page.locator("main li").first.inner_text() == "Call 999 now if you feel very ill."
    with page.expect_response(lambda response: '"faint"' in (response.request.post_data or "")):
        page.get_by_role("button", name="Faint or dizzy").click()
    assert page.locator("main li").first.inner_text() == "Call 999 if you passed out."
    assert page.get_by_text("Your session has stopped.").is_visible()
    log = logs_of(list(served.stored.values()))
    assert log.symptoms == ("faint",)
    page.clock.run_for(120_000)
    assert page.get_by_text("Your session has stopped.").is_visible()


def test_unwell_pressed_by_mistake_goes_back_to_the_same_place_paused(served, page):
    start_set(page)
    page.clock.run_for(9000)
    page.get_by_role("button", name="I feel unwell").click()
    page.clock.run_for(30_000)
    page.get_by_role("button", name="I pressed this by mistake").click()
    assert page.inner_text(".count") == "1"
    assert page.locator("main").get_by_text("Paused. Press Ready to go on.").is_visible()


def test_a_reload_keeps_the_place_and_the_time(served, page):
    start_set(page)
    page.clock.run_for(15_000)
    assert page.inner_text(".count") == "3"
    page.reload()
    page.wait_for_selector(".count")
    page.clock.run_for(100)
    assert page.inner_text(".count") == "3"
    page.clock.run_for(5000)
    assert page.inner_text(".count") == "4"


def test_the_rest_counts_from_its_start_through_a_locked_phone(served, page):
    start_set(page)
    page.clock.run_for(60_000)
    page.get_by_role("button", name="No number").click()
    page.clock.fast_forward(20_000)
    page.clock.run_for(500)
    assert re.fullmatch(r"(9|10) seconds", page.inner_text(".count"))
    page.clock.fast_forward(600_000)
    page.clock.run_for(500)
    assert page.get_by_text("Your rest is over.").is_visible()


def test_without_a_network_the_session_goes_on_and_each_entry_is_sent_once_later(served, page):
    served.reachable = False
    start_set(page)
    page.clock.run_for(60_000)
    page.get_by_role("button", name="No number").click()
    expect(page.locator("#unsent")).to_contain_text("3 notes")
    assert served.stored == {}
    served.reachable = True
    page.evaluate("dispatchEvent(new Event('online'))")
    expect(page.locator("#unsent")).to_contain_text("has been sent")
    assert served.kinds == ["check", "set", "effort"]
    assert served.posts[0][0] == "t-1"
    assert all(faults_of(entry) == () for entry in served.stored.values())
    posts = len(served.posts)
    page.reload()
    page.clock.run_for(130_000)
    assert len(served.posts) == posts


def test_too_easy_too_hard_and_skip_are_recorded_and_never_change_the_plan(served, page):
    start_set(page)
    page.clock.run_for(9000)
    page.get_by_role("button", name="Too easy").click()
    assert page.get_by_text(re.compile(r"Keep the same (movement|weight|hold) today\.")).is_visible()
    page.get_by_role("button", name="Too hard").click()
    assert page.get_by_text("Lift one arm at a time.").first.is_visible()
    with page.expect_response(lambda response: '"skip"' in (response.request.post_data or "")):
        page.get_by_role("button", name="Skip this one").click()
    assert heading(page) == "Side leg raise"
    assert served.kinds.count("feel") == 2
    assert "skip" in served.kinds


def test_slower_keeps_the_place_and_slows_the_count(served, page):
    start_set(page)
    page.clock.run_for(10_000)
    assert page.inner_text(".count") == "2"
    page.get_by_role("button", name="Slower").click()
    page.clock.run_for(200)
    assert page.inner_text(".count") == "2"
    page.clock.run_for(20_000)
    assert page.inner_text(".count") == "5"


def test_a_person_who_wants_less_motion_gets_two_still_pictures(browser):
    context = browser.new_context(reduced_motion="reduce")
    page = context.new_page()
    Served(page)
    page.goto(ADDRESS)
    page.wait_for_selector("h1")
    answer_checks(page)
    press(page, "ArrowRight", "ArrowRight")
    assert page.locator("canvas").count() == 2
    assert page.locator("canvas").first.get_attribute("aria-label").startswith("A person sits on a chair.")
    context.close()


def test_counting_does_not_chatter_to_a_screen_reader(served, page):
    start_set(page)
    heard = set()
    for _ in range(40):
        page.clock.run_for(500)
        heard.add(page.inner_text("#announce"))
    assert len(heard) <= 4
    assert not heard & {"One", "Two", "Three"}


def test_everything_that_can_be_pressed_is_large_enough(served, page):
    start_set(page)
    for one in page.locator("button:visible").all():
        box = one.bounding_box()
        assert box["height"] >= 44, one.inner_text()
        assert box["width"] >= 44, one.inner_text()


@pytest.mark.parametrize("width", [320, 390, 1280])
def test_no_screen_scrolls_sideways(served, page, width):
    page.set_viewport_size({"width": width, "height": 844})
    answer_checks(page)
    for _ in range(3):
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), heading(page)
        press(page, "ArrowRight")
    page.clock.run_for(9000)
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_nobody_sends_what_another_person_wrote_on_the_same_device(served, page):
    served.reachable = False
    with page.expect_event("requestfailed"):  # the first person's own try must be over before the network is back
        page.get_by_role("button", name="I feel unwell").click()
    expect(page.locator("#unsent")).to_contain_text("One note")
    other = replace(PLAIN, person_id="ben-2", first_name="Ben")
    served.html = made_page(other, post_url="log/", token="t-2")
    served.reachable = True
    page.reload()
    expect(page.locator("#unsent")).to_contain_text("has been sent")
    assert served.stored == {}


def test_a_worry_at_the_end_is_recorded_and_leads_to_the_safety_page(served, page):
    start_set(page)
    for _ in range(2):
        page.get_by_role("button", name="Skip this one").click()
    page.get_by_role("button", name="No number").click()
    with page.expect_response(lambda response: '"unwell"' in (response.request.post_data or "")):
        page.get_by_role("button", name="Yes").click()
    page.locator("main").get_by_role("button", name="I feel unwell").click()
    assert page.locator("main li").first.inner_text() == "Call 999 now if you feel very ill."
    assert logs_of(list(served.stored.values())).symptoms


def test_a_stopped_session_is_never_offered_again_nor_is_another_part(served, page):
    page.locator("#unwell").focus()
    press(page, " ")  # the key presses what has the focus
    page.get_by_role("button", name="Faint or dizzy").click()
    assert page.get_by_text("Your session has stopped.").is_visible()
    expect(page.locator("#unsent")).to_contain_text("has been sent")
    page.clock.fast_forward(3 * 60 * 60 * 1000)
    page.reload()
    expect(page.get_by_text("Your session has stopped.")).to_be_visible()
    other = compile_session(replace(SHORT, version=2), "one", PLAIN, service=SERVICE, made_on=TODAY, **TOLD)
    served.html = session_page(other, record=PLAIN, service=SERVICE, **TOLD, post_url="log/", token="t-1")
    page.reload()
    expect(page.locator("h1")).to_contain_text("Please do not exercise today.")
    assert page.locator("main li").first.inner_text() == "Call 999 if you passed out."
    assert page.locator("[data-main]").count() == 0


def test_a_symptom_of_yesterday_stops_every_session_without_a_network_until_the_team_has_closed_it(served, page):
    page.locator("#unwell").click()
    page.get_by_role("button", name="Faint or dizzy").click()
    expect(page.locator("#unsent")).to_contain_text("has been sent")
    served.reachable = False
    page.clock.fast_forward(26 * 60 * 60 * 1000)
    with page.expect_event("requestfailed"):  # the page asks, and nobody answers
        page.reload()
    expect(page.locator("h1")).to_contain_text("Please do not exercise today.")
    expect(page.locator("main")).to_contain_text("Your plan is on hold. Ring 01632 960000")
    assert page.locator("main li").first.inner_text() == "Call 999 if you passed out."
    assert page.locator("main button").count() == 0
    served.reachable, served.settled = True, [next(iter(served.stored.values()))["data"]["session_id"]]
    page.evaluate("dispatchEvent(new Event('online'))")
    expect(page.locator("h1")).to_contain_text("Your plan is open again.")
    page.reload()
    expect(page.locator("h1")).to_contain_text("Your plan is open again.")
    page.get_by_role("button", name="Start").click()
    expect(page.locator("h1.question")).to_be_visible()


def test_a_stop_of_today_ends_on_the_page_when_the_team_closes_it_today(served, page):
    answer_checks(page, odd="check_chest")
    expect(page.locator("#unsent")).to_contain_text("has been sent")
    assert next(iter(served.stored.values()))["data"]["holds"] is True
    with page.expect_response("**/log/"):  # asked each minute; it is not closed yet
        page.clock.run_for(60_000)
    assert heading(page).startswith("Please do not exercise today.")
    served.settled = [next(iter(served.stored.values()))["data"]["session_id"]]
    page.clock.run_for(60_000)
    expect(page.locator("h1")).to_contain_text("Your plan is open again.")
    press(page, "ArrowRight")
    assert page.locator("h1.question").count() == 1


def test_a_page_that_sends_nothing_opens_on_a_later_day_by_the_persons_own_word(page):
    html = made_page()
    page.route("**/*", lambda route: route.fulfill(body=html, content_type="text/html"))
    page.goto(ADDRESS)
    page.locator("#unwell").click()
    page.get_by_role("button", name="Faint or dizzy").click()
    page.clock.fast_forward(26 * 60 * 60 * 1000)
    page.reload()
    expect(page.locator("h1")).to_contain_text("Please do not exercise today.")
    page.get_by_role("button", name="My team told me that I may exercise again").click()
    expect(page.locator("h1")).to_contain_text("Your plan is open again.")
    page.get_by_role("button", name="Start").click()
    expect(page.locator("h1.question")).to_be_visible()


def test_a_set_that_was_hard_asks_in_one_tap_when_it_got_hard_and_others_ask_nothing(served, page):
    served.html = made_page(post_url="log/", token="t-1", places=(2, 4))  # of a part of which two places are played
    page.reload()
    start_set(page)
    page.clock.run_for(60_000)
    page.get_by_role("button", name=re.compile(r"^4")).click()
    assert heading(page) == "Rest"  # an effort as planned asks for nothing more
    press(page, "ArrowRight")
    page.clock.run_for(60_000)
    page.get_by_role("button", name=re.compile(r"^6")).click()
    assert heading(page) == "At which number did it get hard?"
    page.reload()
    expect(page.locator("h1")).to_have_text("At which number did it get hard?")
    assert page.locator(".counts button").all_inner_texts() == ["1", "2", "3", "4", "5", "6"]
    assert not serious(page)
    with page.expect_response(lambda response: '"hard_at"' in (response.request.post_data or "")):
        page.get_by_role("button", name="4", exact=True).click()
    assert heading(page) != "At which number did it get hard?"
    entries = sorted(served.stored.values(), key=lambda entry: entry["at"])
    assert all(faults_of(entry) == () for entry in entries)
    assert [(one.exercise_index, one.repetitions, one.effort, one.hard_at) for one in logs_of(entries).sets] == [
        (2, 6, 4, None), (2, 6, 6, 4)]  # fmt: skip


@pytest.mark.parametrize(("typed", "kept"), [("98", 98), ("", None)])
def test_the_pulse_is_asked_once_after_a_walk_and_may_stay_blank(served, page, typed, kept):
    served.html = made_page(part="walk", rate="110", post_url="log/", token="t-1")
    page.reload()
    end_walk(page)
    assert heading(page).startswith("Your pulse at the end")
    page.locator("#rate").fill("400")
    press(page, "ArrowRight")
    page.get_by_role("button", name="Save").click()
    expect(page.locator("#rate-fault")).to_be_visible()
    page.locator("#rate").fill(typed)
    page.get_by_role("button", name="Save").click()
    page.get_by_role("button", name="No", exact=True).click()
    with page.expect_response(lambda response: '"done"' in (response.request.post_data or "")):
        page.get_by_role("button", name="Finish").click()
    assert logs_of(list(served.stored.values())).heart_rate_bpm == kept


@pytest.mark.parametrize(("record", "rate"), [(COUNTS_NOT, "110"), (PLAIN, "")])
def test_nobody_whom_the_pulse_cannot_guide_or_who_does_not_count_it_is_asked(served, page, record, rate):
    served.html = made_page(record, part="walk", rate=rate, post_url="log/", token="t-1")
    page.reload()
    end_walk(page)
    assert heading(page) == default_wording().text("log_symptom", {})


def end_walk(page):
    """From the questions to the end of a walk, skipped, and its number."""
    answer_checks(page)
    skip = page.get_by_role("button", name="Skip this one")
    while not skip.count():
        page.locator("[data-main]").click()
    skip.click()
    page.get_by_role("button", name="No number").click()


def test_a_movement_that_was_far_too_hard_is_left(served, page):
    start_set(page)
    page.clock.run_for(60_000)
    page.locator("button.effort, button.effort.bare").last.click()
    assert heading(page).startswith("Stop this movement for today.")
    page.reload()
    expect(page.locator("h1")).to_contain_text("Stop this movement for today.")
    press(page, "ArrowRight")
    assert heading(page) == "Side leg raise"

"""The session page in a real browser: by keyboard, with sound off, without a network, and with every stop."""

import json
import re

import pytest
from playwright.sync_api import expect

from haleward.session.entries import faults_of, logs_of
from haleward.wording import default_wording
from tests.browser.axe_rules import serious
from tests.browser.served import ADDRESS, Served, answer_checks, choose, heading, made_page, press, start_set

pytestmark = pytest.mark.browser


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

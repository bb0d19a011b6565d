"""What is told on the session page: stops that hold, what was hard, the pulse, and for whom it is kept."""

import re
from dataclasses import replace

import pytest
from playwright.sync_api import expect

from haleward.render.page import session_page
from haleward.session.compile import compile_session
from haleward.session.entries import faults_of, logs_of
from haleward.wording import default_wording
from tests.browser.axe_rules import serious
from tests.browser.served import ADDRESS, COUNTS_NOT, SHORT, TOLD, answer_checks, heading, made_page, press, start_set
from tests.session.people import PLAIN
from tests.session.samples import SERVICE, TODAY

pytestmark = pytest.mark.browser


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
    with page.expect_response(lambda response: '"faint"' in (response.request.post_data or "")):
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
    with page.expect_response("**/log/"):
        answer_checks(page, odd="check_chest")
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

"""The Reckoner in a hall: clocks that count from their start, boxes that fill, a network that goes away."""

import re
from datetime import date, timedelta

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from haleward.web.people.models import Person
from tests.browser.shots import shot
from tests.browser.test_pages_accessible import faults_of

pytestmark = pytest.mark.browser


def at_test(windows, key, username="lead"):
    """A member of staff at one test, with a clock that the test drives."""
    desk = windows.desk(username)
    now = windows.clock.now()
    desk.page.clock.install(time=now)
    desk.page.goto(f"/reckoner/tests/{key}/")
    desk.page.clock.pause_at(now + timedelta(minutes=5))
    return desk


def box(desk, name):
    return desk.page.locator(f'[name="{name}"]')


def big(desk):
    return desk.page.locator(".clock .big").first


def test_the_walk_clock_calls_each_minute_counts_laps_and_rests_and_fills_the_distance(windows):
    desk = at_test(windows, "six_minute_walk")
    page = desk.page
    page.get_by_label("Metres for one tap, m").fill("30")
    shot(page, "reckoner-walk-ready")
    big(desk).click()
    line = page.locator(".clock-line")
    for minute, phrase in ((1, "Five minutes to go"), (2, "Four minutes to go"), (3, "Half way")):
        page.clock.run_for(60_000)
        expect(line).to_contain_text(phrase)
        for _lap in range(3):
            big(desk).click()
        assert minute
    desk.press("Undo the last lap")
    desk.press("Rests")
    page.clock.run_for(30_000)
    shot(page, "reckoner-walk-resting")
    desk.press("Walks again")
    page.clock.run_for(150_000)
    expect(line).to_contain_text("Stop where you are")
    page.get_by_label("Metres beyond the last full lap, m").first.fill("12")
    expect(page.locator(".clock-tally")).to_have_text("8 laps, 252 m")
    expect(page.locator(".clock-rests li")).to_have_text("Rest 1: from 3:00 to 3:30")
    shot(page, "reckoner-walk-done")
    assert [box(desk, name).input_value() for name in ("laps", "lap_m", "remainder_m", "rests")] == [
        "8",
        "30",
        "12",
        "1",
    ]
    assert box(desk, "stopped_for").input_value() == "completed"
    desk.press("Show the result")
    expect(page.locator("#answer")).to_contain_text("252 m")
    expect(page.locator("#answer")).to_be_focused()


def test_a_reload_in_the_middle_keeps_time_laps_and_what_was_typed_and_an_early_stop_its_reason(windows):
    desk = at_test(windows, "six_minute_walk")
    page = desk.page
    page.get_by_label("Metres for one tap, m").fill("60")
    box(desk, "peak_bpm").fill("104")
    big(desk).click()
    big(desk).click()
    page.clock.run_for(90_000)
    page.reload()
    expect(page.locator(".clock-time")).to_have_text("4:30")
    expect(page.locator(".clock-tally")).to_have_text("1 lap, 60 m")
    assert box(desk, "peak_bpm").input_value() == "104"
    page.clock.run_for(10_000)
    desk.press("Stop early")
    desk.press("Tired legs")
    expect(page.locator(".clock-line")).to_have_text("Stopped at 1:40.")
    assert box(desk, "stopped_for").input_value() == "leg_fatigue"


def open_test(desk, key):
    """Another test in the same window, its time still driven by the test."""
    desk.page.goto(f"/reckoner/tests/{key}/")
    expect(big(desk)).to_be_visible()


def test_the_clocks_of_chair_balance_and_shuttles_fill_their_boxes(windows):
    desk = at_test(windows, "chair_stand_30s")
    chair_stands_are_counted_by_key(desk)
    balance_stops_at_the_first_stance_that_is_not_held(desk)
    shuttles_keep_the_exact_times_and_leave_out_the_one_that_was_not_done(desk)


def chair_stands_are_counted_by_key(desk):
    page = desk.page
    big(desk).focus()
    page.keyboard.press("Enter")
    for _stand in range(11):
        page.keyboard.press("Space")
    desk.press("Undo the last")
    page.clock.run_for(30_200)
    expect(page.locator(".clock-line")).to_contain_text("Stop. 10 stands")
    desk.press("One more")
    shot(page, "reckoner-chair-done")
    assert box(desk, "repetitions").input_value() == "11"


def test_without_a_network_the_values_are_kept_and_worked_out_when_it_is_back(windows):
    desk = at_test(windows, "up_and_go", "assistant")
    page = desk.page
    windows.expected.append("ERR_INTERNET_DISCONNECTED")
    page.context.set_offline(True)
    big(desk).click()
    page.clock.run_for(9_400)
    big(desk).click()
    desk.press("Show the result")
    expect(page.locator("[data-offline]")).to_contain_text("kept here")
    shot(page, "reckoner-offline")
    assert float(box(desk, "trial_1_s").input_value()) == pytest.approx(9.4, abs=0.2)
    page.context.set_offline(False)
    expect(page.locator("#answer")).to_contain_text("Raised fall risk")


def shuttles_keep_the_exact_times_and_leave_out_the_one_that_was_not_done(desk):
    open_test(desk, "shuttle_walk")
    page = desk.page
    big(desk).click()
    page.clock.run_for(4_000 + 60_000 + 100)
    expect(page.locator(".clock-line")).to_have_text("Level 2. A little faster.")
    page.clock.run_for(44_800)  # the third shuttle of level 2 ends at 105 s
    expect(page.locator(".clock-tally")).to_contain_text("50 m")
    page.clock.run_for(300)
    expect(page.locator(".clock-tally")).to_contain_text("60 m")
    big(desk).click()
    shot(page, "reckoner-shuttle")
    desk.press("Stop the test")
    desk.press("Could not keep the pace")
    assert [box(desk, name).input_value() for name in ("completed_level", "further_shuttles")] == ["1", "2"]
    assert box(desk, "stopped_for").input_value() == "off_pace"


def balance_stops_at_the_first_stance_that_is_not_held(desk):
    open_test(desk, "four_stage_balance")
    page = desk.page
    big(desk).click()
    page.clock.run_for(10_200)
    big(desk).click()
    page.clock.run_for(6_000)
    desk.press("Lost it")
    expect(page.locator(".clock-line")).to_contain_text("The test stops here")
    assert page.locator(".clock .big").count() == 0
    assert box(desk, "side_by_side_s").input_value() == "10"
    assert float(box(desk, "semi_tandem_s").input_value()) == pytest.approx(6, abs=0.2)
    assert box(desk, "tandem_s").input_value() == ""


def test_every_kind_of_page_is_accessible_and_fits_a_phone(windows):
    desk = windows.desk("lead")
    page = desk.page
    faults = []
    page.goto("/reckoner/")
    faults += faults_of(page, "reckoner")
    page.goto("/reckoner/formulas/reserve_target_bpm/")
    desk.fill({"resting_bpm": "62", "maximum_bpm": "140", "fraction": "7"})
    desk.press("Show the result")
    expect(page.locator(".faults")).to_be_visible()
    faults += faults_of(page, "reckoner-refused")
    page.goto("/reckoner/tests/six_minute_walk/")
    page.locator("details.about summary").click()
    faults += faults_of(page, "reckoner-walk")
    desk.fill({"distance_m": "430", "sex": "male", "age_y": "65", "stature_m": "175 cm", "mass_kg": "82 kg"})
    desk.press("Show the result")
    expect(page.locator("#answer")).to_contain_text(re.compile("about .* METs, likely"))
    faults += faults_of(page, "reckoner-result")
    assert not faults, "\n".join(faults)


def test_the_same_clocks_fill_the_assessment_of_one_person(windows, team):
    person = Person.objects.create(service=team, first_name="Ida", last_name="Moor", born_on=date(1956, 5, 4))
    desk = windows.desk("lead")
    page = desk.page
    now = windows.clock.now()
    page.clock.install(time=now)
    page.goto(reverse("assessment", args=[person.pk]))
    page.clock.pause_at(now + timedelta(minutes=5))
    page.get_by_text("Clock: Six-minute walk").click()
    clock = page.locator('[data-clock="walk"]')
    clock.get_by_label("Metres for one tap, m").fill("40")
    clock.locator(".big").click()
    for _lap in range(10):
        clock.locator(".big").click()
    shot(page, "assessment-clock")
    page.clock.run_for(360_200)
    clock.get_by_label("Metres beyond the last full lap, m").fill("14")
    assert box(desk, "walk-distance_m").input_value() == "414"
    assert box(desk, "walk-kind").input_value() == "six_minute_walk"
    assert box(desk, "walk-stopped_for").input_value() == "completed"
    box(desk, "walk-distance_m").fill("413")
    page.once("dialog", lambda dialog: dialog.accept())
    page.goto("/reckoner/tests/six_minute_walk/")
    expect(page.locator(".clock-time")).to_have_text("6:00")  # another page, nobody's clock
    expect(page.locator(".clock .big")).to_have_text("Start the six minutes")

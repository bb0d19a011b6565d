"""From referral to session and print, on the screens, as three invented people; one of them on to the next step."""

import re

import pytest
from playwright.sync_api import expect

from tests.browser import people
from tests.browser.phone import Session
from tests.browser.shots import shot
from tests.browser.way import Way

pytestmark = pytest.mark.browser
REFERRAL = "src/haleward/data/demo/referral.json"
RATE = re.compile(r"\bbpm\b|beats a minute|\d+ beats|heart rate (?:of|between|at|under) \d", re.IGNORECASE)


def too_easy(phone):
    phone.press("Too easy")
    phone.shows(re.compile(r"Keep the same (movement|weight|hold) today\."))


def too_hard(phone):
    """The set waits; then the person goes on."""
    phone.press("Too hard")
    phone.shows("Paused.")
    phone.press("Ready")


def pause(phone):
    phone.press("Pause")
    before = phone.page.locator(".count").inner_text()
    phone.page.clock.run_for(30_000)
    assert phone.page.locator(".count").inner_text() == before
    phone.press("Ready")


def more_rest(phone):
    phone.press("Need more rest")
    phone.shows("Take all the rest you need.")


EVERYTHING = Session(in_set={1: too_easy, 2: pause, 3: too_hard}, in_rest={1: more_rest})


def import_referral(windows):
    nurse = windows.desk("nurse")
    nurse.place("Referrals")
    nurse.page.get_by_label("Referral file").set_input_files(REFERRAL)
    nurse.press("Read the file")
    nurse.sees("What is missing")
    nurse.sees("What is the full date of birth?")
    shot(nurse.page, "referral-proposed")
    nurse.page.get_by_label("Date of birth").fill("1955-06-09")
    nurse.press("Confirm and add the person")
    nurse.sees("Robin Sample is now one of your people.")
    shot(nurse.page, "person-new")
    nurse.place("Today")
    nurse.sees("No finished assessment yet")


def type_referral(windows, **typed):
    nurse = windows.desk("nurse")
    nurse.follow("Type in a referral")
    nurse.fill({"referrer": "Invented referring clinic", "language": "English", "local_number": "HB-17"} | typed)
    shot(nurse.page, "referral-typed")
    nurse.press("Store the referral")
    nurse.sees(f"Referral of {typed['first_name']} {typed['last_name']} is stored.")
    nurse.sees(typed["reason"])


def step_on(way):
    """Two sessions, the lead's reading, the accepted raise, the next session and the print; returns the print."""
    way.two_sessions(EVERYTHING)
    lead = way.desk("lead")
    log = way.read_log(lead)
    assert "self-reported" in log
    assert "seen by staff" in log
    assert "too easy" in log
    assert "too hard" in log
    before, after = way.accept_raise(lead)
    assert before != after
    new = re.search(r"\d+ sets? of (\d+)", after).group(1)
    phone = way.next_session()
    expect(phone.page.locator(".dose")).to_contain_text(new)
    assert "This is plan 2" in phone.said[-1]
    shot(phone.page, f"{way.last_name}-next-session")
    printed = way.booklet(lead)
    assert "plan 2" in printed
    assert "999" in printed
    assert phone.heading() in printed
    assert new in printed
    return printed


def once_through(way):
    """One session at home, as the lead then reads it, and the print; returns the print."""
    phone = way.open_link()
    phone.start()
    way.exercise(phone, EVERYTHING)
    log = way.read_log(way.desk("lead"))
    assert "self-reported" in log
    assert "too hard" in log
    printed = way.booklet(way.desk("lead"))
    assert "plan 1" in printed
    assert "999" in printed
    return printed


def test_heart_rate_usable_from_an_imported_referral_to_the_next_step(windows, clock):
    import_referral(windows)
    way = Way(windows, clock, "Sample")
    lead = way.desk("lead")
    way.assess(lead, people.robin(way.today))
    numbers = way.numbers(lead)
    low, high = map(int, re.search(r"(\d+) to (\d+) bpm", numbers).groups())
    assert 62 < low < high
    assert "less 30 bpm for the beta-blocker" in numbers
    way.sign_plan(lead, swap_to="biceps_curl")
    way.make_link(lead)
    printed = step_on(way)
    assert "Arm curl" in printed
    assert "Arm curl" in way.all_said()
    assert f"{low} to {high}" in way.walk(lead)


def test_atrial_fibrillation_needing_support_gets_effort_and_talk_two_bottles_and_no_rate(windows, clock):
    type_referral(
        windows,
        first_name="Gordon",
        last_name="Pell",
        born_on="1949-06-09",
        sex="male",
        event="Heart attack, stent the day after",
        reason="Exercise after a heart attack",
    )
    way = Way(windows, clock, "Pell")
    lead = way.desk("lead")
    way.assess(lead, people.gordon(way.today))
    numbers = way.numbers(lead)
    assert "Heart rate not usable: effort and talk" in numbers
    assert not re.search(r"\d+ to \d+ bpm", numbers)
    way.sign_plan(lead, swap_to="front_raise")
    programme = lead.text()
    allowed = {"own weight", "0.5 kg", "1 kg"}
    for dose in lead.page.locator("ol.exercises .exercise > div > p").all_inner_texts():
        posture, load = re.search(r"rest\. (Seated|Hand-supported|Free-standing), (.+)\.$", dose).groups()
        assert posture != "Free-standing", dose
        assert re.sub(r".*?(own weight|[\d.]+ kg).*", r"\1", load) in allowed, dose
    way.make_link(lead)
    printed = once_through(way)
    said = way.all_said()
    for told in (programme, said, printed, way.walk(lead)):
        assert not RATE.search(told)


def test_a_defibrillator_gives_no_range_until_its_detection_rate_is_known_and_then_a_ceiling(windows, clock):
    type_referral(
        windows,
        first_name="Selma",
        last_name="Roth",
        born_on="1968-01-30",
        sex="female",
        event="Heart attack; defibrillator fitted later",
        reason="Exercise with a defibrillator",
    )
    way = Way(windows, clock, "Roth")
    lead = way.desk("lead")
    way.assess(lead, people.selma(way.today))
    assert "the lowest rate your heart device treats is not known" in way.how_hard(lead)
    assert not re.search(r"\d+ to \d+ bpm", way.numbers(lead))
    lead.person("Roth")
    lead.follow("Start a new assessment")
    lead.fill({"heart-lowest_detection_bpm": "150", "heart-read_on": people.iso(way.today, days_ago=23)})
    lead.press("Finish the assessment")
    intensity = way.how_hard(lead)
    assert "130 bpm: Lowest device treatment rate 150 bpm, less 20 bpm" in intensity
    low, high = map(int, re.search(r"(\d+) to (\d+) bpm", intensity).groups())
    assert 64 < low < high <= 130
    way.numbers(lead)
    way.sign_plan(lead)
    programme = lead.text()
    way.make_link(lead)
    printed = once_through(way)
    assert f"from {low} to {high} beats a minute" in way.walk(lead)
    for told in (programme, way.all_said(), printed, way.walk(lead)):
        assert all(int(rate) <= 130 for rate in re.findall(r"(\d+) (?:bpm|beats)", told))

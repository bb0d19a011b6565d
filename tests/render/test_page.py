"""The session page: one file, no outside address, nothing that a person wrote can become markup."""

import re
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from haleward.dose.prescription import prescribe
from haleward.dose.programme import draft_programme
from haleward.errors import HalewardError
from haleward.exchange.person_file import read_person_file
from haleward.languages import translated
from haleward.movement.library import default_library
from haleward.render.page import page_hashes, session_page
from haleward.render.page_bundle import ASSETS, csp_hash, script, style
from haleward.render.page_gate import day_gate, day_questions
from haleward.render.page_pack import unpack
from haleward.safety.protocol import default_protocol
from haleward.session.bilingual import compile_in_language
from haleward.session.compile import WALK, compile_session
from haleward.wording import Service, default_wording
from tests.languages.whole import whole_catalogue
from tests.page_text import page_data
from tests.session.people import AFTER_SURGERY, PEOPLE, PLAIN, WITH_DEVICE
from tests.session.samples import SERVICE, TODAY, exercise, programme, unframed

LIBRARY, PROTOCOL, WORDING = default_library(), default_protocol(), default_wording()
SHORT = programme(exercise(sets=1))
WHOLE = {"protocol": PROTOCOL, "library": LIBRARY, "wording": WORDING}
TOLD = {**WHOLE, "protocol": unframed(PROTOCOL)}


def page(record=PLAIN, *, plan=SHORT, part="one", service=SERVICE, **more):
    sheet = compile_session(plan, part, record, service=service, made_on=TODAY, **TOLD)
    return session_page(sheet, record=record, service=service, **TOLD, **more)


def data_of(html):
    data = page_data(html)
    return {**data, "figures": [unpack(each) for each in data["figures"]]}


def test_it_works():
    data = data_of(page())
    assert data["sheet"]["first_name"] == "Ada"
    assert data["checks"][0]["text"] == "Do you feel well today?"
    assert data["figures"][0][""]["frames"]


def test_the_page_asks_for_nothing_outside_itself():
    html = page()
    assert not re.findall(r'(?:src|href)="', html)
    assert not re.findall(r"https?://", re.sub(r"http://www\.w3\.org/2000/svg", "", html))
    assert not re.findall(r"url\((?!data:)", html)


def test_no_inline_handler_or_style_attribute():
    html = page()
    assert not re.search(r"<[^>]+\son\w+=", html)
    assert not re.search(r"<[^>]+\sstyle=", html)


def test_the_hashes_are_those_of_the_blocks_of_the_page():
    assert page_hashes(page()) == {"script-src": (csp_hash(script()),), "style-src": (csp_hash(style()),)}


def test_what_a_person_or_a_service_wrote_stays_text():
    evil = '</script><script>alert("x")</script>'
    html = page(replace(PLAIN, goal=evil, first_name="A<b>"), service=Service(evil, SERVICE.values))
    assert html.count("<script") == 2
    assert "<b>" not in html
    assert data_of(html)["sheet"]["first_name"] == "A<b>"


def test_repetitions_that_are_drawn_alike_are_carried_once():
    sheet = compile_session(SHORT, WALK, PLAIN, service=SERVICE, made_on=TODAY, **WHOLE)
    data = data_of(session_page(sheet, record=PLAIN, service=SERVICE, **WHOLE))
    assert len(data["drawn"]) == 1 + len(data["sheet"]["frame"])
    assert len(data["figures"]) == len(set(data["drawn"])) < len(data["drawn"])


FIRST_VIEW_BYTES = 350_000
LARGEST, LARGEST_PART = Path(__file__).parents[2] / "examples" / "ines.toml", "two"  # of examples and demo


def test_the_largest_session_of_the_examples_is_there_within_350_kilobytes_in_each_language():
    today = date(2026, 11, 25)
    person = read_person_file(LARGEST, today=today)
    prescription = prescribe(person.record, protocol=PROTOCOL, library=LIBRARY, today=today, day_check=person.day)
    plan = draft_programme(person.record, prescription, protocol=PROTOCOL, library=LIBRARY, today=today, version=1)
    sheet = compile_session(plan, LARGEST_PART, person.record, service=SERVICE, made_on=today, **WHOLE)
    assert len(sheet.exercises) == 5
    html = session_page(sheet, record=person.record, service=SERVICE, **WHOLE)
    assert len(html.encode()) <= FIRST_VIEW_BYTES
    for tag in ("de", "ar"):
        catalogue = whole_catalogue(tag, *SERVICE.values.values())
        around = WHOLE | {"service": SERVICE}
        other = compile_in_language(plan, LARGEST_PART, person.record, made_on=today, catalogue=catalogue, **around)
        told = session_page(other, record=person.record, **around | {"wording": translated(WORDING, catalogue)})
        assert len(told.encode()) <= FIRST_VIEW_BYTES, tag


def test_a_page_is_the_same_each_time_it_is_made():
    assert page() == page()


def test_every_word_the_scripts_name_is_in_the_page():
    named = set(re.findall(r'words\("(\w+)"', script()))
    assert named <= set(data_of(page())["words"]) | {"check_waits"}


def test_without_an_emergency_number_no_page_is_made():
    with pytest.raises(HalewardError, match="emergency_number"):
        page(service=Service("Small team", {"team_phone": "01632 960000", "nitrate_name": "spray"}))


def test_a_question_that_lacks_its_word_is_an_error_and_not_left_out():
    values = {name: value for name, value in SERVICE.values.items() if name != "nitrate_name"}
    with pytest.raises(HalewardError, match='"check_nitrate" needs nitrate_name'):
        page(service=Service("Tarn Valley heart recovery team", values))


@pytest.mark.parametrize("record", PEOPLE)
def test_every_topic_begins_with_an_emergency_line(record):
    topics = data_of(page(record))["topics"]
    assert all(lines[0][0] == "emergency" for lines in topics.values())
    assert {one["topic"] for one in data_of(page(record))["symptoms"]} <= set(topics)


def test_only_the_questions_that_concern_the_person_are_asked():
    asked = {record.person_id: {one["wording"] for one in data_of(page(record))["checks"]} for record in PEOPLE}
    assert "check_device" not in asked["ada-1"]
    assert "check_device" in asked["ben-2"]
    assert {"check_breastbone", "check_sugar", "check_weight"} <= asked["cat-3"]


def test_only_the_symptoms_that_can_concern_the_person_are_offered():
    offered = {record.person_id: {one["symptom"] for one in data_of(page(record))["symptoms"]} for record in PEOPLE}
    assert "shock" not in offered["ada-1"]
    assert "shock" in offered["ben-2"]
    assert "sugar" in offered["cat-3"]


def test_the_nitrate_decides_which_lines_on_chest_pain_are_shown():
    chest = {
        r.person_id: one["topic"] for r in PEOPLE for one in data_of(page(r))["symptoms"] if one["symptom"] == "chest"
    }
    assert chest["ada-1"] == "chest discomfort, nitrate prescribed"
    assert chest["ben-2"] == "chest discomfort, no nitrate"


def test_the_page_carries_only_the_facts_its_rules_read():
    asked = day_questions(AFTER_SURGERY, protocol=PROTOCOL, today=TODAY)
    _, _, facts = day_gate(AFTER_SURGERY, asked, protocol=PROTOCOL, today=TODAY, strength=True)
    assert "age_y" not in facts
    assert facts["chf_present"] is True


def test_a_weight_of_the_day_of_assessment_is_not_kept_in_a_page_that_is_used_for_weeks():
    asked = day_questions(AFTER_SURGERY, protocol=PROTOCOL, today=TODAY)
    _, _, facts = day_gate(AFTER_SURGERY, asked, protocol=PROTOCOL, today=TODAY, strength=True)
    assert AFTER_SURGERY.answers["weight_earlier_kg"] == 70.0
    assert "weight_earlier_kg" not in facts
    assert {"weight_today_kg", "weight_earlier_kg"} <= {check.input for check in asked}


def test_a_movement_done_on_each_side_has_both_pictures():
    plan = programme(exercise("side_leg_raise", "hand_supported", sets=1, each_side=True))
    assert set(data_of(page(plan=plan))["figures"][0]) == {"left", "right"}


def test_a_walk_makes_a_page_too():
    assert [block["kind"] for block in data_of(page(part=WALK))["sheet"]["blocks"]].count("walk") == 2


def test_a_page_with_device_has_its_address_and_token():
    data = data_of(page(WITH_DEVICE, post_url="/log/", token="t-1"))
    assert (data["post_url"], data["token"]) == ("/log/", "t-1")


def test_every_script_file_is_small_and_is_used():
    used = script() + script("diary.js") + script("home.js")
    for path in ASSETS.glob("*.js"):
        lines = path.read_text(encoding="utf-8").splitlines()
        assert len(lines) <= 200, path.name
        first = next(line for line in lines if line and not line.startswith(("//", "/*", " *", "import ")))
        assert first.removeprefix("export ") in used, path.name


def test_the_page_knows_when_someone_reads_and_what_to_say_when_nobody_does():
    served = Service(SERVICE.name, {**SERVICE.values, "open_times": "monday to tuesday 09:00-17:00"})
    assert data_of(page(service=served))["open_times"] == [[0, 540, 1020], [1, 540, 1020]]
    without = Service(SERVICE.name, {key: text for key, text in SERVICE.values.items() if key != "open_times"})
    data = data_of(page(service=without))
    assert data["open_times"] == []
    assert data["topics"]["no one is reading this now"][0][0] == "emergency"

"""Prints of single movements: tagged, emergency line first, one page each, and never without the service's numbers."""

import io
from datetime import date

import pypdf
import pytest

from haleward.errors import HalewardError
from haleward.movement.library import default_library
from haleward.render.movement_print import (
    CARDS_MOST,
    PrintedFor,
    PrintedMovement,
    home_sheet_pdf,
    station_cards_pdf,
)
from haleward.wording import default_wording

NUMBERS = {
    "emergency_number": "999",
    "nurse_line": "the heart nurses on 01632 960123",
    "team_phone": "01632 960120",
    "hours": "office hours",
}
CURL = PrintedMovement("biceps_curl", "seated", "bottle")
LEG = PrintedMovement("side_leg_raise", "hand_supported", "band", side="left")
LONG = PrintedMovement("band_row", "standing", "band", stature_m=1.9, mass_kg=110.0)
HOLD = PrintedMovement("tandem_stance", "hand_supported", "own_weight")


def printed_for(values=NUMBERS, first_name=""):
    return PrintedFor("Test team", default_library(), default_wording(), values, date(2026, 2, 3), first_name)


def read(data):
    reader = pypdf.PdfReader(io.BytesIO(data))
    return reader, [" ".join(page.extract_text().split()) for page in reader.pages]


def sizes_of(reader):
    sizes = set()
    for page in reader.pages:
        page.extract_text(
            visitor_text=lambda text, cm, tm, font, size: text.strip() and sizes.add(round(size * abs(tm[0]), 1))
        )
    return sizes


def alternatives(reader):
    found = (reader.get_object(number) for number in range(1, sum(map(len, reader.xref.values())) + 500))
    return {str(one["/Alt"]) for one in found if isinstance(one, dict) and "/Alt" in one}


@pytest.fixture(scope="module")
def cards():
    return read(station_cards_pdf([CURL, LEG, HOLD], printed_for()))


@pytest.fixture(scope="module")
def sheet():
    return read(home_sheet_pdf(LONG, printed_for(first_name="Ana")))


def test_each_movement_has_one_card_that_opens_with_the_emergency_line(cards):
    _, pages = cards
    titles = ("Arm curl", "Side leg raise", "Heel-to-toe stand")
    assert len(pages) == len(titles)
    for page, title in zip(pages, titles, strict=True):
        assert page.startswith(f"Call 999 now if you feel very ill. {title}")
        assert "version 1. Printed on 3 February 2026." in page


def test_a_card_says_easier_harder_when_to_stop_and_leaves_the_dose_to_be_written(cards):
    _, pages = cards
    words = default_wording().movement("side_leg_raise", "hand_supported")
    for line in (words.make_it_easier, words.make_it_harder, words.stop_if, "Do both sides.", "Sets", "Rest between"):
        assert line in pages[1]
    assert "Hold still and keep breathing." in pages[2]


def test_a_card_is_read_from_two_metres(cards):
    reader, _ = cards
    # 20 points hold 3.6 mm of lower-case letter: 6 minutes of arc at 2 m, twice the finest that a normal eye reads.
    foot, *rest = sorted(sizes_of(reader))
    assert foot == 14
    assert min(rest) >= 20
    assert max(rest) == 44  # the title


def test_what_is_left_to_write_in_is_what_the_movement_is_dosed_by(cards):
    _, (curl, _, hold) = cards
    assert "How many in each set" in curl
    assert "Weight, bottle or band" in curl
    assert "Seconds to hold" in hold
    assert "How many" not in hold
    assert "Weight, bottle or band" not in hold  # it is done with own weight


@pytest.mark.parametrize("made", ["cards", "sheet"])
def test_prints_are_tagged_and_their_pictures_have_words(made, request):
    reader, _ = request.getfixturevalue(made)
    root = reader.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    assert root["/Lang"] == "en-GB"
    printed = [CURL, LEG, HOLD] if made == "cards" else [LONG]
    words = [default_wording().movement(one.movement_id, one.posture) for one in printed]
    assert {one.alt_text_start for one in words} | {one.alt_text_end for one in words} <= alternatives(reader)


def test_the_home_sheet_is_one_page_with_safety_first_and_all_that_is_needed_to_do_it(sheet):
    reader, (page,) = sheet
    words = default_wording().movement("band_row", "standing")
    assert page.startswith("Call 999 now if you feel very ill. If you feel worse than usual, ring the heart nurses")
    assert "01632 960120 in office hours" in page
    for line in (*words.setup, words.breathing, words.make_it_easier, words.stop_if, words.kit_band, words.band_setup):
        assert line in page
    assert "Stop if you cannot speak a short sentence." in page
    assert "For Ana" in page
    assert "Row with a band, version 1. Printed on 3 February 2026." in page
    assert min(sizes_of(reader)) >= 14


def test_the_sheet_of_one_movement_says_that_it_is_no_plan(sheet):
    _, (page,) = sheet
    assert "This sheet shows one movement. Your team's advice comes first." in page
    assert "made this plan" not in page
    assert "The arrow shows which way to move." in page
    _, (hold,) = read(home_sheet_pdf(HOLD, printed_for()))
    assert "The arrow shows" not in hold  # it has none: nothing moves
    assert "The same with your kit" not in page


def test_other_kit_that_loads_as_much_is_printed_on_the_sheet():
    lines = ("Bottle filled to 750 mL (0.75 kg).", "Ankle weight: not possible safely with your kit.")
    one = PrintedMovement("biceps_curl", "seated", "hand_weight", like="1 kg in each hand", same=lines)
    _, (page,) = read(home_sheet_pdf(one, printed_for()))
    assert "The same with your kit As much as 1 kg in each hand:" in page
    assert all(line in page for line in lines)


@pytest.mark.parametrize("number", ["emergency_number", "nurse_line", "team_phone", "hours"])
def test_a_missing_number_stops_the_home_sheet_with_a_sentence_that_names_it(number):
    with pytest.raises(HalewardError, match=f"needs {number}; fill this in the service settings"):
        home_sheet_pdf(CURL, printed_for({**NUMBERS, number: ""}))


def test_a_missing_emergency_number_stops_the_cards():
    with pytest.raises(HalewardError, match="needs emergency_number"):
        station_cards_pdf([CURL], printed_for({}))


@pytest.mark.parametrize("count", [0, CARDS_MOST + 1])
def test_no_cards_and_too_many_cards_are_refused(count):
    with pytest.raises(HalewardError, match=f"{count} movements were chosen; station cards are printed for 1 to 20"):
        station_cards_pdf([CURL] * count, printed_for())

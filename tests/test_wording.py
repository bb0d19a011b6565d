"""The wording tables as the rest of the product uses them."""

import csv

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haleward.errors import HalewardError
from haleward.wording import WORDING_FOLDER, default_wording, load_wording, spoken

WORDING = default_wording()
NUMBERS = {"emergency_number": "999", "nurse_line": "the heart nurses"}


def test_a_text_is_filled_with_its_values():
    assert WORDING.text("welcome_2", {"first_name": "Ada"}) == "Hello, Ada. Take your time and settle in."


def test_a_missing_value_is_an_error_that_names_the_placeholder_and_the_key():
    with pytest.raises(HalewardError, match='"banner_lead" needs emergency_number'):
        WORDING.text("banner_lead", {})


def test_an_empty_value_counts_as_missing():
    assert not WORDING.has_values("banner_lead", {"emergency_number": ""})
    assert WORDING.has_values("banner_lead", {"emergency_number": "999"})


def test_an_unknown_key_is_an_error():
    with pytest.raises(HalewardError, match="no_such_key"):
        WORDING.template("no_such_key")


def test_a_value_with_braces_is_not_filled_again():
    assert WORDING.text("welcome_2", {"first_name": "{goal}", "goal": "walk"}).startswith("Hello, {goal}.")


def test_a_movement_has_its_set_up_lines_and_kit_line():
    words = WORDING.movement("biceps_curl", "hand_supported")
    assert words.setup[0] == "Stand tall beside a firm, steady chair."
    assert len(words.setup) == 4
    assert words.kit_line("bottle").startswith("Hold a water bottle")
    assert words.kit_line("ankle_weight") == ""


def test_a_movement_without_words_in_a_posture_is_an_error():
    with pytest.raises(HalewardError, match="chair_push_up"):
        WORDING.movement("chair_push_up", "standing")


@pytest.mark.parametrize("topic", WORDING.topics)
def test_every_topic_starts_with_an_emergency_line_even_with_one_number(topic):
    with (WORDING_FOLDER / "safety.csv").open(encoding="utf-8") as file:
        audiences = {row["audience"] for row in csv.DictReader(file) if row["topic"] == topic}
    for audience in audiences:
        lines = WORDING.safety(topic, audience=audience, values={"emergency_number": "999", "first_name": "Ada"})
        assert lines[0].level == "emergency"


def test_a_row_without_its_number_is_left_out_on_screen():
    keys = [line.key for line in WORDING.safety("breathless", values={"emergency_number": "999"})]
    assert keys == ["breath_1", "breath_2", "breath_3", "breath_6"]


def test_a_row_without_its_number_blocks_the_print():
    with pytest.raises(HalewardError, match='"breath_4" needs nurse_line'):
        WORDING.safety("breathless", values={"emergency_number": "999"}, strict=True)


def test_without_an_emergency_number_no_topic_is_shown():
    with pytest.raises(HalewardError, match="emergency_number"):
        WORDING.safety("breathless", values={"nurse_line": "the nurses"})


def test_a_topic_whose_first_row_lacks_its_own_number_opens_with_the_general_emergency_line():
    lines = WORDING.safety("low mood", values=NUMBERS)
    assert lines[0].text == "Call 999 now if you feel very ill."
    assert [line.key for line in lines] == ["banner_lead", "mood_2"]


def test_an_unknown_topic_or_audience_is_an_error():
    with pytest.raises(HalewardError, match='no safety topic "sneezing"'):
        WORDING.safety("sneezing", values=NUMBERS)
    with pytest.raises(HalewardError, match="audience"):
        WORDING.safety("wound or breastbone", audience="carer", values=NUMBERS)


def test_a_key_used_in_two_tables_is_an_error_that_names_both(tmp_path):
    for name in ("a.csv", "b.csv"):
        (tmp_path / name).write_text("key,text\nsame,Hello.\n", encoding="utf-8")
    with pytest.raises(HalewardError, match=r"a\.csv and again in b\.csv"):
        load_wording(tmp_path)


@pytest.mark.parametrize(
    ("number", "words"),
    [(0, "zero"), (12, "twelve"), (40, "forty"), (45, "forty five"), (100, "one hundred"), (1.5, "one point five"),
     (999, "nine hundred and ninety nine"), (0.96, "one")],
)  # fmt: skip
def test_numbers_are_spoken_in_words(number, words):
    assert spoken(number) == words


@given(st.one_of(st.integers(max_value=-1), st.integers(min_value=1000)))
def test_numbers_outside_the_range_are_refused(number):
    with pytest.raises(HalewardError):
        spoken(number)


def test_a_line_that_was_not_given_is_stood_in_for_by_the_nurses_on_screen_only():
    values = {"emergency_number": "999", "nurse_line": "01632 960111"}
    said = [line.text for line in default_wording().safety("calf swelling", values=values)]
    assert "Ring 01632 960111 today if one calf is swollen, warm or sore." in said
    own = [line.text for line in default_wording().safety("calf swelling", values=values | {"urgent_line": "111"})]
    assert "Ring 111 today if one calf is swollen, warm or sore." in own
    with pytest.raises(HalewardError, match="urgent_line"):
        default_wording().safety("calf swelling", values=values, strict=True)

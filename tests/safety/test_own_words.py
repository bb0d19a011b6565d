"""A team's own wording and numbers: read, refused when they do not fit, and in force wherever wording is read."""

import re

import pytest

from haleward.errors import FileFault, HalewardError
from haleward.safety.own_words import numbers_for, numbers_to_fill, wording_for
from haleward.safety.protocol import DEFAULT_FILE, FORMAT, JURISDICTIONS, default_protocol, read_protocol
from haleward.wording import default_wording, placeholders

TEXT = DEFAULT_FILE.read_text(encoding="utf-8")
OWN = '[[wording]]\nkey = "stop_all"\ntext = "Stop now. Ring {nurse_line}."\nsource = "Local policy 4"\n'


def read(text):
    return read_protocol(text, name="own.toml")


def test_it_works():
    protocol = read(f"{TEXT}\n{OWN}")
    assert wording_for(protocol).text("stop_all", {"nurse_line": "the nurses"}) == "Stop now. Ring the nurses."
    assert wording_for(protocol).template("chest_nitrate_2") == default_wording().template("chest_nitrate_2")


def test_a_protocol_without_own_wording_leaves_the_tables_as_they_are():
    assert wording_for(default_protocol()).template("stop_all") == default_wording().template("stop_all")


def test_own_wording_reaches_the_lines_of_a_safety_topic():
    lines = wording_for(read(f"{TEXT}\n{OWN}")).safety("stop", values={"nurse_line": "the nurses"})
    assert [line.text for line in lines] == ["Stop now. Ring the nurses."]


def test_own_wording_may_print_any_setting_and_number_of_the_protocol():
    own = OWN.replace("Ring {nurse_line}.", "Limit {bp_limit}, ring {crisis_line}.")
    assert placeholders(read(f"{TEXT}\n{own}").wording_overrides[0].text) == ("bp_limit", "crisis_line")


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('"stop_all"', '"stop_everything"', 'there is no line "stop_everything" that could be worded anew'),
        (
            "{nurse_line}",
            "{ward_phone}",
            "nothing gives {ward_phone} a value; this line may use the numbers of the protocol and of the service",
        ),
        ('text = "Stop now. Ring {nurse_line}."', 'text = " "', "the text is empty"),
        ('source = "Local policy 4"', 'origin = "Local policy 4"', "source is missing"),
        (OWN, OWN + OWN, 'key "stop_all" is used twice'),
    ],
)
def test_own_wording_that_does_not_fit_is_a_fault(old, new, said):
    with pytest.raises(FileFault) as caught:
        read(f"{TEXT}\n{OWN.replace(old, new)}")
    assert any(said in fault and re.match(r"own\.toml, line \d+: ", fault) for fault in caught.value.faults)


def test_a_line_that_no_table_has_cannot_be_worded():
    with pytest.raises(HalewardError, match="no wording with the key"):
        default_wording().with_texts({"no_such_line": "Words."})


def test_the_emergency_number_is_that_of_the_country():
    given = {name: numbers_for(default_protocol(name), {})["emergency_number"] for name in JURISDICTIONS}
    assert given == {"UK": "999", "US": "911", "EU": "112"}


def test_a_service_fills_in_what_the_protocol_leaves_open_and_its_own_number_counts():
    protocol = default_protocol()
    assert numbers_to_fill(protocol, {}) == ("nurse_line", "team_phone", "hours")
    given = {
        "nurse_line": "01",
        "team_phone": "02",
        "hours": "nine to five",
        "emergency_number": "2222",
        "pump_centre": "",
    }
    assert numbers_to_fill(protocol, given) == ()
    assert numbers_for(protocol, given)["emergency_number"] == "2222"
    assert "pump_centre" not in numbers_for(protocol, given)


def test_a_limit_of_the_protocol_is_not_among_the_numbers_of_the_service():
    assert "bp_limit" not in numbers_for(default_protocol(), {})


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('name = "pump_centre"', 'name = "pump_center"', '"pump_center" is not a name that wording prints'),
        ('name = "pump_centre"', 'name = "crisis_line"', "crisis_line is given twice for this jurisdiction"),
        ("needed = true", 'needed = "yes"', "needed is 'yes'; it must be true or false"),
    ],
)
def test_a_number_that_does_not_fit_is_a_fault(old, new, said):
    with pytest.raises(FileFault) as caught:
        read(TEXT.replace(old, new, 1))
    assert any(said in fault for fault in caught.value.faults)


def test_a_file_of_before_these_sections_still_loads():
    old = TEXT[: TEXT.index("# ---- The service's own numbers.")].replace(f'format = "{FORMAT}"\n', "")
    old = re.sub(r"(?<=\n)(?:sources|trust) = .*\n(?=(?:trust = .*\n)?\n\[\[(?:symptom|check)\]\])", "", old)
    protocol = read(old)
    assert (protocol.numbers, protocol.wording_overrides, protocol.accepted) == ({}, (), ())
    assert any(symptom.sources == () for symptom in protocol.concerns.symptoms)
    assert any(check.trust == "" for check in protocol.checks)

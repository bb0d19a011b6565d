"""The protocol file: it loads, and every fault is named with its line in one pass."""

import re
from dataclasses import fields
from datetime import date

import pytest

from haleward.errors import FileFault
from haleward.safety.parts import Jurisdiction
from haleward.safety.policy import DosePolicy, IntensityPolicy, ProgressionPolicy
from haleward.safety.protocol import DEFAULT_FILE, JURISDICTIONS, default_protocol, load_protocol

TEXT = DEFAULT_FILE.read_text(encoding="utf-8")


def faults(tmp_path, *changes):
    """The faults of the default protocol after replacing each first text by its second (the first one found)."""
    text = TEXT
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    path = tmp_path / "own.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(FileFault) as caught:
        load_protocol(path)
    return caught.value.faults


def line_of(text, within=TEXT):
    return within[: within.index(text)].count("\n") + 1


def test_the_default_protocol_loads_for_each_country_and_says_that_it_is_a_draft():
    for name in JURISDICTIONS:
        protocol = default_protocol(name)
        assert protocol.jurisdiction == name
        assert {rule.jurisdiction for rule in protocol.rules} <= {"ALL", name}
        assert protocol.status == "draft - not approved for clinical use"
        assert (protocol.signed_by, protocol.signed_on) == ("", None)
    assert default_protocol() == default_protocol("UK")


def test_the_file_itself_names_the_country_it_is_for():
    assert load_protocol(DEFAULT_FILE).jurisdiction == "UK"


def test_a_signed_copy_keeps_who_signed_it_and_when(tmp_path):
    path = tmp_path / "own.toml"
    signed = TEXT.replace('signed_by = ""', 'signed_by = "Clinical lead"').replace(
        'signed_on = ""', "signed_on = 2026-03-01"
    )
    path.write_text(signed, encoding="utf-8")
    protocol = load_protocol(path)
    assert (protocol.signed_by, protocol.signed_on) == ("Clinical lead", date(2026, 3, 1))


def test_text_that_is_not_toml_is_one_fault_with_its_place(tmp_path):
    found = faults(tmp_path, ("\n[protocol]\n", "\n[protocol\n"))
    assert len(found) == 1
    line = line_of("\n[protocol]\n") + 1
    assert found[0].startswith(f"own.toml, line {line}: this line cannot be read as TOML")


def test_every_fault_is_reported_in_one_pass_in_the_order_of_the_file(tmp_path):
    found = faults(
        tmp_path,
        ('version = "0.2"', "version = 1"),
        ('level = "clinician_decision"', 'level = "clinician"'),
        ('input = "mi_days", under = 2, unit = "days"', 'input = "mi_dayz", under = 2, unit = "days"'),
        ('unit = "mmHg"}, {input = "dbp_rest", over = 100', 'unit = "kPa"}, {input = "dbp_rest", over = 100'),
    )
    assert len(found) == 4
    lines = [int(re.match(r"own\.toml, line (\d+): ", fault)[1]) for fault in found]
    assert lines == sorted(lines)
    assert found[0].endswith("protocol haleward-default: version is 1; it must be a text in quotes.")
    assert "level is 'clinician'; it must be one of block, clinician_decision, caution, inform" in found[1]
    assert 'unknown input "mi_dayz"' in found[2]
    assert 'the unit of sbp_rest is "mmHg", not "kPa"' in found[3]


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('stage = "entry"', 'stage = "entree"', "stage is 'entree'; it must be one of entry, session"),
        ('urgency = "none"', 'urgence = "none"', '"urgence" is not a key of rule R001; did you mean "urgency"?'),
        ('urgency = "none"', 'urgence = "none"', "urgency is missing"),
        ('id = "R002"', 'id = "R001"', 'id "R001" is used twice'),
        ('topic = "breathless"', 'topic = "breath"', 'there is no topic "breath" in safety.csv'),
        ("[dose]", "[doses]", '"doses" is not a key of the file; did you mean "dose"?'),
        ("device_margin_bpm = 20", 'device_margin_bpm = "20"', "device_margin_bpm is '20'; it must be a number"),
        ("device_margin_bpm = 20", "", "device_margin_bpm is missing"),
        ("smallest_reserve_bpm =", "smalest_reserve_bpm =", 'did you mean "smallest_reserve_bpm"?'),
        ('effort_scale = "0-10"', 'effort_scale = "0-5"', "effort_scale is '0-5'; it must be one of 0-10, 6-20"),
        ('wording = "check_well"', 'wording = "check_wel"', 'there is no wording "check_wel" in session.csv'),
        ("answers_no = {acute_illness = true}", "answers_no = {acute_ilness = true}", 'unknown input "acute_ilness"'),
        (
            'input = "weight_today_kg"\nunit = "kg"',
            'input = "weight_today_kg"\nunit = "lb"',
            'the unit of weight_today_kg is "kg"',
        ),
        ('{input = "angina_rest_or_worse"},', '{input = "angina"},', 'unknown input "angina"'),
        ('also = ["R091", "R103"]', 'also = ["R091", "R999"]', "there is no rule R999"),
        ('stages = ["entry"]', 'stages = ["entery"]', 'unknown stage "entery"'),
        ('  {input = "aortic_stenosis"},\n', "", "valve_symptoms is needed depending on aortic_stenosis"),
        (
            "applies_if = {icd_counts_as_high = true}",
            "applies_if = {icd_counts = true}",
            'there is no risk setting "icd_counts"',
        ),
        ('unknown_level = "same_day"', 'unknown_level = "never"', "unknown_level is 'never'"),
        ('key = "breathless_severe"', 'key = "chest_pain"', 'key "chest_pain" is used twice'),
        ('standing_needs = ["rises_without_arms"', 'standing_needs = ["rises"', 'unknown input "rises"'),
        ('places = ["hall", "home"]', 'places = ["hall", "park"]', 'unknown place "park"'),
        ('{input = "lvef_pct"},', '{input = "lvef_pct", why = "risk"},', "unknown key why in needs"),
        ("\nusual = true", "\nusual = false", "has 0 usual symptoms; it must have one"),
        (
            'topic_when = [{topic = "high sugar"',
            'topic_when = [{topik = "high sugar"',
            "each entry has a topic of safety",
        ),
        ("answers_no = {acute_illness = true}", "answers_no = {acute_illness = 1}", "a table of yes/no inputs"),
        ('signed_on = ""', 'signed_on = "soon"', "signed_on is 'soon'; it must be a date such as 2026-03-01, or \"\""),
    ],
)
def test_a_fault_is_said_with_file_line_and_what_would_be_right(tmp_path, old, new, said):
    found = faults(tmp_path, (old, new))
    assert any(said in fault and re.match(r"own\.toml, line \d+: ", fault) for fault in found), found


def test_a_missing_section_is_said_of_the_file_since_it_stands_nowhere_in_it(tmp_path):
    assert "own.toml: the section [dose] is missing." in faults(tmp_path, ("[dose]", "[doses]"))
    found = faults(tmp_path, ("[gates.hall]", "[gates.park]"))
    assert "own.toml: the section [gates.hall] is missing." in found
    assert any('"park" is not a key of [gates]' in fault for fault in found)


def test_a_fault_names_the_very_line(tmp_path):
    old = 'condition = {input = "lvef_pct", under = 40, unit = "%"}'
    found = faults(tmp_path, (old, old.replace("40", '"40"')))
    assert found[0].startswith(f"own.toml, line {line_of(old)}: rule R017: lvef_pct is compared with '40'")


@pytest.mark.parametrize(
    ("condition", "said"),
    [
        ("{}", "a condition is a table"),
        ('{input = "lvef_pct"}', "nothing is asked of lvef_pct"),
        ('{input = "lvef_pct", below = 40, unit = "%"}', "unknown word below"),
        ('{input = "icd", over = 1, unit = "yes/no"}', 'icd is not a number, so "over" cannot be asked of it'),
        ('{input = "icd", is = 1}', "icd is true or false, not 1"),
        ('{input = "icd", is = true, unit = "yes/no"}', "so it takes no unit"),
        ('{input = "event_type", is = "mii"}', "event_type is one of mi, pci"),
        ('{input = "event_type", one_of = []}', '"one_of" of event_type needs a list of values'),
        ('{input = "nyha", is = "4"}', "nyha is a number, not '4'"),
        ('{input = "nyha", known = "yes"}', "is true or false, not 'yes'"),
        ("{all = []}", '"all" needs a list of conditions'),
        ('{all = [{input = "icd", is = true}], any = [{input = "icd", is = true}]}', '"all" stands alone in its table'),
        ('{not = {input = "icdd", is = true}}', 'unknown input "icdd"'),
        (
            '{input = "hr_ex", over = {input = "icd_detect"}, unit = "bpm"}',
            '"icd_detect" is not an input with a number',
        ),
        ('{input = "hr_ex", over = {input = "sbp_rest"}, unit = "bpm"}', "they cannot be compared"),
        (
            '{input = "hr_ex", over = {input = "icd_detect_bpm", minus = 10}, unit = "bpm"}',
            "unknown word minus in a limit",
        ),
        ('{input = "hr_ex", over = {input = "icd_detect_bpm", plus = "10"}, unit = "bpm"}', "must be numbers"),
        ('{input = "hr_ex", over = "fast", unit = "bpm"}', "hr_ex is compared with 'fast'"),
    ],
)
def test_a_badly_written_condition_is_a_fault(tmp_path, condition, said):
    old = 'condition = {input = "lvef_pct", under = 40, unit = "%"}'
    found = faults(tmp_path, (old, f"condition = {condition}"))
    assert any(said in fault for fault in found), found


def test_every_field_of_every_policy_must_be_in_the_file():
    for name, kind in (("intensity", IntensityPolicy), ("dose", DosePolicy), ("progression", ProgressionPolicy)):
        section = TEXT.split(f"[{name}]\n", 1)[1].split("\n[", 1)[0]
        assert {item.name for item in fields(kind)} == set(re.findall(r"^(\w+) =", section, flags=re.M))


def test_a_setting_that_disagrees_with_its_rule_does_not_load(tmp_path):
    old = 'name = "hr_high"\njurisdiction = "UK"\nvalue = 100'
    found = faults(tmp_path, (old, old.replace("100", "110")))
    assert found == (f"own.toml, line {line_of(old) + 2}: setting hr_high: 110 bpm is not the value in rule R032.",)


def test_every_setting_that_repeats_a_rules_number_agrees_with_it_everywhere():
    tied = {name: setting.same_in for name, setting in default_protocol().settings.items() if setting.same_in}
    assert {"bp_limit", "hr_high", "hr_low", "weight_gain", "sugar_low", "sugar_high", "sore_days", "meal_wait"} <= set(
        tied
    )
    assert {name: default_protocol(name).settings["bp_limit"].text for name in JURISDICTIONS} == {
        "UK": "180 over 100",
        "US": "180 over 110",
        "EU": "180 over 110",
    }
    assert [default_protocol(name).settings["nitrate_doses"].value for name in JURISDICTIONS] == [(2,), (1,), (2,)]


def test_two_settings_of_one_name_for_one_country_are_a_fault(tmp_path):
    found = faults(tmp_path, ('name = "hr_low"', 'name = "hr_high"'))
    assert any("hr_high is given twice for this jurisdiction" in fault for fault in found)


def test_the_wording_values_are_ready_to_be_read_out():
    values = default_protocol().wording_values
    assert values["nitrate_wait"] == "five minutes"
    assert all(text and "_" not in text and not text.endswith(".") for text in values.values())


def test_a_rule_is_found_by_its_id():
    assert default_protocol().rule("R017").stage == "entry"
    with pytest.raises(KeyError):
        default_protocol().rule("R999")


def test_jurisdictions_are_those_a_rule_may_carry():
    assert {"ALL", *JURISDICTIONS} == set(Jurisdiction.__args__)


def test_a_file_without_any_setting_is_said_to_have_none(tmp_path):
    path = tmp_path / "own.toml"
    path.write_text(re.sub(r"\[\[setting\]\]\n(?:.+\n)+", "", TEXT), encoding="utf-8")
    with pytest.raises(FileFault, match=r"there is no \[\[setting\]\]"):
        load_protocol(path)

"""The whole analysis: what the default gives, what a file may accept, what holds for one country, how long it takes."""

import re
import time
from pathlib import Path

import pytest

import haleward.safety.analysis
from haleward.errors import FileFault
from haleward.safety.analysis import check_file, check_text, findings
from haleward.safety.analysis.space import Space
from haleward.safety.protocol import DEFAULT_FILE, JURISDICTIONS, default_protocol

TEXT = DEFAULT_FILE.read_text(encoding="utf-8")
SPACE = Space()


def check(text, **options):
    return check_text(text, name="own.toml", space=SPACE, **options)


def without_acceptance(name):
    start = TEXT.index(f'[[accepted]]\nfinding = "{name}"')
    end = TEXT.find("[[accepted]]", start + 1)
    return TEXT[:start] + (TEXT[end:] if end > 0 else "")


def test_the_default_has_no_finding_that_it_does_not_accept_with_a_reason():
    checked = check(TEXT)
    assert checked.findings == ()
    assert len(checked.accepted) == len(checked.protocol.accepted) > 10
    assert all(len(one.reason) > 30 for one in checked.protocol.accepted)
    assert check_file(DEFAULT_FILE).findings == ()


@pytest.mark.parametrize("name", JURISDICTIONS)
def test_the_default_of_each_country_has_none(name):
    assert findings(default_protocol(name), space=SPACE) == ()


def test_a_finding_that_is_not_accepted_is_told_with_its_line_and_name():
    checked = check(without_acceptance("dead R100 R101"))
    (found,) = checked.findings
    assert (found.name, found.kind, found.ids, found.section) == ("dead R100 R101", "dead", ("R100", "R101"), "rule")
    assert TEXT.splitlines()[found.line - 2 : found.line] == ["[[rule]]", 'id = "R100"'] or (
        TEXT.splitlines()[found.line - 1 : found.line + 1] == ["[[rule]]", 'id = "R100"']
    )
    assert checked.serious == (found,)


def test_a_finding_of_one_country_names_it():
    (found,) = check(without_acceptance("duplicate R074 R019")).findings
    assert found.jurisdictions == ("US",)
    assert not found.serious  # the file is for the UK
    assert check(without_acceptance("duplicate R074 R019"), jurisdiction="UK").findings == ()


def test_a_file_that_can_be_read_for_its_own_country_only_is_not_refused():
    rule = TEXT[TEXT.index('[[rule]]\nid = "R023"') : TEXT.index('[[rule]]\nid = "R024"')]
    own = rule.replace("R023", "R900").replace("over = 180", "over = 175").replace("over 180", "over 175")
    text = TEXT.replace(rule, rule + own).replace('also = ["R091", "R103"]', 'also = ["R091", "R103", "R900"]', 1)
    checked = check(text)
    assert [one.name for one in checked.findings if one.kind == "elsewhere"] == ["elsewhere US", "elsewhere EU"]
    assert "there is no rule R900 for this jurisdiction" in checked.findings[0].sentence
    assert not any(one.serious for one in checked.findings if one.kind == "elsewhere")


@pytest.mark.parametrize(
    ("old", "new", "name", "said"),
    [
        (
            'level = "emergency"',
            'level = "same_day"',
            "unused-level emergency",
            "No symptom is of the level emergency, so nothing reported is ever seen that soon.",
        ),
        (
            'stage = "during"',
            'stage = "after"',
            "unused-level during",
            "No rule stops anything during a session",
        ),
        (
            'condition = {input = "sore_from_last", is = true}',
            'condition = {input = "copd", is = true}',
            "unread check_sore",
            "Question check_sore sets sore_from_last, which no rule reads.",
        ),
        (
            'condition = {input = "syncope_recent", is = true}',
            'condition = {any = [{input = "syncope_recent", is = true}, {input = "hf_worsening_signs", is = true}]}',
            "dead-part R044 R006",
            'Rule R044: the part "Signs of worsening heart failure: yes" changes nothing, since R006 fires then too',
        ),
        (
            'label = "I had a fall"',
            'label = " "',
            "no-words fall_unhurt",
            "Symptom fall_unhurt has no label, so nobody can report it.",
        ),
        ('topic = "self care"', 'topic = "collapse"', "no-words tired collapse", "which has no line for the person"),
    ],
)
def test_what_is_missing_or_idle_is_told(old, new, name, said):
    assert old in TEXT
    found = {one.name: one.sentence for one in check(TEXT.replace(old, new), jurisdiction="UK").findings}
    assert said in found[name]


@pytest.mark.parametrize(
    ("key", "text", "name"),
    [
        ("chest_no_nitrate_1", "Call an ambulance now.", "emergency_number"),
        ("chest_nitrate_5", "Call {emergency_number} if the pain lasts 30 minutes.", "chest_pain_minutes"),
    ],
)
def test_own_wording_that_loses_a_number_of_the_usual_line_stands_against_signing(key, text, name):
    own = f'{TEXT}\n[[wording]]\nkey = "{key}"\ntext = "{text}"\nsource = "Local policy 4"\n'
    (found,) = check(own, jurisdiction="UK").serious
    assert found.name == f"lost-value {key} {name}"
    assert f"Put {{{name}}} back." in found.sentence


def test_a_setting_that_its_sentence_cannot_say_stands_against_signing():
    (found,) = check(TEXT.replace('text = "two"', 'text = "two doses"'), jurisdiction="UK").serious
    assert found.name == "unsayable nitrate_doses"
    assert found.sentence.startswith(
        "Setting nitrate_doses: “two doses” cannot be said in its sentence; give the number"
    )


def test_an_emergency_number_without_a_figure_stands_against_signing():
    (found,) = check(TEXT.replace('text = "999"', 'text = "the porter"'), jurisdiction="UK").serious
    assert found.sentence.startswith('The emergency number is "the porter", and every emergency line prints it.')


def test_an_acceptance_that_is_no_longer_needed_is_told_and_does_not_stand_against_signing():
    checked = check(f'{TEXT}\n[[accepted]]\nfinding = "dead R001 R002"\nreason = "It was so once."\n')
    (found,) = checked.findings
    assert found.sentence == 'The file accepts "dead R001 R002", which is not found (any more). Take the entry out.'
    assert checked.serious == ()


def test_a_finding_is_not_accepted_without_a_reason():
    with pytest.raises(FileFault, match="a finding is accepted with a reason"):
        check(f'{TEXT}\n[[accepted]]\nfinding = "dead R001 R002"\nreason = " "\n')


def test_every_sentence_is_one_line_that_ends_with_a_full_stop():
    text = TEXT[: TEXT.index("[[accepted]]\nfinding")].replace("smallest_reserve_bpm = 25", "smallest_reserve_bpm = 0")
    found = check(text).findings
    assert len(found) > 12
    for one in found:
        assert one.sentence.endswith(".")
        assert "\n" not in one.sentence
        assert one.line


def test_the_page_on_the_analysis_names_every_kind_of_finding():
    source = Path(haleward.safety.analysis.__file__).parent
    kinds = {
        kind for path in source.glob("*.py") for kind in re.findall(r'Finding\(\s*"([\w-]+)"', path.read_text("utf-8"))
    }
    page = (Path(__file__).parents[3] / "docs" / "protocol_analysis.md").read_text(encoding="utf-8")
    assert len(kinds) > 20
    assert kinds == {
        kind for row in re.findall(r"^\| (`.*?) \|", page, re.MULTILINE) for kind in re.findall(r"`([\w-]+)`", row)
    }


def test_the_whole_analysis_of_the_default_takes_less_than_five_seconds_of_computing():
    start = time.process_time()
    check_file(DEFAULT_FILE)
    assert time.process_time() - start < 5

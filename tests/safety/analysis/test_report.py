"""The whole analysis: what the default gives, what a file may accept, what holds for one country, how long it takes."""

import time

import pytest

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
    assert check(without_acceptance("duplicate R074 R019"), jurisdiction="UK").findings == ()


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


def test_the_whole_analysis_of_the_default_takes_less_than_five_seconds_of_computing():
    start = time.process_time()
    check_file(DEFAULT_FILE)
    assert time.process_time() - start < 5

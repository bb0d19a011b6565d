"""How hard to work is said in the person's words, and no rate is said where heart rate is not used."""

from dataclasses import replace
from datetime import date

import pytest

from haleward.dose.intensity import set_intensity
from haleward.record import Device, HeartRate, Medicine, Record
from haleward.safety.facts import facts_of
from haleward.safety.protocol import default_protocol
from haleward.session.how_hard import how_hard_lines, rate_ceiling
from haleward.wording import default_wording

TODAY = date(2026, 11, 25)
PROTOCOL = default_protocol()
VALUES = {"emergency_number": "999", "effort_low": "2", "effort_high": "4"}
RECORD = Record(
    person_id="p",
    first_name="Wren",
    assessed_on=TODAY,
    born_on=date(1966, 3, 1),
    rhythm="sinus",
    device=Device("none"),
    medicines=(Medicine("beta_blocker", "bisoprolol", since=date(2026, 9, 1)),),
    resting_heart_rate=HeartRate(60, TODAY),
)


def intensity_of(record: Record):
    return set_intensity(record, facts_of(record, today=TODAY), protocol=PROTOCOL, today=TODAY)


def lines(record: Record, *, walking: bool = True) -> tuple[str, ...]:
    return how_hard_lines(intensity_of(record), wording=default_wording(), values=VALUES, walking=walking)


def test_a_walk_says_the_range_and_what_to_do_above_it() -> None:
    said = " ".join(lines(RECORD))
    assert "Work with a heart rate from 90 to 112 beats a minute." in said  # 89.88 and 112.29: low up, high down
    assert "Call 999 if you also have chest pain or feel faint." in said


def test_a_strength_session_says_only_the_rate_not_to_go_over() -> None:
    said = " ".join(lines(RECORD, walking=False))
    assert "Do not go over 112 beats a minute." in said
    assert "from 90" not in said


def test_a_device_cuts_the_range_and_says_so() -> None:
    record = replace(RECORD, device=Device("icd", lowest_detection_bpm=125))
    assert rate_ceiling(intensity_of(record)) == "105"
    assert "Your heart device could act at a higher rate. We stay well below it." in lines(record)


@pytest.mark.parametrize(
    "change",
    [{"rhythm": "atrial_fibrillation"}, {"rhythm": None}, {"device": Device("icd")}, {"resting_heart_rate": None}],
)
def test_without_a_usable_heart_rate_no_rate_is_said(change: dict[str, object]) -> None:
    record = replace(RECORD, **change)
    said = " ".join(lines(record))
    assert "We do not use heart rate for you, because" in said
    assert "beats a minute" not in said
    assert rate_ceiling(intensity_of(record)) == ""


def test_a_sheet_without_an_intensity_says_nothing() -> None:
    assert how_hard_lines(None, wording=default_wording(), values=VALUES, walking=True) == ()


def test_a_strength_session_does_not_speak_of_a_range_it_has_not_given() -> None:
    assert not any("range" in line for line in lines(RECORD, walking=False))


@pytest.mark.parametrize(
    ("change", "ceiling"),
    [
        ({"rhythm": "atrial_fibrillation", "device": Device("icd", lowest_detection_bpm=130)}, "110"),
        ({"resting_heart_rate": None, "device": Device("icd", lowest_detection_bpm=130)}, "110"),
        ({"resting_heart_rate": HeartRate(60, date(2026, 1, 2)), "clinician_ceiling_bpm": 105}, "105"),
        ({"device": Device("icd", lowest_detection_bpm=108)}, "88"),  # under the bottom of the range: a conflict
    ],
)
def test_a_limit_of_device_or_team_is_told_where_there_is_no_range(change: dict[str, object], ceiling: str) -> None:
    intensity = intensity_of(replace(RECORD, **change))
    assert intensity.low_bpm is None
    for walking in (True, False):
        said = " ".join(lines(replace(RECORD, **change), walking=walking))
        assert f"Do not go over {ceiling} beats a minute." in said
        assert "heart rate from" not in said
    assert rate_ceiling(intensity) == ceiling

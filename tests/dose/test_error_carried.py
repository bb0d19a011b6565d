"""A number whose error is known never loses it on the way from the formula to the page."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from haleward.cli.worksheets import prescription_lines
from haleward.dose.intensity import set_intensity
from haleward.dose.model import Intensity, Prescription
from haleward.dose.prescription import prescribe
from haleward.dose.week import walking_for
from haleward.movement.library import default_library
from haleward.plain import from_plain, to_plain
from haleward.record import Record, WalkTest
from haleward.safety.facts import facts_of
from haleward.safety.protocol import Protocol, default_protocol
from haleward.session.how_hard import how_hard_lines
from haleward.wording import default_wording
from haleward.worksheet import Figure
from tests.dose.people import ON_BETA_BLOCKER, TODAY, WELL

PROTOCOL = default_protocol()
WALKED = replace(WELL, walk=WalkTest("six_minute_walk", 480, date(2026, 2, 20), course_m=30))
PEOPLE = [WELL, ON_BETA_BLOCKER]


def intensity_of(record: Record, protocol: Protocol = PROTOCOL, **facts: Any) -> Intensity:
    return set_intensity(record, {**facts_of(record, today=TODAY), **facts}, protocol=protocol, today=TODAY)


def prescribed(record: Record = WALKED) -> Prescription:
    return prescribe(record, protocol=PROTOCOL, library=default_library(), today=TODAY)


def range_of(figure: Figure | None) -> tuple[float, float]:
    assert figure is not None
    assert figure.low is not None
    assert figure.high is not None
    return figure.low, figure.high


@pytest.mark.parametrize("record", PEOPLE, ids=["no blocker", "beta-blocker"])
def test_the_error_of_a_predicted_maximum_reaches_both_ends_of_the_range(record: Record) -> None:
    found = intensity_of(record)
    policy = PROTOCOL.policies.intensity
    low, high = range_of(found.maximum)
    assert found.maximum is not None
    assert found.low is not None
    assert found.high is not None
    error = found.maximum.value - low
    assert high - found.maximum.value == pytest.approx(error)
    assert error > 5
    assert range_of(found.low) == pytest.approx(
        (found.low.value - policy.reserve_fraction_low * error, found.low.value + policy.reserve_fraction_low * error)
    )
    assert range_of(found.high)[0] == pytest.approx(found.high.value - policy.reserve_fraction_high * error)


@pytest.mark.parametrize("record", PEOPLE, ids=["no blocker", "beta-blocker"])
def test_the_range_that_is_set_does_not_move(record: Record) -> None:
    found = intensity_of(record)
    assert found.low is not None
    assert found.high is not None
    assert (found.low.value, found.high.value) == (found.low_bpm, found.high_bpm)


def test_a_measured_maximum_gives_no_range_and_no_sentence() -> None:
    found = intensity_of(replace(WELL, peak_bpm_on_medicines=150))
    assert found.maximum == Figure(150, "bpm")
    assert found.low is not None
    assert (found.low.low, found.low.high, found.error) == (None, None, "")


def test_a_likely_range_never_passes_a_ceiling() -> None:
    free = intensity_of(WELL)
    assert free.high_bpm is not None
    ceiling = free.high_bpm + 1
    found = intensity_of(replace(WELL, clinician_ceiling_bpm=ceiling, clinician_ceiling_by="Dr Hale"))
    assert found.high_bpm == free.high_bpm
    assert range_of(found.high)[1] == ceiling
    lower = intensity_of(replace(WELL, clinician_ceiling_bpm=free.high_bpm - 3, clinician_ceiling_by="Dr Hale"))
    assert lower.high is not None
    assert lower.high.value == lower.high_bpm == range_of(lower.high)[1]


def test_a_maximum_whose_range_reaches_down_to_rest_still_gives_a_range_above_rest() -> None:
    reading = replace(WELL.resting_heart_rate, bpm=118) if WELL.resting_heart_rate else None
    policy = replace(PROTOCOL.policies.intensity, beta_blocker_subtract_bpm=15.0, smallest_reserve_bpm=5.0)
    protocol = replace(PROTOCOL, policies=replace(PROTOCOL.policies, intensity=policy))
    record = replace(ON_BETA_BLOCKER, resting_heart_rate=reading)
    found = intensity_of(record, protocol)
    if found.low is None:
        pytest.fail(found.not_usable_reason or found.conflict)
    assert min(*range_of(found.maximum), *range_of(found.low), *range_of(found.high)) > 118


def test_the_working_shows_the_range_of_each_line() -> None:
    lines = prescription_lines(prescribed(), default_wording())
    for start in ("  Predicted maximal", "  Heart-rate reserve", "  Bottom of the band", "  Top of the band"):
        assert [line for line in lines if line.startswith(start) and ", likely " in line], start
    assert [line for line in lines if line.startswith("    exercise capacity: ") and ", likely " in line]
    assert [line for line in lines if line.startswith("  METs of this walk itself: ") and ", likely " in line]
    assert [line for line in lines if line.startswith("Capacity: about ") and line.count(", likely ") == 2]
    assert [line for line in lines if "The highest rate is predicted: about " in line]


def test_walking_keeps_the_error_of_the_capacity_in_its_pace_and_its_reasons() -> None:
    made = prescribed(replace(WALKED, walk=replace(WALKED.walk, distance_m=600)) if WALKED.walk else WALKED)
    facts = facts_of(WALKED, today=TODAY)
    walking = walking_for(WALKED, made, facts, taken=(), protocol=PROTOCOL, library=default_library())
    low, high = range_of(walking.pace)
    assert walking.pace_km_per_h is not None
    assert low < walking.pace_km_per_h < high
    assert [one for one in walking.reasons if "capacity is about " in one and ", likely " in one]
    assert [one for one in walking.reasons if one.startswith("Pace about ") and ", likely " in one]


@pytest.mark.parametrize("walking", [True, False])
def test_a_person_is_told_in_plain_words_how_sure_the_rates_are(walking: bool) -> None:
    values = {"emergency_number": "999", "effort_low": "2", "effort_high": "4"}
    said = how_hard_lines(intensity_of(WELL), wording=default_wording(), values=values, walking=walking)
    assert [line for line in said if line.startswith("These numbers start from your age.")]
    measured = intensity_of(replace(WELL, peak_bpm_on_medicines=150))
    said = how_hard_lines(measured, wording=default_wording(), values=values, walking=walking)
    assert not [line for line in said if "start from your age" in line]


def test_a_prescription_kept_before_figures_still_loads() -> None:
    kept = to_plain(prescribed())
    for name in ("maximum", "low", "high", "error"):
        del kept["intensity"][name]
    for part in ("risk", "intensity", "placement", "capacity"):
        del kept[part]["worksheet"]["figure"]
        for step in kept[part]["worksheet"]["steps"]:
            del step["low"], step["high"]
            for one in step["inputs"]:
                del one["low"], one["high"]
    loaded = from_plain(Prescription, kept)
    assert loaded.intensity.maximum is None
    assert loaded.intensity.low_bpm == prescribed().intensity.low_bpm

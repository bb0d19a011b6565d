"""The heart-rate range: when it is used, what it is, and which ceiling cuts it."""

from __future__ import annotations

import csv
import json
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haleward.dose.heart_rate import usability_step
from haleward.dose.intensity import set_intensity, shown_range
from haleward.dose.model import Intensity
from haleward.plain import to_plain
from haleward.record import Device, Event, HeartRate, Medicine, Record
from haleward.safety.facts import facts_of
from haleward.safety.protocol import Protocol, default_protocol
from tests.dose.people import IRREGULAR, ON_BETA_BLOCKER, TODAY, WELL, WITH_DEVICE

CHECKS = Path(__file__).parent.parent / "checks" / "dose.csv"
PROTOCOL = default_protocol()


def intensity_of(record: Record, protocol: Protocol = PROTOCOL, **day: bool | float | str) -> Intensity:
    return set_intensity(record, {**facts_of(record, today=TODAY), **day}, protocol=protocol, today=TODAY)


def with_policy(**changes: Any) -> Protocol:
    intensity = replace(PROTOCOL.policies.intensity, **changes)
    return replace(PROTOCOL, policies=replace(PROTOCOL.policies, intensity=intensity))


def rows() -> list[dict[str, str]]:
    with CHECKS.open(encoding="utf-8", newline="") as file:
        return [row for row in csv.DictReader(file) if row["function"].endswith("_bpm")]


def record_for(given: dict[str, Any]) -> Record:
    """The record a check row describes; only what the row names differs from a well person."""
    detection = given.get("detection_bpm")
    return replace(
        WELL,
        born_on=date(TODAY.year - given["age_y"], 1, 1),
        resting_heart_rate=HeartRate(given["resting_bpm"], TODAY),
        medicines=tuple(Medicine(c, c, since=date(2025, 1, 1)) for c in given["medicines"]),
        peak_bpm_on_medicines=given.get("peak_bpm"),
        peak_taken_on=TODAY,
        ischaemic_threshold_bpm=given.get("ischaemic_threshold_bpm"),
        clinician_ceiling_bpm=given.get("clinician_bpm"),
        device=Device("icd", lowest_detection_bpm=detection) if detection else Device("none"),
    )


def policy_for(given: dict[str, Any]) -> Protocol:
    names = {
        "fraction_low": "reserve_fraction_low",
        "fraction_high": "reserve_fraction_high",
        "method": "maximum_method",
        "device_margin_bpm": "device_margin_bpm",
    }
    return with_policy(**{field: given[key] for key, field in names.items() if key in given})


@pytest.mark.parametrize("row", rows(), ids=lambda row: row["case"])
def test_the_range_equals_the_table(row: dict[str, str]) -> None:
    given = json.loads(row["inputs"])
    found = intensity_of(record_for(given), policy_for(given))
    shown = shown_range(found)
    assert shown is not None
    value = {
        "low_bpm": found.low_bpm,
        "high_bpm": found.high_bpm,
        "shown_low_bpm": shown[0],
        "shown_high_bpm": shown[1],
    }[row["function"]]
    assert value == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]) + 1e-9)


@pytest.mark.parametrize(
    ("record", "reason"),
    [
        (IRREGULAR, "your heart beat is uneven"),
        (replace(WELL, rhythm="paced"), "a heart device sets your heart beat"),
        (replace(WELL, rhythm="other"), "your heart beat has its own pattern"),
        (replace(WELL, rhythm=None), "the heart rhythm is not recorded"),
        (replace(WELL, medicines=None), "your medicines are not yet written down"),
        (replace(WELL, device=None), "we have not yet noted if you have a heart device"),
        (replace(WELL, device=Device("pacemaker")), "a heart device sets your heart beat"),
        (replace(WELL, device=Device("crt_p")), "a heart device sets your heart beat"),
        (replace(WELL, device=Device("lvad")), "a heart pump moves your blood"),
        (replace(WELL, events=(Event("transplant", None),)), "a new heart answers slowly when you move"),
        (replace(WELL, events=(Event("lvad", None),)), "a heart pump moves your blood"),
        (
            replace(WELL, device=Device("crt_d")),
            "the lowest rate your heart device treats is not known",
        ),
        (replace(WELL, resting_heart_rate=None), "your resting pulse is not recorded"),
        (replace(WELL, born_on=None), "your date of birth is not recorded"),
        (
            replace(WELL, resting_heart_rate=HeartRate(60, TODAY + timedelta(days=1))),
            "the date of your resting pulse needs a check",
        ),
    ],
)
def test_heart_rate_is_not_used_and_the_reason_is_said(record: Record, reason: str) -> None:
    found = intensity_of(record)
    assert (found.low_bpm, found.high_bpm, found.ceilings) == (None, None, ())
    assert found.not_usable_reason == reason
    assert (found.effort_low, found.effort_high) == (2, 4)


def test_a_pulse_that_the_nerves_do_not_guide_sets_no_range() -> None:
    assert intensity_of(WELL, autonomic_neuropathy=False).low_bpm is not None
    found = intensity_of(WELL, autonomic_neuropathy=True)
    assert (found.low_bpm, found.not_usable_reason) == (None, "your pulse does not show how hard you work")
    older = with_policy(not_usable_facts=None)  # a protocol from before there was such a list
    assert intensity_of(WELL, older, autonomic_neuropathy=True).low_bpm is not None


def test_a_reading_is_valid_up_to_its_last_day_and_not_after() -> None:
    days = PROTOCOL.policies.intensity.reading_valid_days
    last = replace(WELL, resting_heart_rate=HeartRate(60, TODAY - timedelta(days=days)))
    assert intensity_of(last).not_usable_reason == ""
    older = replace(WELL, resting_heart_rate=HeartRate(60, TODAY - timedelta(days=days + 1)))
    assert intensity_of(older).not_usable_reason == "your resting pulse was taken too long ago"


@pytest.mark.parametrize(
    ("since", "reason"),
    [
        (TODAY - timedelta(days=1), ""),
        (
            TODAY,
            "your medicines have changed since your pulse was taken",
        ),  # in the morning, perhaps, and the tablet later
        (TODAY + timedelta(days=1), "your medicines have changed since your pulse was taken"),
        (None, "we do not know when you started bisoprolol"),
    ],
)
def test_a_reading_belongs_to_the_medicines_taken_when_it_was_made(since: date | None, reason: str) -> None:
    medicine = Medicine("beta_blocker", "bisoprolol", "5 mg", since)
    assert intensity_of(replace(WELL, medicines=(medicine,))).not_usable_reason == reason


def test_a_raised_beta_blocker_ends_the_range_until_the_pulse_is_taken_again() -> None:
    before = HeartRate(60, TODAY - timedelta(days=10))
    raised = replace(
        WELL,
        medicines=(Medicine("beta_blocker", "bisoprolol", "5 mg", TODAY - timedelta(days=3)),),
        resting_heart_rate=before,
    )
    assert intensity_of(raised).not_usable_reason == "your medicines have changed since your pulse was taken"
    assert intensity_of(replace(raised, resting_heart_rate=HeartRate(54, TODAY))).low_bpm is not None


def test_a_medicine_that_does_not_touch_the_pulse_does_not_end_the_range() -> None:
    statin = Medicine("statin", "atorvastatin", "80 mg", TODAY)
    assert intensity_of(replace(WELL, medicines=(statin,))).not_usable_reason == ""


def test_no_prediction_is_made_under_ivabradine_but_a_measured_peak_is_used() -> None:
    medicine = Medicine("ivabradine", "ivabradine", "5 mg", date(2025, 1, 1))
    person = replace(WELL, medicines=(medicine,))
    assert "ivabradine changes it" in intensity_of(person).not_usable_reason
    assert intensity_of(replace(person, peak_bpm_on_medicines=130, peak_taken_on=TODAY)).high_bpm == pytest.approx(
        60 + 0.7 * 70
    )


def test_a_measured_peak_goes_before_any_prediction() -> None:
    found = intensity_of(replace(ON_BETA_BLOCKER, peak_bpm_on_medicines=120, peak_taken_on=TODAY))
    assert found.high_bpm == pytest.approx(102)
    assert "measured" in found.method


@pytest.mark.parametrize(
    ("taken_on", "told"),
    [
        (None, "it has no day"),
        (ON_BETA_BLOCKER.medicines[0].since, "began or changed on its day or since"),
        (ON_BETA_BLOCKER.medicines[0].since + timedelta(days=1), ""),
    ],
)
def test_a_measured_peak_holds_for_the_medicines_it_was_measured_on(taken_on: date | None, told: str) -> None:
    predicted = intensity_of(ON_BETA_BLOCKER)
    found = intensity_of(replace(ON_BETA_BLOCKER, peak_bpm_on_medicines=165, peak_taken_on=taken_on))
    said = " ".join(found.worksheet.cautions)
    if told:
        assert found.high_bpm == predicted.high_bpm < 60 + 0.7 * 105
        assert told in said
    else:
        assert found.high_bpm == pytest.approx(ON_BETA_BLOCKER.resting_heart_rate.bpm * 0.3 + 165 * 0.7)
        assert "The measured peak is not used" not in said


def test_answers_of_the_day_can_end_the_range() -> None:
    assert intensity_of(WELL, rhythm_new_irregular=True).low_bpm is None
    assert intensity_of(WELL, meds_changed=True).low_bpm is None


@pytest.mark.parametrize(("peak_bpm", "used"), [(84.9, False), (85, True)])
def test_a_reserve_under_the_limit_is_not_used(peak_bpm: float, used: bool) -> None:
    found = intensity_of(replace(WELL, peak_bpm_on_medicines=peak_bpm))
    assert (found.low_bpm is not None) is used
    if not used:
        assert found.not_usable_reason == "your resting pulse and top pulse are too close"
        assert found.worksheet.steps[-1].result == pytest.approx(24.9)


def test_a_pulse_outside_the_range_of_the_formula_gives_a_reason_not_an_error() -> None:
    found = intensity_of(replace(WELL, resting_heart_rate=HeartRate(135, TODAY), peak_bpm_on_medicines=200))
    assert found.not_usable_reason == "the usual sum for a top pulse does not fit you"


@pytest.mark.parametrize(("margin_bpm", "ceiling_bpm"), [(20, 130), (10, 140)])
def test_a_device_that_treats_from_150_cuts_a_range_of_118_to_146(margin_bpm: float, ceiling_bpm: float) -> None:
    person = replace(
        WITH_DEVICE,
        resting_heart_rate=HeartRate(80 + 2 / 3, TODAY),
        peak_bpm_on_medicines=174,
        peak_taken_on=TODAY,
        clinician_ceiling_bpm=160,
        clinician_ceiling_by="Dr Example",
    )
    found = intensity_of(person, with_policy(device_margin_bpm=margin_bpm))
    assert shown_range(found) == (118, ceiling_bpm)
    assert [(c.origin, c.bpm) for c in found.ceilings] == [("device", ceiling_bpm), ("clinician", 160)]
    assert found.worksheet.result.startswith(f"118 to {ceiling_bpm} bpm")
    uncut = [step for step in found.worksheet.steps if step.title == "Top of the band, before any ceiling"]
    assert len(uncut) == 1
    assert uncut[0].result == pytest.approx(146)
    rest = replace(
        found,
        worksheet=replace(found.worksheet, steps=tuple(step for step in found.worksheet.steps if step is not uncut[0])),
    )
    assert "146" not in json.dumps(to_plain(rest))
    assert "145.9" not in json.dumps(to_plain(rest))


def test_a_ceiling_under_the_range_is_a_conflict_and_the_range_is_not_turned_round() -> None:
    found = intensity_of(replace(WELL, clinician_ceiling_bpm=95, clinician_ceiling_by="Dr Example"))
    assert (found.low_bpm, found.high_bpm) == (None, None)
    assert found.not_usable_reason == ""
    assert "95 bpm (Limit set by Dr Example)" in found.conflict
    assert "101.88 bpm" in found.conflict


def test_a_ceiling_that_leaves_no_whole_beat_is_a_conflict() -> None:
    assert intensity_of(replace(WELL, clinician_ceiling_bpm=101.95)).conflict
    assert shown_range(intensity_of(replace(WELL, clinician_ceiling_bpm=102))) == (102, 102)


def test_every_step_names_its_source_its_rule_and_where_its_inputs_come_from() -> None:
    found = intensity_of(ON_BETA_BLOCKER)
    assert len(found.worksheet.steps) == 6
    for step in found.worksheet.steps:
        assert step.formula
        assert step.source
        assert step.rule_id.startswith("intensity.")
        assert all(one.origin for one in step.inputs)
    assert any("Predictions miss" in caution for caution in found.worksheet.cautions)


@given(
    resting=st.floats(30, 130),
    peak=st.none() | st.floats(60, 230),
    age=st.integers(18, 100),
    detection=st.none() | st.floats(100, 250),
    threshold=st.none() | st.floats(60, 200),
    clinician=st.none() | st.floats(40, 220),
    blocked=st.booleans(),
)
def test_a_range_is_never_over_any_ceiling_and_never_inverted(
    resting: float,
    peak: float | None,
    age: int,
    detection: float | None,
    threshold: float | None,
    clinician: float | None,
    blocked: bool,
) -> None:
    person = replace(
        WELL,
        born_on=date(TODAY.year - age, 1, 1),
        resting_heart_rate=HeartRate(resting, TODAY),
        peak_bpm_on_medicines=peak,
        peak_taken_on=TODAY,
        ischaemic_threshold_bpm=threshold,
        clinician_ceiling_bpm=clinician,
        medicines=ON_BETA_BLOCKER.medicines if blocked else (),
        device=Device("icd", lowest_detection_bpm=detection) if detection else Device("none"),
    )
    found = intensity_of(person)
    shown = shown_range(found)
    assert bool(found.not_usable_reason) + bool(found.conflict) + (shown is not None) == 1
    if shown is None or found.low_bpm is None or found.high_bpm is None:
        return
    assert resting < found.low_bpm <= shown[0] <= shown[1] <= found.high_bpm
    assert found.high_bpm == min(ceiling.bpm for ceiling in found.ceilings)
    assert detection is None or found.high_bpm <= detection - 20
    assert threshold is None or found.high_bpm <= threshold - 10
    assert clinician is None or found.high_bpm <= clinician


def test_a_heart_rate_that_is_not_used_shows_what_was_looked_at():
    record = Record("p", "Wren", date(2026, 11, 2), rhythm="atrial_fibrillation", medicines=())
    policy = default_protocol().policies.intensity
    step = usability_step(record, "your heart beat is uneven", policy=policy)
    assert step.result == "no: your heart beat is uneven"
    assert {line.name: line.value for line in step.inputs}["Rhythm"] == "atrial fibrillation"
    assert step.source
    intensity = set_intensity(record, {}, protocol=default_protocol(), today=date(2026, 11, 2))
    assert [line.title for line in intensity.worksheet.steps] == ["Can heart rate be used?"]

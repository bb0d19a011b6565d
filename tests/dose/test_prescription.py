"""A prescription ties capacity, risk, gate, intensity and placement of one day together."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from haleward.capacity.model import Capacity
from haleward.dose.model import Prescription
from haleward.dose.prescription import prescribe
from haleward.errors import HalewardError
from haleward.movement.library import default_library
from haleward.plain import from_plain, to_plain
from haleward.record import BloodPressure, DayCheck, Record
from haleward.safety.protocol import default_protocol
from haleward.wording import default_wording
from tests.dose.people import IRREGULAR, TODAY, WELL, WITH_DEVICE

PROTOCOL, LIBRARY = default_protocol(), default_library()


def prescription_of(record: Record, day_check: DayCheck | None = None) -> Prescription:
    return prescribe(record, protocol=PROTOCOL, library=LIBRARY, today=TODAY, day_check=day_check)


def test_everything_is_computed_under_one_protocol_version() -> None:
    found = prescription_of(WELL)
    assert (found.protocol_id, found.protocol_version) == (PROTOCOL.id, PROTOCOL.version)
    assert (found.gate.protocol_id, found.gate.protocol_version) == (PROTOCOL.id, PROTOCOL.version)
    assert isinstance(found.capacity, Capacity)
    assert found.made_on == TODAY


def test_the_walk_test_feeds_the_risk_level() -> None:
    low = prescription_of(IRREGULAR)
    assert isinstance(low.capacity, Capacity)
    assert low.capacity.energy_met.value < 5
    assert any("fc_mets" in dict(item.inputs) for item in low.risk.items)
    assert "fc_mets" not in low.risk.missing
    assert not any("fc_mets" in dict(item.inputs) for item in prescription_of(replace(IRREGULAR, walk=None)).risk.items)


def test_an_entered_capacity_goes_before_the_walk() -> None:
    entered = replace(IRREGULAR, answers={**IRREGULAR.answers, "fc_mets": 8, "fc_mets_basis": "measured"})
    assert not any("fc_mets" in dict(item.inputs) for item in prescription_of(entered).risk.items)


def test_a_day_check_can_stop_the_day_and_end_the_range() -> None:
    check = DayCheck(datetime(2026, 3, 2, 9, tzinfo=UTC), {"chest_pain_now": True, "meds_changed": True})
    found = prescription_of(WELL, check)
    assert found.gate.outcome == "not_today"
    assert found.intensity.low_bpm is None
    assert prescription_of(WELL).gate.outcome != "not_today"


def test_a_reading_taken_today_outside_the_limits_stops_the_day_without_a_day_check() -> None:
    high = BloodPressure(192, 84, TODAY)
    assert prescription_of(replace(WELL, blood_pressure=high)).gate.outcome == "not_today"
    last_week = replace(high, taken_on=TODAY - timedelta(days=7))
    assert prescription_of(replace(WELL, blood_pressure=last_week)).gate.outcome == prescription_of(WELL).gate.outcome
    assert prescription_of(WELL).gate.outcome != "not_today"


def test_missing_answers_never_give_a_go_ahead() -> None:
    found = prescription_of(Record("P-0", "Dee", TODAY))
    assert found.gate.outcome != "go_ahead"
    assert found.gate.missing
    assert found.placement.posture == "seated"
    assert found.intensity.not_usable_reason == "the heart rhythm is not recorded"


@pytest.mark.parametrize("record", [WELL, IRREGULAR, WITH_DEVICE], ids=["well", "irregular", "device"])
def test_a_prescription_is_stored_and_read_back_unchanged(record: Record) -> None:
    found = prescription_of(record)
    assert from_plain(Prescription, json.loads(json.dumps(to_plain(found)))) == found


def test_a_protocol_that_names_no_known_method_says_so() -> None:
    intensity = replace(PROTOCOL.policies.intensity, maximum_method="maximum_bpm_guess")
    protocol = replace(PROTOCOL, policies=replace(PROTOCOL.policies, intensity=intensity))
    with pytest.raises(HalewardError, match="There is no formula 'maximum_bpm_guess'"):
        prescribe(WELL, protocol=protocol, library=LIBRARY, today=TODAY)


def test_the_reasons_finish_the_persons_sentence_in_short_plain_words() -> None:
    """They are read as "We do not use heart rate for you, because ..."."""
    for clause in map(default_wording().template, sorted(REASON_KEYS)):
        assert clause[0].islower() or clause.startswith("{")
        assert not clause.endswith(".")
        assert len(clause.split()) <= 15
        assert not re.search(r"[;:()!–—-]", clause)


REASON_KEYS = {
    *("hr_rhythm_unknown", "hr_rhythm_atrial_fibrillation", "hr_rhythm_paced", "hr_rhythm_other", "hr_rhythm_new"),
    *("hr_event_transplant", "hr_event_lvad", "hr_device_unknown", "hr_device_pacing", "hr_device_lvad"),
    *("hr_detection_unknown", "hr_medicines_unknown", "hr_medicine_since_unknown", "hr_medicine_changed"),
    *("hr_rest_missing", "hr_rest_old", "hr_rest_future", "hr_age_unknown", "hr_sex_unknown", "hr_no_prediction"),
    *("hr_method_range", "hr_reserve_small"),
}

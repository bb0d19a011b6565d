"""Plain values survive the way to JSON and back."""

import json
from datetime import UTC, date, datetime

import pytest

from haleward.dose.log import SessionLog, SetLog
from haleward.errors import Inconsistent
from haleward.plain import from_plain, to_plain
from haleward.record import DayCheck, Device, Medicine, Record, Restriction


def test_a_record_comes_back_as_it_went() -> None:
    record = Record(
        person_id="p-1",
        first_name="Wren",
        assessed_on=date(2026, 11, 2),
        born_on=date(1954, 2, 28),
        medicines=(Medicine("beta_blocker", "bisoprolol", "2.5 mg", date(2026, 9, 1)),),
        device=Device("icd", lowest_detection_bpm=170),
        restrictions=(
            Restriction("shoulder", "No lift over shoulder", "A", date(2026, 9, 1), date(2026, 12, 1), "left"),
        ),
        answers={"chf_present": False, "lvef_pct": 55, "aortic_stenosis": "none", "falls_12m": 0.0},
    )
    assert from_plain(Record, json.loads(json.dumps(to_plain(record)))) == record


def test_a_log_and_a_day_check_come_back_as_they_went() -> None:
    at = datetime(2026, 11, 2, 10, 30, tzinfo=UTC)
    log = SessionLog("s-1", 1, "one", at, sets=(SetLog("biceps_curl", 0, 1, 10, 4.0),), symptoms=("faint",))
    check = DayCheck(at, {"chest_pain_now": False})
    assert from_plain(SessionLog, json.loads(json.dumps(to_plain(log)))) == log
    assert from_plain(DayCheck, json.loads(json.dumps(to_plain(check)))) == check


def test_a_fault_is_named_in_one_sentence() -> None:
    with pytest.raises(Inconsistent, match="not a Record"):
        from_plain(Record, {"person_id": "p-1", "colour": "blue"})

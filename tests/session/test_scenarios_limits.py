"""Scenarios about limits at home, on paper and in the log: P-002, P-004, P-013, P-015, P-017, P-030."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from haleward.dose.model import Programme
from haleward.dose.prescription import prescribe
from haleward.dose.programme import draft_programme
from haleward.dose.progression import propose
from haleward.movement.library import default_library
from haleward.plain import to_plain
from haleward.record import Device, Event, HeartRate, Record, WalkTest
from haleward.render.booklet import _log_data
from haleward.safety.gate import session_gate
from haleward.safety.protocol import default_protocol
from haleward.safety.recheck import Taken, decide
from haleward.session.compile import WALK, compile_session
from haleward.session.cue_sheet import CueSheet
from haleward.wording import WORDING_FOLDER, default_wording
from tests.dose.diary import done
from tests.dose.people import ANSWERS, TODAY, WELL
from tests.safety.people import ENTRY, HALL
from tests.session.samples import SERVICE

PROTOCOL, LIBRARY, WORDING = default_protocol(), default_library(), default_wording()


def plan_of(record: Record) -> Programme:
    made = prescribe(record, protocol=PROTOCOL, library=LIBRARY, today=TODAY)
    plan = draft_programme(record, made, protocol=PROTOCOL, library=LIBRARY, today=TODAY, version=1)
    return replace(plan, made_on=TODAY - timedelta(days=10), signed_by="Lead", signed_on=TODAY - timedelta(days=10))


def sheet_of(record: Record, part_key: str) -> CueSheet:
    made = prescribe(record, protocol=PROTOCOL, library=LIBRARY, today=TODAY)
    return compile_session(
        plan_of(record),
        part_key,
        record,
        protocol=PROTOCOL,
        library=LIBRARY,
        wording=WORDING,
        service=SERVICE,
        made_on=TODAY,
        intensity=made.intensity,
    )


def kinds(record: Record, *, effort: float, heart_rate_bpm: int | None, plan: Programme | None = None) -> set[str]:
    """The rules behind what is proposed after two sessions."""
    plan = plan or plan_of(record)
    logs = tuple(
        done(plan, days_ago=days, effort=effort, origin="staff", heart_rate_bpm=heart_rate_bpm) for days in (7, 3)
    )
    found = propose(plan, logs, record, protocol=PROTOCOL, library=LIBRARY, today=TODAY)
    return {one.rule_id for one in found} | {one.kind for one in found}


PACED = replace(WELL, rhythm="paced", device=Device("pacemaker", implanted_on=date(2022, 5, 1)))


@pytest.mark.parametrize("part_key", ["one", WALK])
def test_p_002_a_paced_person_is_told_effort_and_never_a_rate(part_key: str) -> None:
    sheet = sheet_of(PACED, part_key)
    assert sheet.rate_ceiling == ""
    assert any("a heart device sets your heart beat" in line for line in sheet.how_hard)
    assert any("talk" in line.lower() for line in sheet.how_hard)
    assert not re.search(r"beats a minute|bpm", " ".join(sheet.how_hard))


def test_p_002_a_paced_heart_rate_is_never_flagged_as_too_low() -> None:
    assert "progression.mismatch" in kinds(WELL, effort=8, heart_rate_bpm=60)
    assert "progression.mismatch" not in kinds(PACED, effort=8, heart_rate_bpm=60)
    assert "progression.mismatch" not in kinds(PACED, effort=2, heart_rate_bpm=170)


NO_PULSE = replace(WELL, answers={**ANSWERS, "can_self_monitor": False, "autonomic_neuropathy": True})


def test_p_004_who_cannot_count_a_pulse_is_not_asked_for_one_on_paper() -> None:
    values = {**PROTOCOL.wording_values, **SERVICE.values, "effort_low": "3", "effort_high": "5"}
    plan, sheet = plan_of(NO_PULSE), sheet_of(NO_PULSE, "one")
    counting = replace(sheet, rate_ceiling="130")
    told = {"wording": WORDING, "values": values}
    able = replace(NO_PULSE, answers={**NO_PULSE.answers, "can_self_monitor": True})
    assert _log_data(counting, NO_PULSE, plan, **told) != _log_data(counting, able, plan, **told)
    assert sheet.rate_ceiling == ""
    assert any("your pulse does not show how hard you work" in line for line in sheet.how_hard)


def test_p_004_a_missing_heart_rate_stays_missing_and_effort_decides() -> None:
    plan = plan_of(NO_PULSE)
    logs = tuple(done(plan, days_ago=days, effort=3, origin="staff") for days in (7, 3))
    found = propose(plan, logs, NO_PULSE, protocol=PROTOCOL, library=LIBRARY, today=TODAY)
    assert any(one.kind.startswith("raise") for one in found)
    assert not any(re.search(r"bpm|heart rate \d", " ".join(one.used)) for one in found)


FIT = replace(
    WELL,
    born_on=date(1978, 1, 1),
    sex="male",
    new_to_exercise=False,
    walk=WalkTest("six_minute_walk", 760, TODAY, course_m=30, practice_done=True, symptoms=False),
    answers={**ANSWERS, "fc_mets": 12.0, "fc_mets_basis": "test"},
)


def test_p_013_a_fit_person_has_a_whole_programme_with_warm_up_and_cool_down() -> None:
    plan = plan_of(FIT)
    assert all(len(part.exercises) > PROTOCOL.policies.dose.new_movements_most for part in plan.parts)
    assert (plan.walking.bouts, plan.walking.bout_minutes) == (1, PROTOCOL.policies.dose.walking_minutes)
    stages = {block.kind for block in sheet_of(FIT, "one").blocks}
    assert {"warm_up", "cool_down"} <= stages


def test_p_013_effort_8_is_eased_and_never_praised() -> None:
    found = kinds(FIT, effort=8, heart_rate_bpm=None)
    assert "ease" in found
    assert not any(kind.startswith("raise") for kind in found)
    told = [WORDING.template(key) for key in WORDING.keys if key.startswith(("effort_too_hard", "early_hard", "hard_"))]
    assert len(told) >= 4
    assert not any(re.search(r"well done|great|excellent|good work", line, re.IGNORECASE) for line in told)


WITH_DEVICE = replace(
    WELL,
    born_on=date(1969, 1, 1),
    device=Device("icd", lowest_detection_bpm=150, implanted_on=date(2024, 5, 1), read_on=date(2026, 2, 1)),
    resting_heart_rate=HeartRate(60, TODAY, "counted 60 s, seated 5 min"),
    peak_bpm_on_medicines=183.0,
    peak_taken_on=TODAY,
)


@pytest.mark.parametrize("part_key", ["one", WALK])
def test_p_015_a_range_cut_below_a_device_shows_its_old_top_nowhere(part_key: str) -> None:
    """Rest 60 and peak 183 give 109 to 146; the device treats from 150 and the margin is 20: 130 is the most."""
    sheet = sheet_of(WITH_DEVICE, part_key)
    assert sheet.rate_ceiling == "130"
    shown = json.dumps(to_plain(sheet)) + json.dumps(to_plain(plan_of(WITH_DEVICE)))
    assert not re.search(r"\b146\b", shown)
    assert not re.search(r"\b14\d beats", shown)
    assert any("130" in line for line in sheet.how_hard)
    without = replace(WITH_DEVICE, device=Device("none"))
    assert sheet_of(without, part_key).rate_ceiling == "146"


SCAD = replace(WELL, born_on=date(1990, 1, 1), events=(Event("scad", date(2025, 12, 1), sternotomy=False),))


def test_p_017_nobody_is_told_to_lift_nothing_without_a_clinicians_entry() -> None:
    loads = [one.dose.load.kit for part in plan_of(SCAD).parts for one in part.exercises]
    assert any(kit != "own_weight" for kit in loads)
    for path in sorted(WORDING_FOLDER.glob("*.csv")):
        with path.open(encoding="utf-8", newline="") as file:
            text = file.read()
        assert not re.search(r"lift nothing|never lift|do not lift anything", text, re.IGNORECASE), path.name
    assert WORDING.has_key("note_professional")


def test_p_030_a_high_pressure_and_rate_are_rested_read_again_and_say_why() -> None:
    day = {name: value for name, value in HALL.items() if name not in ENTRY}
    noon = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)
    high = Taken(noon, {**day, "sbp_rest": 186, "dbp_rest": 98, "hr_rest": 104})
    calm = Taken(noon + timedelta(minutes=10), {**day, "sbp_rest": 150, "dbp_rest": 84, "hr_rest": 88})

    def gate_of(answers):  # type: ignore[no-untyped-def]
        return session_gate({**ENTRY, **answers}, PROTOCOL)

    first = decide(high, [], gate_of=gate_of, protocol=PROTOCOL)
    assert first.outcome == "not_today"
    assert {"R023", "R032"} <= {one.rule_id for one in first.fired}
    assert all(one.text for one in first.fired)  # never a silent block
    early = replace(calm, at=noon + timedelta(minutes=9))
    assert decide(early, [high], gate_of=gate_of, protocol=PROTOCOL).outcome == "not_today"  # nor a silent pass
    assert decide(calm, [high], gate_of=gate_of, protocol=PROTOCOL).outcome == "go_ahead"

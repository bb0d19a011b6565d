"""Scenarios of the reference about the next step: two hands on a plan, a carer who logs, effort that does not fit."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from haleward.dose.log import SessionLog
from haleward.dose.model import Load
from haleward.dose.options import options_for
from haleward.dose.prescription import prescribe
from haleward.dose.programme import check_programme, exercise_for
from haleward.dose.progression import accept
from haleward.record import Restriction
from tests.dose.diary import done
from tests.dose.people import TODAY, WELL
from tests.dose.test_progression import GOOD, LIBRARY, PLAN, PROTOCOL, proposals, raises, with_progression


def told(*, effort: float, heart_rate_bpm: int | None) -> tuple[SessionLog, SessionLog]:
    """Two sessions at one effort, each with the heart rate at its end."""
    return tuple(  # type: ignore[return-value]
        done(PLAN, days_ago=days, effort=effort, origin="staff", heart_rate_bpm=heart_rate_bpm) for days in (7, 3)
    )


RANGE = prescribe(WELL, protocol=PROTOCOL, library=LIBRARY, today=TODAY).intensity
assert RANGE.low_bpm is not None
assert RANGE.high_bpm is not None
TOP, MIDDLE = int(RANGE.high_bpm), int((RANGE.low_bpm + RANGE.high_bpm) / 2)


@pytest.mark.parametrize(("effort", "heart_rate_bpm"), [(1, TOP + 1), (2, TOP + 5), (7, MIDDLE - 1), (9, 60)])
def test_p_035_and_p_036_effort_and_heart_rate_that_do_not_fit_raise_nothing(
    effort: float, heart_rate_bpm: int
) -> None:
    """Always light with a high heart rate, or very hard with a low one: flagged, effort taught anew, no raise."""
    found = proposals(*told(effort=effort, heart_rate_bpm=heart_rate_bpm))
    (flag,) = [one for one in found if one.rule_id == "progression.mismatch"]
    assert (flag.kind, flag.changes) == ("review", False)
    assert flag.reason == (
        f"Hold: effort {effort} does not fit heart rate {heart_rate_bpm}. Check sensor, medicines and effort teaching."
    )
    assert not raises(found)


@pytest.mark.parametrize(("effort", "heart_rate_bpm"), [(2, TOP), (3, TOP + 20), (3, None), (2, 60)])
def test_effort_and_heart_rate_that_fit_hold_nothing(effort: float, heart_rate_bpm: int | None) -> None:
    found = proposals(*told(effort=effort, heart_rate_bpm=heart_rate_bpm))
    assert raises(found)
    assert not [one for one in found if one.rule_id == "progression.mismatch"]


def test_a_later_session_that_fits_ends_the_flag_and_a_protocol_may_leave_it_out() -> None:
    high = told(effort=2, heart_rate_bpm=TOP + 5)
    later = done(PLAN, days_ago=1, effort=3, origin="staff", heart_rate_bpm=TOP - 5)
    assert raises(proposals(*high, later))
    without = with_progression(mismatch_effort_light=None, mismatch_effort_hard=None)
    assert raises(proposals(*high, protocol=without))


def test_p_029_the_nurses_note_wins_over_the_movement_a_lead_added() -> None:
    """No arm over the head until the device check: the press may not be signed, the note's author and day are told."""
    before = prescribe(WELL, protocol=PROTOCOL, library=LIBRARY, today=TODAY)
    press = options_for(WELL, before, protocol=PROTOCOL, library=LIBRARY, only=("overhead_press",)).find(
        "overhead_press"
    )
    assert press is not None
    added = exercise_for(press, press.start, before.placement, library=LIBRARY, policy=PROTOCOL.policies.dose)
    part = PLAN.parts[0]
    plan = replace(PLAN, parts=(replace(part, exercises=(added, *part.exercises[1:])), PLAN.parts[1]))
    told_on = TODAY - timedelta(days=1)
    note = Restriction("no_overhead", "No arm over the head until the device check", "Nurse N", told_on, TODAY)
    person = replace(WELL, restrictions=(note,))
    after = prescribe(person, protocol=PROTOCOL, library=LIBRARY, today=TODAY)
    against = check_programme(plan, person, after, protocol=PROTOCOL, library=LIBRARY)
    assert any("Nurse N" in one and "1 March 2026" in one for one in against)
    found = proposals(*(done(plan, days_ago=days) for days in (7, 3)), programme=plan, record=person)
    assert found[0].kind == "swap"
    assert "Nurse N" in found[0].reason
    assert found[0].replacement is not None
    assert found[0].replacement.movement_id != "overhead_press"
    assert not raises(found)


def test_p_033_a_carers_log_counts_as_told_and_never_changes_what_comes_when() -> None:
    """Mild memory loss: the wife logs; the order of the day stays, no exercise is swapped for variety."""
    carers = tuple(replace(log, origin="carer") for log in GOOD)
    found = proposals(*carers)
    assert {one.kind for one in raises(found)} == {"raise_repetitions"}  # a load needs a session that staff saw
    assert all("carer" in line for line in raises(found)[0].used)
    plan, order = PLAN, [[e.movement_id for e in part.exercises] for part in PLAN.parts]
    for number, up in enumerate(raises(found)):
        plan = accept(plan, up, version=4 + number, made_on=TODAY)
    assert [[e.movement_id for e in part.exercises] for part in plan.parts] == order
    assert [part.days for part in plan.parts] == [part.days for part in PLAN.parts]
    assert not [one for one in found if one.replacement is not None]


def test_a_carers_easy_reports_never_find_a_load() -> None:
    light = tuple(done(PLAN, days_ago=days, effort=1, origin="carer") for days in (7, 3))
    loads = [one for one in raises(proposals(*light)) if one.after and one.before and one.after.load != one.before.load]
    assert loads == []
    assert Load("bottle", 0.5) in [e.dose.load for part in PLAN.parts for e in part.exercises]


def test_every_test_that_the_table_of_scenarios_names_exists() -> None:
    root = Path(__file__).parents[2]
    named = re.findall(r"(tests/[\w/]+\.py)::(\w+)", (root / "docs/scenarios.md").read_text("utf-8"))
    assert len(named) > 12
    missing = [name for file, name in named if f"\ndef {name}(" not in (root / file).read_text("utf-8")]
    assert missing == []

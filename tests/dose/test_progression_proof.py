"""What must hold from every state: bad news never leads to more, and no state is a dead end."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time, timedelta
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from haleward.dose.log import WALK, Proposal, SessionLog, SetLog
from haleward.dose.model import Programme
from haleward.dose.progression import accept, ease_down, propose
from haleward.record import HeartRate, Medicine, Record
from tests.dose.course_faults import raised_fields, walk_changes, weekly
from tests.dose.people import TODAY, WELL
from tests.dose.test_progression_properties import (
    LIBRARY,
    PROTOCOL,
    as_planned,
    next_steps,
    prepared,
    raised,
    situations,
)

PERSON = prepared(replace(WELL, exercise_days=()))
TOP = ("progression.limits", "progression.small_muscle_step_kg", "progression.load_step_most_kg", "progression.swap")
BAD = ("symptom", "very hard", "too hard by the 4th", "sore", "stopped")


def walk(programme: Programme, session_id: str, *, days_ago: int, **changes: Any) -> SessionLog:
    """A walk as planned, easily."""
    bouts = range(1, programme.walking.bouts + 1)
    sets = tuple(SetLog(programme.walking.movement_id, 0, number, None, 2.0) for number in bouts)
    started_at = datetime.combine(TODAY - timedelta(days=days_ago), time(18))
    log = SessionLog(session_id, programme.version, WALK, started_at, origin="staff", sets=sets)
    return replace(log, **changes)


def easier_or_equal(proposal: Proposal) -> bool:
    """Whether nothing in what the proposal asks for is more than before."""
    if proposal.before is not None and proposal.after is not None:
        return not raised_fields(proposal.before, proposal.after)
    if proposal.walking_before is not None and proposal.walking_after is not None:
        return weekly(proposal.walking_after) <= weekly(proposal.walking_before)
    return True


@st.composite
def bad_reports(draw: st.DrawFn) -> tuple[Any, Programme, tuple[SessionLog, ...]]:
    """Any situation, and on top of it a session of today that went badly."""
    one, programme, logs = draw(situations())
    part, what = draw(st.sampled_from(programme.parts)), draw(st.sampled_from(BAD))
    log = replace(as_planned(programme, part, "bad", days_ago=0, origin="person"), started_at=_tonight())
    sets = {
        "very hard": tuple(replace(s, effort=9.0) for s in log.sets),
        "too hard by the 4th": tuple(replace(s, repetitions=4, effort=8.0, feel="too_hard") for s in log.sets),
        "stopped": (),
    }
    bad = replace(
        log,
        sets=sets.get(what, log.sets),
        symptoms=("chest discomfort",) if what == "symptom" else (),
        stopped_by_check=what == "stopped",
        sore_days=6 if what == "sore" else None,
    )
    return one, programme, (*logs, bad)


def _tonight() -> datetime:
    return datetime.combine(TODAY, time(23))


@settings(max_examples=80, deadline=None)
@given(bad_reports())
def test_after_a_bad_report_the_part_is_never_raised_and_everything_asked_for_is_equal_or_easier(
    situation: Any,
) -> None:
    found = next_steps(*situation)
    bad = situation[2][-1]
    assert not [up for up in raised(found) if up.part_key == bad.part_key]
    if bad.symptoms or bad.stopped_by_check or bad.sore_days:
        assert not raised(found)
    assert all(easier_or_equal(one) for one in found if one.kind in ("ease", "step_back"))


@settings(max_examples=60, deadline=None)
@given(situations(), st.sampled_from(("gate", "expired", "medicine", "symptom before")))
def test_no_raise_with_a_shut_gate_an_expired_range_a_changed_medicine_or_a_symptom(situation: Any, what: str) -> None:
    one, programme, logs = situation
    record: Record = one[0]
    if what == "gate":
        record = replace(record, answers={**record.answers, "acute_dissection": True})
    elif what == "expired":
        record = replace(record, rhythm="sinus", resting_heart_rate=HeartRate(60, TODAY - timedelta(days=40)))
    elif what == "medicine":
        changed = Medicine("beta_blocker", "bisoprolol", "5 mg", TODAY - timedelta(days=1))
        record = replace(record, medicines=(changed,), resting_heart_rate=HeartRate(60, TODAY - timedelta(days=3)))
    else:
        early = as_planned(programme, programme.parts[0], "unwell", days_ago=20, origin="person")
        logs = (replace(early, symptoms=("dizziness",)), *logs)
    assert not raised(propose(programme, logs, record, protocol=PROTOCOL, library=LIBRARY, today=TODAY))


def test_a_symptom_of_an_earlier_version_stands_until_it_is_settled() -> None:
    record, _, _, plan = PERSON
    unwell = replace(as_planned(plan, plan.parts[0], "unwell", days_ago=9, origin="staff"), symptoms=("dizziness",))
    later = replace(plan, version=4)
    good = tuple(as_planned(later, later.parts[0], f"g{days}", days_ago=days, origin="staff") for days in (6, 2))
    told = {"protocol": PROTOCOL, "library": LIBRARY, "today": TODAY, "earlier": (plan,)}
    assert not raised(propose(later, (unwell, *good), record, settled=(), **told))
    assert raised(propose(later, (unwell, *good), record, settled=("unwell",), **told))
    assert not raised(
        propose(later, (good[0], replace(unwell, started_at=_tonight()), good[1]), record, settled=("unwell",), **told)
    )


@settings(max_examples=25, deadline=None)
@given(situations())
def test_no_state_is_a_dead_end(situation: Any) -> None:
    """Whatever happened, easy sessions week by week, seen by staff, lead to a raise or to the top of every line."""
    one, programme, logs = situation
    record, earlier, kinds = one[0], (), set()
    settled = {log.session_id for log in logs}  # somebody looked at everything that was reported
    for week in range(1, 9):
        today = TODAY + timedelta(days=7 * week)
        record = replace(record, resting_heart_rate=HeartRate(60, today))
        logs = (*logs, *_week(programme, today))
        found = propose(
            programme, logs, record, protocol=PROTOCOL, library=LIBRARY, today=today, earlier=earlier, settled=settled
        )
        kinds |= {p.kind for p in found}
        if raised(found) or all(p.rule_id in TOP for p in found if p.part_key):
            return
        changing = next((p for p in found if p.changes), None)
        if changing is not None:
            after = accept(programme, changing, version=programme.version + 1, made_on=today)
            earlier, programme = (programme, *earlier), after
    raise AssertionError(f"Eight good weeks led nowhere: {sorted(kinds)}")


def _week(programme: Programme, today: date) -> tuple[SessionLog, ...]:
    days_ago = (TODAY - today).days
    strength = (
        as_planned(programme, part, f"{part.key}-{today}", days_ago=days_ago + 2, origin="staff")
        for part in programme.parts
    )
    return (*strength, walk(programme, f"walk-{today}", days_ago=days_ago + 1))


@settings(max_examples=40, deadline=None)
@given(situations())
def test_a_person_may_always_ease_down(situation: Any) -> None:
    one, programme, _ = situation
    places = [(part.key, index) for part in programme.parts for index in range(len(part.exercises))]
    for part_key, index in [*places, (WALK, -1)]:
        wish = ease_down(programme, part_key, index, one[0], protocol=PROTOCOL, library=LIBRARY, today=TODAY)
        assert wish.kind == ("ease" if wish.changes else "review")
        assert easier_or_equal(wish)
        if wish.changes:
            accept(programme, wish, version=programme.version + 1, made_on=TODAY)


def walking_raise(plan: Programme, *logs: SessionLog) -> Proposal:
    found = propose(plan, logs, PERSON[0], protocol=PROTOCOL, library=LIBRARY, today=TODAY)
    return next(p for p in found if p.part_key == WALK)


@pytest.mark.parametrize(
    ("bouts", "minutes", "days", "what"),
    [
        (2, 5, 3, "minutes"),
        (2, 10, 3, "join"),
        (1, 20, 3, "minutes"),
        (1, 30, 3, "days"),
        (1, 30, 5, "pace"),
    ],
)
def test_walking_goes_by_minutes_then_bouts_joined_then_days_then_pace(
    bouts: int, minutes: int, days: int, what: str
) -> None:
    plan = _walking(bouts, minutes, days)
    up = walking_raise(plan, walk(plan, "w1", days_ago=4), walk(plan, "w2", days_ago=2))
    assert up.kind == "raise_minutes"
    assert up.walking_before is not None
    assert up.walking_after is not None
    assert walk_changes(up.walking_before, up.walking_after) == (what,)
    after = accept(plan, up, version=4, made_on=TODAY).walking
    assert after == replace(up.walking_after, reasons=(*plan.walking.reasons, up.reason))


def test_a_faster_pace_needs_a_walk_seen_by_staff_and_hard_walks_ease() -> None:
    plan = _walking(1, 30, 5)
    alone = [walk(plan, f"w{days}", days_ago=days, origin="person") for days in (4, 2)]
    assert walking_raise(plan, *alone).rule_id == "progression.self_report_raises_load"
    hard = [replace(log, sets=tuple(replace(s, effort=7.0) for s in log.sets)) for log in alone]
    eased = walking_raise(plan, *hard)
    assert eased.kind == "ease"
    assert eased.walking_after is not None
    assert (eased.walking_after.pace_km_per_h or 9) < (plan.walking.pace_km_per_h or 0)
    short = [replace(log, sets=tuple(replace(s, minutes=12.0) for s in log.sets)) for log in alone]
    assert walking_raise(plan, *short).rule_id == "progression.all_sets_done"


def test_a_protocol_without_the_rule_proposes_nothing_for_walking() -> None:
    plan = _walking(1, 20, 3)
    older = replace(PROTOCOL.policies.progression, walking_order=None)
    protocol = replace(PROTOCOL, policies=replace(PROTOCOL.policies, progression=older))
    logs = (walk(plan, "w1", days_ago=4), walk(plan, "w2", days_ago=2))
    found = propose(plan, logs, PERSON[0], protocol=protocol, library=LIBRARY, today=TODAY)
    assert not [p for p in found if p.part_key == WALK]


def _walking(bouts: int, minutes: int, days: int) -> Programme:
    week = ("monday", "tuesday", "wednesday", "thursday", "friday")[:days]
    _, _, _, plan = PERSON
    walking = replace(plan.walking, bouts=bouts, bout_minutes=minutes, days=week, rest_minutes=3 if bouts > 1 else 0)
    return replace(plan, walking=walking)

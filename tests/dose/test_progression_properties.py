"""What must never happen, over generated programmes and logs."""

from __future__ import annotations

from dataclasses import asdict, replace
from datetime import datetime, time, timedelta
from itertools import pairwise
from random import Random
from typing import Any

import pytest
from hypothesis import Phase, find, given, settings
from hypothesis import strategies as st

from haleward.dose.evidence import exercised
from haleward.dose.loads import as_mass_kg
from haleward.dose.log import Origin, Proposal, SessionLog, SetLog
from haleward.dose.model import Dose, Exercise, Part, Programme
from haleward.dose.options import options_for
from haleward.dose.prescription import prescribe
from haleward.dose.programme import check_programme, draft_programme, exercise_for
from haleward.dose.progression import accept, propose
from haleward.movement.library import default_library
from haleward.record import Record, Restriction
from haleward.safety.protocol import default_protocol
from tests.dose.people import HOME, IRREGULAR, TODAY, WELL, WITH_DEVICE
from tests.dose.test_scenarios_frail import FRAIL, WEAK_HEART

PROTOCOL, LIBRARY = default_protocol(), default_library()
DOSING, PROGRESSING = PROTOCOL.policies.dose, PROTOCOL.policies.progression
LIMITED = replace(
    WELL,
    restrictions=(
        Restriction("other", "Half a kilo", "Dr D", TODAY - timedelta(days=60), TODAY, load_limit_kg=0.5),
        Restriction("shoulder", "Left shoulder", "Nurse N", TODAY - timedelta(days=60), TODAY),
    ),
)
PEOPLE: tuple[Record, ...] = (
    replace(WELL, kit=replace(HOME, hand_weight_pairs_kg=(0.25, 1.5, 3.0))),
    IRREGULAR,
    WITH_DEVICE,
    LIMITED,
    FRAIL,
    WEAK_HEART,
)
SETS = st.builds(
    lambda number, repetitions, effort, feel: (number, repetitions, effort, feel),
    st.integers(1, 3),
    st.none() | st.integers(0, 20),
    st.none() | st.sampled_from((0, 1, 2, 3, 3.5, 4, 4.01, 5, 6, 10)),
    st.sampled_from(("", "", "", "", "too_hard", "too_easy", "skipped")),
)


def prepared(record: Record) -> tuple[Record, Any, Any, Programme]:
    prescription = prescribe(record, protocol=PROTOCOL, library=LIBRARY, today=TODAY)
    options = options_for(record, prescription, protocol=PROTOCOL, library=LIBRARY)
    plan = draft_programme(
        record, prescription, protocol=PROTOCOL, library=LIBRARY, today=TODAY - timedelta(days=30), version=3
    )
    return record, prescription, options, plan


PREPARED = [prepared(record) for record in PEOPLE]


@st.composite
def situations(draw: st.DrawFn) -> tuple[Any, Programme, tuple[SessionLog, ...]]:
    """A person, a programme that may be signed for them, and what they logged."""
    one = draw(st.sampled_from(PREPARED))
    _, prescription, options, plan = one
    parts = []
    for part in plan.parts:
        exercises = []
        for old in draw(st.lists(st.sampled_from(part.exercises), min_size=1, max_size=2, unique=True)):
            option = options.find(old.movement_id)
            choice = draw(st.sampled_from(option.choices))
            new = exercise_for(option, choice, prescription.placement, library=LIBRARY, policy=DOSING)
            exercises.append(replace(new, dose=draw(doses(new))))
        parts.append(replace(part, exercises=tuple(exercises)))
    programme = replace(plan, parts=tuple(parts))
    paused = draw(st.sampled_from((0, 0, 0, 0, 15, 28)))
    logs = tuple(draw(session(programme, number, paused)) for number in range(draw(st.integers(0, 5))))
    if draw(st.booleans()):  # often two good sessions of each part, one of them watched
        logs += tuple(
            as_planned(programme, part, f"good-{part.key}-{number}", days_ago=paused + 6 - 3 * number, origin=origin)
            for part in programme.parts
            for number, origin in enumerate(("staff", "person"))
        )
    return one, programme, logs


def as_planned(programme: Programme, part: Part, session_id: str, *, days_ago: int, origin: Origin) -> SessionLog:
    """A session done as planned, easily."""
    sets = tuple(
        SetLog(exercise.movement_id, index, number, exercise.dose.repetitions, 2.0)
        for index, exercise in enumerate(part.exercises)
        for number in range(1, exercise.dose.sets + 1)
    )
    started_at = datetime.combine(TODAY - timedelta(days=days_ago), time(10))
    return SessionLog(session_id, programme.version, part.key, started_at, origin=origin, sets=sets)


@st.composite
def doses(draw: st.DrawFn, exercise: Exercise) -> Dose:
    dose = replace(exercise.dose, sets=draw(st.integers(1, DOSING.sets_most)))
    if dose.hold_s:
        return replace(dose, hold_s=draw(st.sampled_from((10, 15, 28, 30))))
    return replace(dose, repetitions=draw(st.sampled_from((15, 15, 15, 14, 12, 10, 9, 8))))


@st.composite
def session(draw: st.DrawFn, programme: Programme, number: int, paused: int) -> SessionLog:
    """Mostly a session as planned at low effort, so that raises are reached; else anything."""
    part = draw(st.sampled_from(programme.parts))
    days_ago = paused + draw(st.sampled_from((0, 1, 2, 3, 4, 5, 6, 7, 9, 13, 16)))
    origin: Origin = draw(st.sampled_from(("person", "staff", "carer")))
    log = as_planned(programme, part, f"s{number}", days_ago=days_ago, origin=origin)
    log = replace(log, plan_version=draw(st.sampled_from((3, 3, 3, 3, 2))))
    if draw(st.integers(0, 3)):
        return log
    sets = tuple(
        SetLog(exercise.movement_id, index, number, repetitions, effort, feel)  # type: ignore[arg-type]
        for index, exercise in enumerate(part.exercises)
        for number, repetitions, effort, feel in draw(st.lists(SETS, max_size=3))
    )
    return replace(
        log,
        sets=sets,
        symptoms=draw(st.sampled_from(((), (), ("chest discomfort",)))),
        stopped_by_check=draw(st.sampled_from((False, False, True))),
        sore_days=draw(st.sampled_from((None, 0, 3, 4))),
    )


def next_steps(one: Any, programme: Programme, logs: tuple[SessionLog, ...]) -> tuple[Proposal, ...]:
    return propose(programme, logs, one[0], protocol=PROTOCOL, library=LIBRARY, today=TODAY)


def raised(found: tuple[Proposal, ...]) -> list[Proposal]:
    return [proposal for proposal in found if proposal.kind.startswith("raise_")]


def hardness(dose: Dose) -> tuple[float, ...]:
    return dose.sets, dose.repetitions, as_mass_kg(dose.load), dose.hold_s, dose.out_s, dose.pause_s, dose.back_s


@settings(max_examples=30)
@given(situations())
def test_at_most_one_raise_a_line_and_never_beside_anything_else_that_changes(situation: Any) -> None:
    found = next_steps(*situation)
    lines = [(p.part_key, p.exercise_index) for p in raised(found)]
    assert len(lines) == len(set(lines))
    if lines:
        assert {p.kind for p in found} <= {"hold", *(p.kind for p in raised(found))}


@settings(max_examples=30)
@given(situations())
def test_a_raise_rests_on_enough_good_sessions_since_anything_went_wrong(situation: Any) -> None:
    one, programme, logs = situation
    for up in raised(next_steps(one, programme, logs)):
        own = sorted((log for log in logs if log.plan_version == 3), key=lambda log: log.started_at)
        assert not any(log.symptoms for log in own)
        used = [log for log in own if log.session_id in up.evidence]
        finding = up.rule_id == "progression.load_first_effort_at_most"
        assert len(used) >= (PROGRESSING.finding_sessions if finding else PROGRESSING.sessions_needed)  # type: ignore[operator]
        most = PROGRESSING.load_first_effort_at_most if finding else PROGRESSING.effort_at_most
        assert not any(log.stopped_by_check for log in own if log.started_at >= used[0].started_at)
        assert all((s.effort is not None) for log in used for s in log.sets if s.exercise_index == up.exercise_index)
        assert all(s.effort <= most for log in used for s in log.sets if s.exercise_index == up.exercise_index)
        done_on = [log.started_at.date() for log in own if exercised(log) and log.started_at >= used[0].started_at]
        assert all((b - a).days <= PROGRESSING.gap_repeat_days for a, b in pairwise(done_on))
        last = max(log.started_at.date() for log in logs if exercised(log))
        assert (TODAY - last).days <= PROGRESSING.gap_repeat_days
        if up.kind == "raise_load":
            assert any(log.origin == "staff" for log in used)


@settings(max_examples=30)
@given(situations())
def test_what_is_accepted_changes_one_thing_and_may_be_signed(situation: Any) -> None:
    one, programme, logs = situation
    record, prescription, _, _ = one
    assert check_programme(programme, record, prescription, protocol=PROTOCOL, library=LIBRARY) == ()
    for proposal in next_steps(one, programme, logs):
        if proposal.after is None or proposal.before is None:
            continue
        before, after = asdict(proposal.before), asdict(proposal.after)
        changed = {name for name in before if before[name] != after[name]}
        if "load" in changed and after["repetitions"] < before["repetitions"]:
            changed -= {"repetitions"}  # a heavier load starts again with fewer repetitions
        assert len(changed) == 1
        new = accept(programme, proposal, version=4, made_on=TODAY)
        assert check_programme(new, record, prescription, protocol=PROTOCOL, library=LIBRARY) == ()
        pairs = list(zip(hardness(proposal.before), hardness(proposal.after), strict=True))
        if proposal.kind == "raise_load":
            assert any(b < a for b, a in pairs)
        elif proposal.kind.startswith("raise_"):
            assert all(b <= a for b, a in pairs)
        else:
            assert proposal.kind in ("ease", "step_back")
            assert all(b >= a for b, a in pairs)


@settings(max_examples=30)
@given(situations())
def test_every_exercise_gets_one_answer_with_a_reason_and_a_rule(situation: Any) -> None:
    _, programme, _ = situation
    found = next_steps(*situation)
    places = [(p.part_key, p.exercise_index) for p in found if p.exercise_index >= 0]
    assert places == [(part.key, i) for part in programme.parts for i in range(len(part.exercises))]
    assert all(p.reason and p.rule_id and p.made_on == TODAY for p in found)


@pytest.mark.parametrize(
    "kind", ["raise_repetitions", "raise_load", "raise_hold", "hold", "ease", "review", "step_back"]
)
def test_the_generated_situations_do_reach(kind: str) -> None:
    """The properties above would be empty if nothing were ever raised or eased."""
    once = settings(max_examples=400, database=None, phases=(Phase.generate,))
    find(situations(), lambda one: any(p.kind == kind for p in next_steps(*one)), settings=once, random=Random(4))

"""The rules of progression one by one: each with a case in which it decides, and one in which it does not."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from haleward.dose.log import Proposal, SessionLog
from haleward.dose.model import Load, Programme
from haleward.dose.progression import accept, propose
from haleward.record import HeartRate, Record, Restriction
from haleward.safety.protocol import Protocol
from tests.dose.diary import done, with_set
from tests.dose.people import TODAY, WELL
from tests.dose.test_progression import (
    GOOD,
    LIBRARY,
    MADE_ON,
    PLAN,
    PROTOCOL,
    only,
    programme_for,
    proposals,
    raises,
    reason_of,
    with_progression,
)


def kinds(found: tuple[Proposal, ...], rule: str) -> list[str]:
    return [f"{one.part_key}/{one.exercise_index} {one.kind}" for one in found if one.rule_id == f"progression.{rule}"]


def later(
    plan: Programme, *logs: SessionLog, earlier: tuple[Programme, ...], record: Record = WELL, **told: Any
) -> tuple[Proposal, ...]:
    protocol: Protocol = told.pop("protocol", PROTOCOL)
    return propose(
        plan, logs, record, protocol=protocol, library=LIBRARY, today=TODAY, earlier=earlier, settled=(), **told
    )


@pytest.mark.parametrize(("days", "holds"), [(28, False), (29, True)])
def test_an_expired_range_holds_every_raise(days: int, holds: bool) -> None:
    person = replace(WELL, resting_heart_rate=HeartRate(60, TODAY - timedelta(days=days)))
    found = proposals(*GOOD, record=person)
    assert bool(kinds(found, "range_expired")) is holds
    assert bool(raises(found)) is not holds


@pytest.mark.parametrize(("repetitions", "eases"), [(4, True), (5, True), (6, False)])
def test_hard_by_the_fifth_repetition_eases_after_one_session(repetitions: int, eases: bool) -> None:
    found = proposals(GOOD[0], with_set(GOOD[1], 0, repetitions=repetitions, effort=7, feel="too_hard"))
    assert kinds(found, "hard_by_repetition") == (["one/0 ease"] if eases else [])
    if eases:
        assert reason_of(found) == "Make it easier: hard by repetition 5 on 27 February 2026."
        assert found[0].otherwise == (
            "The dose would have stayed with no set hard by repetition 5 in the last session."
        )


@pytest.mark.parametrize(("hard_at", "kind"), [(5, "ease"), (10, "hold"), (11, "raise_repetitions")])
def test_not_yet_hard_at_the_tenth_is_what_a_raise_needs(hard_at: int, kind: str) -> None:
    row = only(PLAN, "single_arm_row")
    logs = (done(row, days_ago=7), with_set(done(row, days_ago=3), 0, hard_at=hard_at))
    assert proposals(*logs, programme=row)[0].kind == kind


def test_after_a_raise_one_session_at_the_new_dose_is_enough_at_the_same_load() -> None:
    row = only(PLAN, "single_arm_row", repetitions=8)
    first = tuple(done(row, days_ago=days, origin="staff") for days in (10, 6))
    up = raises(proposals(*first, programme=row))[0]
    new = accept(row, up, version=4, made_on=TODAY - timedelta(days=5))
    nothing = later(new, *first, earlier=(row,))
    assert not raises(nothing)
    once = (*first, done(new, days_ago=2, origin="staff"))
    assert [one.kind for one in raises(later(new, *once, earlier=(row,)))] == ["raise_repetitions"]
    strict = with_progression(sessions_at_dose=None)
    assert not raises(later(new, *once, earlier=(row,), protocol=strict))


def test_sessions_of_an_earlier_version_count_for_a_line_that_has_not_changed() -> None:
    up = raises(proposals(*GOOD))[0]
    new = accept(PLAN, up, version=4, made_on=TODAY - timedelta(days=2))
    again = done(new, days_ago=1)
    found = later(new, *GOOD, again, earlier=(PLAN,), protocol=with_progression(one_raise_in=("exercise",)))
    assert 1 in [one.exercise_index for one in raises(found) if one.part_key == "one"]


def test_after_a_change_nothing_is_raised_before_a_session_on_the_new_version() -> None:
    one_change = with_progression(one_raise_in=("programme",))
    up = raises(proposals(*GOOD))[0]
    new = accept(PLAN, up, version=4, made_on=TODAY)
    assert kinds(later(new, *GOOD, earlier=(PLAN,), protocol=one_change), "sessions_between_raises")
    assert not raises(later(new, *GOOD, earlier=(PLAN,), protocol=one_change))
    others = raises(later(new, *GOOD, earlier=(PLAN,)))
    assert others
    assert up.exercise_index not in [one.exercise_index for one in others]


@pytest.mark.parametrize(("scope", "count"), [(None, 1), (("programme",), 1), (("session",), 2), (("exercise",), 10)])
def test_one_raise_at_a_time_in_what_the_protocol_says(scope: tuple[str, ...] | None, count: int) -> None:
    two = (done(PLAN, days_ago=6, part_key="two"), done(PLAN, days_ago=2, part_key="two"))
    found = raises(proposals(*GOOD, *two, protocol=with_progression(one_raise_in=scope)))
    lines = [(one.part_key, one.exercise_index) for one in found]
    assert len(lines) == len(set(lines))
    assert min(len(lines), count) == (count if scope != ("exercise",) else len(lines))
    assert scope != ("exercise",) or len(lines) > 2


def test_after_illness_every_line_steps_back_until_two_sessions_went_well() -> None:
    ill = replace(GOOD[1], symptoms=("fever or feeling ill",))
    found = proposals(GOOD[0], ill)
    assert {one.kind for one in found if one.part_key == "one"} == {"step_back"}
    assert "Step back after illness" in reason_of(found)
    row = only(PLAN, "single_arm_row")
    row = replace(row, walking=replace(row.walking, days=()))
    ill = replace(done(row, days_ago=6), symptoms=("fever or feeling ill",))
    told = {"protocol": PROTOCOL, "library": LIBRARY, "today": TODAY, "settled": (ill.session_id,)}
    once, twice = done(row, days_ago=3), done(row, days_ago=1)
    assert propose(row, (ill, once), WELL, **told)[0].kind == "step_back"  # type: ignore[arg-type]
    assert propose(row, (ill, once, twice), WELL, **told)[0].kind == "raise_repetitions"  # type: ignore[arg-type]


def test_a_new_restriction_steps_back_what_it_concerns_and_nothing_else() -> None:
    shoulder = Restriction("shoulder", "Left shoulder", "Nurse N", TODAY - timedelta(days=1), TODAY + timedelta(days=9))
    found = proposals(*GOOD, record=replace(WELL, restrictions=(shoulder,)))
    back = {one.movement_id for one in found if one.kind == "step_back"}
    assert "sit_to_stand" not in back
    older = replace(shoulder, start_on=MADE_ON)
    assert not [one for one in proposals(*GOOD, record=replace(WELL, restrictions=(older,))) if one.kind == "step_back"]
    everything = replace(shoulder, kind="other", shown="Go easy", load_limit_kg=None)
    found = proposals(*GOOD, record=replace(WELL, restrictions=(everything,)))
    assert {one.kind for one in found if one.movement_id} == {"step_back"}


def test_so_easy_that_the_load_is_not_found_yet_the_load_comes_first() -> None:
    row = only(PLAN, "single_arm_row")
    light = tuple(done(row, days_ago=days, effort=2, origin="staff") for days in (7, 3))
    up = raises(proposals(*light, programme=row))[0]
    assert (up.kind, up.after and up.after.load) == ("raise_load", Load("bottle", 1.0))
    unseen = tuple(replace(log, origin="person") for log in light)
    assert raises(proposals(*unseen, programme=row))[0].kind == "raise_repetitions"


def test_one_watched_session_so_easy_is_enough_to_find_the_load_and_one_rung_may_be_passed_over() -> None:
    row = only(PLAN, "single_arm_row")
    person = replace(WELL, kit=replace(WELL.kit, bottle_pairs_kg=(0.5, 1.0, 1.5, 2.0)))
    watched = done(row, days_ago=3, effort=2, origin="staff")
    up = raises(proposals(watched, programme=row, record=person))[0]
    assert (up.kind, up.after and up.after.load) == ("raise_load", Load("bottle", 1.5))
    assert up.after is not None
    assert (up.after.sets, up.after.repetitions) == (2, 10)
    assert up.rule_id == "progression.load_first_effort_at_most"
    assert up.reason == (
        "Next load, 1.5 kg: the right load is not found yet. All sets were done at effort 2 or less; staff saw it. "
        "Sessions: 1."
    )
    assert up.evidence == (watched.session_id,)
    slower = with_progression(finding_sessions=None, finding_step_kg=None)
    assert not raises(proposals(watched, programme=row, record=person, protocol=slower))


@pytest.mark.parametrize(
    "against",
    [
        {"origin": "person"},
        {"origin": "recording"},
        {"effort": 3},
        {"effort": None},
        {"symptoms": ("chest discomfort",)},
        {"sore_days": 4},
        {"days_ago": 8},
    ],
)
def test_a_load_is_not_found_by_what_nobody_saw_or_what_is_not_so_easy(against: dict[str, Any]) -> None:
    row = only(PLAN, "single_arm_row")
    watched = done(row, **{"days_ago": 3, "effort": 2, "origin": "staff"} | against)
    assert not raises(proposals(watched, programme=row))


@pytest.mark.parametrize("changed", [{"repetitions": 9}, {"feel": "too_hard"}, {"hard_at": 9}, {"effort": 2.5}])
def test_a_load_is_not_found_by_a_session_with_one_set_that_was_less_or_harder(changed: dict[str, Any]) -> None:
    row = only(PLAN, "single_arm_row")
    watched = with_set(done(row, days_ago=3, effort=2, origin="staff"), 1, **changed)
    assert not raises(proposals(watched, programme=row))


@pytest.mark.parametrize(
    ("movement_id", "load", "pairs", "next_kg", "limit"),
    [
        ("biceps_curl", Load("hand_weight", 1.0), (1.0, 5.0), None, "1 kg"),
        ("biceps_curl", Load("hand_weight", 1.0), (1.0, 2.0), 2.0, ""),
        ("mini_squat", Load("own_weight"), (5.0,), None, "2.3 kg"),
        ("mini_squat", Load("own_weight"), (2.0, 5.0), 2.0, ""),
    ],
)
def test_a_large_muscle_waits_where_the_next_load_at_home_is_too_big_a_step(
    movement_id: str, load: Load, pairs: tuple[float, ...], next_kg: float | None, limit: str
) -> None:
    person = replace(WELL, kit=replace(WELL.kit, bottle_pairs_kg=(), hand_weight_pairs_kg=pairs))
    plan = programme_for(person)
    part = plan.parts[0]
    drafted = replace(part.exercises[0], movement_id=movement_id, posture="standing", each_side=False)
    exercise = replace(drafted, dose=replace(drafted.dose, load=load, repetitions=15, sets=3, hold_s=0))
    row = replace(plan, parts=(replace(part, exercises=(exercise,)),))
    logs = tuple(done(row, days_ago=days, origin="staff") for days in (7, 3))
    finding = (done(row, days_ago=3, effort=1, origin="staff"),)  # so easy that the load is still being found
    told: dict[str, Any] = {"library": LIBRARY, "today": TODAY, "settled": ()}
    usual, found = (propose(row, each, person, protocol=PROTOCOL, **told) for each in (logs, finding))
    if next_kg is None:
        assert (usual[0].kind, usual[0].rule_id) == ("hold", "progression.load_step_most_kg")
        assert f"is more than {limit} heavier" in usual[0].reason
        assert not raises(found)
    else:
        assert [one.after.load for one in (*raises(usual), *raises(found)) if one.after] == 2 * [
            Load("hand_weight", next_kg)
        ]
    anyhow = with_progression(load_step_most_kg=None, load_step_most_legs_kg=None)  # an older protocol
    assert raises(propose(row, logs, person, protocol=anyhow, **told))


def test_a_small_muscle_takes_its_small_step_also_while_its_load_is_found() -> None:
    kit = replace(WELL.kit, bottle_pairs_kg=(), hand_weight_pairs_kg=(0.5, 1.0, 1.5))
    person = replace(WELL, kit=kit)
    plan = programme_for(person)
    form = only(plan, next(e.movement_id for part in plan.parts for e in part.exercises))
    exercise = replace(form.parts[0].exercises[0], movement_id="lateral_raise", posture="standing", region="reach")
    exercise = replace(exercise, dose=replace(exercise.dose, load=Load("hand_weight", 0.5)))
    raised = replace(form, parts=(replace(form.parts[0], exercises=(exercise,)), form.parts[1]))
    up = raises(proposals(done(raised, days_ago=3, effort=1, origin="staff"), programme=raised, record=person))[0]
    assert (up.kind, up.after and up.after.load) == ("raise_load", Load("hand_weight", 1.0))


def test_weeks_without_a_raise_are_shown_and_nothing_is_raised_for_it() -> None:
    plan = replace(PLAN, made_on=TODAY - timedelta(days=30))
    hard = tuple(done(plan, days_ago=days, effort=5) for days in (24, 17, 10, 3))
    found = proposals(*hard, programme=plan)
    note = [one for one in found if one.kind == "stagnant"]
    assert [one.rule_id for one in note] == ["progression.stagnant_weeks"]
    assert not note[0].changes
    assert any("effort 5" in reason for reason in note[0].used)
    assert not raises(found)
    assert not [one for one in proposals(*GOOD) if one.kind == "stagnant"]
    assert not [
        one
        for one in proposals(*hard, programme=plan, protocol=with_progression(stagnant_weeks=None))
        if one.kind == "stagnant"
    ]


def test_from_the_top_of_load_and_sets_the_next_posture_comes_if_the_person_is_placed_for_it() -> None:
    row = only(PLAN, "heel_raise", repetitions=12, sets=3, load=Load("own_weight"))
    exercise = replace(row.parts[0].exercises[0], posture="hand_supported")
    plan = replace(row, parts=(replace(row.parts[0], exercises=(exercise,)), row.parts[1]))
    bare = replace(WELL, kit=replace(WELL.kit, bottle_pairs_kg=()))
    logs = tuple(done(plan, days_ago=days, origin="staff") for days in (7, 3))
    up = proposals(*logs, programme=plan, record=bare)[0]
    placed = replace(
        bare, tests=replace(bare.tests, tandem_s=0, semi_tandem_s=4, sppb_points=5, gait_speed_m_per_s=0.5)
    )
    held = proposals(*logs, programme=plan, record=placed)[0]
    assert up.kind == "raise_posture"
    assert up.replacement is not None
    assert (up.replacement.posture, up.replacement.dose.repetitions) == ("standing", 10)
    assert accept(plan, up, version=4, made_on=TODAY).parts[0].exercises[0] == up.replacement
    assert held.kind == "hold"

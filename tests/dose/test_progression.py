"""The next step: what raises, what holds, what eases, and what a lead's yes does."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, timedelta
from typing import Any

import pytest

from haleward.dose.log import Proposal, SessionLog
from haleward.dose.model import Load, Programme
from haleward.dose.prescription import prescribe
from haleward.dose.programme import check_programme, draft_programme
from haleward.dose.progression import accept, propose
from haleward.errors import Inconsistent
from haleward.movement.library import default_library
from haleward.record import HeartRate, Medicine, Record, Restriction
from haleward.safety.protocol import Protocol, default_protocol
from tests.dose.diary import done, part_of, with_set
from tests.dose.people import HOME, TODAY, WELL

PROTOCOL, LIBRARY = default_protocol(), default_library()
MADE_ON = TODAY - timedelta(days=21)


def programme_for(record: Record = WELL) -> Programme:
    prescription = prescribe(record, protocol=PROTOCOL, library=LIBRARY, today=TODAY)
    return draft_programme(record, prescription, protocol=PROTOCOL, library=LIBRARY, today=MADE_ON, version=3)


PLAN = programme_for()


def proposals(
    *logs: SessionLog, programme: Programme = PLAN, record: Record = WELL, protocol: Protocol = PROTOCOL
) -> tuple[Proposal, ...]:
    return propose(programme, logs, record, protocol=protocol, library=LIBRARY, today=TODAY)


def raises(found: tuple[Proposal, ...]) -> list[Proposal]:
    return [proposal for proposal in found if proposal.kind.startswith("raise_")]


def reason_of(found: tuple[Proposal, ...], part_key: str = "one", index: int = 0) -> str:
    return next(p.reason for p in found if (p.part_key, p.exercise_index) == (part_key, index))


def only(programme: Programme, movement_id: str, **dose: Any) -> Programme:
    """The programme with part one reduced to one exercise, its dose changed."""
    found = next(e for part in programme.parts for e in part.exercises if e.movement_id == movement_id)
    exercise = replace(found, dose=replace(found.dose, **dose))
    return replace(
        programme, parts=(replace(programme.parts[0], exercises=(exercise,)), replace(programme.parts[1], exercises=()))
    )


def with_progression(**changes: Any) -> Protocol:
    progression = replace(PROTOCOL.policies.progression, **changes)
    return replace(PROTOCOL, policies=replace(PROTOCOL.policies, progression=progression))


GOOD = (done(PLAN, days_ago=7), done(PLAN, days_ago=3))


def test_two_easy_sessions_raise_repetitions_of_every_exercise_done_in_both() -> None:
    found = raises(proposals(*GOOD))
    assert [(one.part_key, one.exercise_index) for one in found] == [("one", i) for i in range(len(found))]
    assert len(found) == len(part_of(PLAN, "one").exercises)
    up = found[0]
    assert up.kind == "raise_repetitions"
    assert up.before is not None
    assert up.after == replace(up.before, repetitions=12)
    assert up.reason == ("Add repetitions: all sets done at effort 4 or less in the last 2 sessions, no symptoms.")
    assert up.rule_id == "progression.repetition_step"
    assert up.evidence == ("one-3-7", "one-3-3")


def test_one_change_in_the_whole_programme_makes_the_others_wait_for_what_felt_easiest() -> None:
    one_change = with_progression(one_raise_in=("programme",))
    found = proposals(*GOOD, protocol=one_change)
    assert [one.exercise_index for one in raises(found)] == [0]
    assert reason_of(found, index=1) == "Hold: ready for more, but one change at a time. Sit to stand comes first."
    easier = [with_set(with_set(log, 4, effort=1), 5, effort=1) for log in GOOD]
    assert [one.exercise_index for one in raises(proposals(*easier, protocol=one_change))] == [2]


def test_one_session_is_too_few() -> None:
    found = proposals(GOOD[1])
    assert raises(found) == []
    assert reason_of(found) == "Hold: sessions recorded so far: 1; the protocol asks for 2."


def test_sessions_of_another_version_or_part_do_not_count() -> None:
    other = replace(GOOD[0], plan_version=2)
    assert raises(proposals(other, GOOD[1])) == []
    two = done(PLAN, days_ago=5, part_key="two")
    assert raises(proposals(two, GOOD[1])) == []


def test_a_session_sent_twice_counts_once() -> None:
    assert raises(proposals(GOOD[1], GOOD[1])) == []


def test_a_session_in_the_future_does_not_count() -> None:
    assert raises(proposals(GOOD[1], done(PLAN, days_ago=-1))) == []


def test_a_missing_effort_holds_that_exercise() -> None:
    found = proposals(GOOD[0], with_set(GOOD[1], 0, effort=None))
    assert reason_of(found) == "Hold: effort is missing for 1 of the last 2 sessions."
    assert raises(found)[0].exercise_index == 1


@pytest.mark.parametrize(
    ("changes", "reason"),
    [
        ({"repetitions": 9}, "Hold: not every set was done as planned in the last 2 sessions."),
        ({"repetitions": None}, "Hold: not every set was done as planned in the last 2 sessions."),
        ({"feel": "skipped"}, "Hold: not every set was done as planned in the last 2 sessions."),
        ({"feel": "too_hard"}, "Hold: marked too hard on 27 February 2026."),
        ({"effort": 4.5}, "Hold: effort 4.5 in the last 2 sessions; the protocol raises at 4 or less."),
    ],
)
def test_a_set_that_did_not_go_as_planned_holds(changes: dict[str, Any], reason: str) -> None:
    assert reason_of(proposals(GOOD[0], with_set(GOOD[1], 0, **changes))) == reason


def test_effort_at_the_limit_still_raises() -> None:
    assert raises(proposals(*(done(PLAN, days_ago=d, effort=4) for d in (7, 3))))


def test_a_set_left_out_of_the_log_is_not_done() -> None:
    short = replace(GOOD[1], sets=GOOD[1].sets[1:])
    assert reason_of(proposals(GOOD[0], short)) == "Hold: not every set was done as planned in the last 2 sessions."


def test_a_symptom_stops_every_raise_and_asks_for_review() -> None:
    found = proposals(GOOD[0], replace(GOOD[1], symptoms=("chest discomfort",)))
    assert raises(found) == []
    assert (found[0].kind, found[0].rule_id, found[0].exercise_index) == ("review", "progression.symptom", -1)
    assert found[0].reason == (
        "Ease off: chest discomfort reported on 27 February 2026. Do not raise until it is resolved."
    )


def test_an_earlier_symptom_of_this_version_still_stops_a_raise() -> None:
    unwell = done(PLAN, days_ago=12, symptoms=("dizziness",))
    assert raises(proposals(unwell, *GOOD)) == []


def test_a_stopped_check_stops_every_raise_and_only_later_sessions_count() -> None:
    stopped = done(PLAN, days_ago=1, sets=(), stopped_by_check=True)
    found = proposals(*GOOD, stopped)
    assert raises(found) == []
    assert found[0].rule_id == "progression.stopped_check"
    between = done(PLAN, days_ago=5, sets=(), stopped_by_check=True, part_key="two")
    assert raises(proposals(GOOD[0], between, GOOD[1])) == []
    again = (done(PLAN, days_ago=4), done(PLAN, days_ago=2))
    up = raises(proposals(GOOD[0], between, *again))
    assert {one.evidence for one in up} == {tuple(log.session_id for log in again)}


@pytest.mark.parametrize(
    ("days", "rule_id"),
    [
        (7, None),
        (8, "progression.gap_repeat_days"),
        (14, "progression.gap_repeat_days"),
        (29, "progression.gap_reassess_days"),
    ],
)
def test_a_pause_repeats_the_dose_or_asks_for_a_reassessment(days: int, rule_id: str | None) -> None:
    plan = replace(PLAN, made_on=TODAY - timedelta(days=60))
    found = proposals(done(plan, days_ago=days + 4), done(plan, days_ago=days), programme=plan)
    if rule_id is None:
        assert raises(found)
    else:
        assert raises(found) == []
        assert found[0].rule_id == rule_id


@pytest.mark.parametrize("days", [15, 28])
def test_a_long_pause_steps_every_exercise_back(days: int) -> None:
    plan = replace(PLAN, made_on=TODAY - timedelta(days=60))
    found = proposals(done(plan, days_ago=days), programme=plan)
    assert {proposal.kind for proposal in found} == {"step_back"}
    assert found[0].reason == (
        f"Step back: {days} days without exercise. The protocol restarts at one step below the last dose."
    )
    assert found[0].after is not None
    assert found[0].after.repetitions == 8


def test_three_missed_weeks_with_a_load_go_down_one_load() -> None:
    plan = only(replace(PLAN, made_on=TODAY - timedelta(days=60)), "single_arm_row", load=Load("bottle", 1.0))
    found = proposals(done(plan, days_ago=21), programme=plan)
    assert found[0].after is not None
    assert found[0].after.load == Load("bottle", 0.75, fill_ml=750)


def test_sessions_before_a_long_pause_do_not_count_after_it() -> None:
    plan = replace(PLAN, made_on=TODAY - timedelta(days=60))
    found = proposals(done(plan, days_ago=20), done(plan, days_ago=16), done(plan, days_ago=3), programme=plan)
    assert reason_of(found) == "Hold: sessions recorded so far: 1; the protocol asks for 2."


def test_nothing_done_since_the_programme_was_made_counts_as_a_pause() -> None:
    found = proposals(programme=replace(PLAN, made_on=TODAY - timedelta(days=40)))
    assert found[0].rule_id == "progression.gap_reassess_days"


def test_effort_over_the_range_in_two_of_three_sessions_eases() -> None:
    hard = [done(PLAN, days_ago=d, effort=e) for d, e in ((9, 7), (6, 3), (3, 6))]
    found = proposals(*hard)
    assert {p.kind for p in found if p.part_key == "one"} == {"ease"}
    assert found[0].reason == "Ease off: effort above 5 in 2 of the last 3 sessions."
    assert found[0].after is not None
    assert found[0].after.repetitions == 8


def test_effort_over_the_range_once_does_not_ease() -> None:
    found = proposals(*(done(PLAN, days_ago=d, effort=e) for d, e in ((9, 7), (6, 3), (3, 3))))
    assert not [p for p in found if p.kind == "ease"]


def test_marked_too_hard_twice_eases_that_exercise_and_nothing_else_is_raised() -> None:
    found = proposals(*(with_set(log, 0, feel="too_hard") for log in GOOD))
    assert [p.exercise_index for p in found if p.kind == "ease"] == [0]
    assert raises(found) == []
    assert reason_of(found, index=1) == "Hold: ready for more, but something else is being changed first."


@pytest.mark.parametrize(("sore_days", "eases"), [(3, False), (4, True), (None, False)])
def test_soreness_that_lasts_eases_and_never_raises(sore_days: float | None, eases: bool) -> None:
    found = proposals(GOOD[0], replace(GOOD[1], sore_days=sore_days))
    assert any(p.kind == "ease" and p.rule_id == "progression.sore_days" for p in found) is eases
    assert bool(raises(found)) is not eases
    if eases:
        assert (found[0].kind, found[0].rule_id) == ("review", "progression.sore_days")
        assert "a nurse looks at it" in found[0].reason
        assert reason_of(found) == "Ease off: soreness lasted 4 days after Sit to stand."


def test_repetitions_come_before_load_and_load_needs_a_watched_session() -> None:
    row = only(PLAN, "single_arm_row", repetitions=11)
    logs = (done(row, days_ago=7), done(row, days_ago=3))
    first = raises(proposals(*logs, programme=row))[0]
    assert first.after is not None
    assert (first.kind, first.after.repetitions) == ("raise_repetitions", 12)
    two = only(PLAN, "single_arm_row", repetitions=15)
    more = raises(proposals(done(two, days_ago=7), done(two, days_ago=3), programme=two))[0]
    assert more.after == replace(two.parts[0].exercises[0].dose, sets=3)
    top = only(PLAN, "single_arm_row", repetitions=15, sets=3)
    logs = (done(top, days_ago=7), done(top, days_ago=3))
    held = proposals(*logs, programme=top)
    assert raises(held) == []
    assert held[0].reason == "Hold: the evidence is self-reported only. Watch one session or phone first."
    watched = proposals(logs[0], replace(logs[1], origin="staff"), programme=top)[0]
    assert watched.kind == "raise_load"
    heavier = Load("bottle", 1.0)
    assert watched.after == replace(top.parts[0].exercises[0].dose, load=heavier, repetitions=10)
    assert watched.reason == (
        "Next load, 1 kg: top of the repetition range reached at effort 4 or less in 2 "
        "sessions. Repetitions start again at 10."
    )
    allowed = proposals(*logs, programme=top, protocol=with_progression(self_report_raises_load=True))
    assert allowed[0].kind == "raise_load"


def test_at_the_heaviest_load_at_home_nothing_is_raised() -> None:
    top = only(PLAN, "single_arm_row", repetitions=15, sets=3, load=Load("bottle", 1.0))
    logs = tuple(done(top, days_ago=d, origin="staff") for d in (7, 3))
    held = proposals(*logs, programme=top)[0]
    assert (held.kind, held.after) == ("hold", None)
    assert "at the top of what the protocol, the limits and the kit at home allow (1 kg)" in held.reason


def test_a_limit_set_by_a_clinician_stops_the_next_load() -> None:
    top = only(PLAN, "single_arm_row", repetitions=15, sets=3)
    limit = Restriction("other", "Half a kilo at most", "Dr D", MADE_ON, TODAY, load_limit_kg=0.5)
    logs = tuple(done(top, days_ago=d, origin="staff") for d in (7, 3))
    assert raises(proposals(*logs, programme=top, record=replace(WELL, restrictions=(limit,)))) == []


@pytest.mark.parametrize(("next_kg", "kind"), [(1.0, "raise_load"), (1.5, "hold")])
def test_small_muscles_go_up_in_small_steps(next_kg: float, kind: str) -> None:
    person = replace(WELL, kit=replace(HOME, hand_weight_pairs_kg=(0.5, next_kg)))
    prescription = prescribe(person, protocol=PROTOCOL, library=LIBRARY, today=TODAY)
    row = only(PLAN, "single_arm_row", repetitions=15, sets=3, load=Load("hand_weight", 0.5))
    raise_ = replace(row.parts[0].exercises[0], movement_id="lateral_raise", posture="standing", region="reach")
    plan = replace(row, parts=(replace(row.parts[0], exercises=(raise_,)), row.parts[1]))
    assert not [
        s for s in check_programme(plan, person, prescription, protocol=PROTOCOL, library=LIBRARY) if "Lateral" in s
    ]
    logs = tuple(done(plan, days_ago=d, origin="staff") for d in (7, 3))
    assert proposals(*logs, programme=plan, record=person)[0].kind == kind


def test_a_bottle_filled_in_part_is_the_small_step_that_a_full_one_is_not() -> None:
    person = replace(WELL, kit=replace(HOME, bottle_pairs_kg=(0.5, 1.5)))
    row = only(PLAN, "single_arm_row", repetitions=15, sets=3)
    logs = tuple(done(row, days_ago=d, origin="staff") for d in (7, 3))
    after = proposals(*logs, programme=row, record=person)[0].after
    assert after is not None
    assert after.load == Load("bottle", 1.0, fill_ml=1000)
    smallest = with_progression(load_step_kg=None)
    after = proposals(*logs, programme=row, record=person, protocol=smallest)[0].after
    assert after is not None
    assert after.load == Load("bottle", 0.75, fill_ml=750)


def test_a_hold_gets_longer_up_to_its_limit() -> None:
    stand = only(PLAN, "tandem_stance", hold_s=28)
    logs = tuple(done(stand, days_ago=d) for d in (7, 3))
    longer = proposals(*logs, programme=stand)[0]
    assert longer.kind == "raise_hold"
    assert longer.after is not None
    assert longer.after.hold_s == 30
    top = only(PLAN, "tandem_stance", hold_s=30, sets=3)
    assert proposals(*(done(top, days_ago=d) for d in (7, 3)), programme=top)[0].kind == "hold"


def test_a_raised_beta_blocker_holds_until_the_pulse_is_taken_again() -> None:
    changed_on = TODAY - timedelta(days=5)
    medicine = Medicine("beta_blocker", "bisoprolol", "5 mg", changed_on)
    person = replace(WELL, medicines=(medicine,), resting_heart_rate=HeartRate(60, TODAY - timedelta(days=20)))
    found = proposals(*GOOD, record=person)
    assert raises(found) == []
    assert found[0].reason == "Hold: bisoprolol changed on 25 February 2026. Measure the response again first."
    measured = replace(person, resting_heart_rate=HeartRate(54, TODAY))
    without = with_progression(step_back_after=None)
    held = proposals(*GOOD, record=measured, protocol=without)
    assert reason_of(held) == "Hold: sessions recorded so far: 1; the protocol asks for 2."
    back = proposals(*GOOD, record=measured)
    assert {p.kind for p in back} == {"step_back"}
    assert reason_of(back) == "Step back: a medicine that changes the pulse was changed on 25 February 2026."


def test_a_gate_that_says_not_today_stops_every_raise() -> None:
    acute = replace(WELL, answers={**WELL.answers, "acute_dissection": True})
    found = proposals(*GOOD, record=acute)
    assert raises(found) == []
    assert found[0].rule_id == "progression.gate"


def test_lost_kit_is_swapped_at_once_within_the_region() -> None:
    person = replace(WELL, kit=replace(HOME, clear_wall=False, worktop=False))
    found = proposals(*GOOD, record=person)
    swap = next(p for p in found if p.movement_id == "wall_press")
    assert swap.kind == "swap"
    assert swap.replacement is not None
    assert swap.replacement.region == "push"
    assert swap.reason.startswith("Swap Wall press-up for ")
    assert "which is not at home" in swap.reason
    assert raises(found) == []


def test_a_load_that_is_gone_goes_down_to_the_nearest_lighter_one() -> None:
    row = only(PLAN, "single_arm_row", load=Load("bottle", 1.0))
    person = replace(WELL, kit=replace(HOME, bottle_pairs_kg=(0.25, 0.5)))
    eased = proposals(programme=row, record=person)[0]
    assert eased.kind == "ease"
    assert eased.after is not None
    assert eased.after.load == Load("bottle", 0.5)


def test_a_new_restriction_swaps_out_what_it_forbids() -> None:
    surgeon = Restriction("sternum", "Arms rest", "Mr Surgeon", MADE_ON, TODAY + timedelta(days=30))
    found = proposals(*GOOD, record=replace(WELL, restrictions=(surgeon,)))
    row = next(p for p in found if p.movement_id == "single_arm_row")
    assert row.kind in ("swap", "review")
    assert '"Arms rest"' in row.reason
    assert raises(found) == []


def test_an_accepted_proposal_makes_the_next_version_and_leaves_the_signed_one() -> None:
    signed = replace(PLAN, signed_by="lead", signed_on=MADE_ON)
    up = raises(proposals(*GOOD, programme=signed))[0]
    after = accept(signed, up, version=4, made_on=TODAY)
    assert signed.parts == PLAN.parts
    assert (after.version, after.made_on, after.signed_by, after.signed_on) == (4, TODAY, "", None)
    assert part_of(after, "one").exercises[0].dose == up.after
    assert part_of(after, "one").exercises[0].reasons[-1] == up.reason
    assert part_of(after, "one").exercises[1:] == part_of(signed, "one").exercises[1:]
    assert part_of(after, "two") == part_of(signed, "two")


def test_an_accepted_swap_puts_the_other_movement_in() -> None:
    person = replace(WELL, kit=replace(HOME, clear_wall=False, worktop=False))
    swap = next(p for p in proposals(*GOOD, record=person) if p.movement_id == "wall_press")
    after = accept(PLAN, swap, version=4, made_on=TODAY)
    assert part_of(after, swap.part_key).exercises[swap.exercise_index] == swap.replacement


def test_a_hold_a_stale_proposal_and_an_old_version_are_refused() -> None:
    found = proposals(*GOOD)
    up = raises(found)[0]
    hold = next(p for p in found if p.kind == "hold")
    with pytest.raises(Inconsistent, match="changes no dose"):
        accept(PLAN, hold, version=4, made_on=TODAY)
    after = accept(PLAN, up, version=4, made_on=TODAY)
    with pytest.raises(Inconsistent, match="no longer the one"):
        accept(after, up, version=5, made_on=TODAY)
    with pytest.raises(Inconsistent, match="must be over 3"):
        accept(PLAN, up, version=3, made_on=TODAY)


def test_the_sessions_of_the_old_version_do_not_raise_the_new_one() -> None:
    after = accept(PLAN, raises(proposals(*GOOD))[0], version=4, made_on=TODAY)
    assert raises(proposals(*GOOD, programme=after)) == []


def test_an_exercise_at_its_easiest_is_looked_at_instead_of_eased() -> None:
    row = only(PLAN, "sit_to_stand", sets=1, repetitions=8)
    found = proposals(*(done(row, days_ago=d, effort=9) for d in (7, 3)), programme=row)
    assert (found[0].kind, found[0].after) == ("review", None)
    assert "is at its easiest already" in found[0].reason


def test_an_eased_hold_may_still_be_signed() -> None:
    stand = only(PLAN, "tandem_stance", hold_s=12)
    found = proposals(*(done(stand, days_ago=d, effort=9) for d in (7, 3)), programme=stand)
    assert found[0].after is not None
    assert found[0].after.hold_s == PROTOCOL.policies.dose.hold_s
    shortest = only(PLAN, "tandem_stance", hold_s=10)
    found = proposals(*(done(shortest, days_ago=d, effort=9) for d in (7, 3)), programme=shortest)
    assert found[0].after is not None
    assert (found[0].after.hold_s, found[0].after.sets) == (10, 1)


def test_logs_with_a_time_zone_are_read_as_well() -> None:
    medicine = Medicine("beta_blocker", "bisoprolol", "5 mg", TODAY - timedelta(days=5))
    zoned = [replace(log, started_at=log.started_at.replace(tzinfo=UTC)) for log in GOOD]
    assert raises(proposals(*zoned)) == raises(proposals(*GOOD))
    person = replace(WELL, medicines=(medicine,))
    assert reason_of(proposals(*zoned, record=person)).startswith("Step back: a medicine")

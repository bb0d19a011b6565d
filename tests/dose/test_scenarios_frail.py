"""Scenarios of the reference about people who start with less: P-014, frail with falls; P-018, a weak heart."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import date, datetime, time, timedelta
from functools import cache
from typing import Any

import pytest

from haleward.dose.anew import chosen_anew
from haleward.dose.gentle import Gentle, gentle_for, gentler
from haleward.dose.loads import as_mass_kg
from haleward.dose.log import WALK, Proposal, SessionLog, SetLog
from haleward.dose.model import Dose, Exercise, Programme
from haleward.dose.options import options_for
from haleward.dose.prescription import prescribe
from haleward.dose.preview import Subject
from haleward.dose.preview_views import views_one_by_one
from haleward.dose.programme import check_programme, draft_programme
from haleward.dose.progress_walking import total_minutes
from haleward.dose.progression import accept, ease_down, propose
from haleward.dose.steps import StepUp, step_up
from haleward.dose.week_plan import SpecialDays, week_of
from haleward.movement.library import default_library
from haleward.plain import from_plain, to_plain
from haleward.record import Event, Record, WalkTest
from haleward.safety.facts import facts_of
from haleward.safety.protocol import Protocol, default_protocol
from tests.dose.crowd import crowd
from tests.dose.diary import done
from tests.dose.people import ANSWERS, STEADY, TODAY, WELL

PROTOCOL, LIBRARY = default_protocol(), default_library()
POLICY = PROTOCOL.policies.dose
FRAIL = replace(
    WELL,
    person_id="P-014",
    born_on=date(1938, 2, 1),
    goal="Get up from the toilet and my chair by myself",
    tests=replace(STEADY, chair_stands_30s=4, gait_speed_m_per_s=0.9, up_and_go_s=14, sppb_points=8),
    walk=WalkTest("six_minute_walk", 260, TODAY, course_m=30, practice_done=True, symptoms=False),
    new_to_exercise=True,
    answers={**ANSWERS, "falls_12m": 2, "frailty_high": True, "exercising_alone": True, "phone_available": True},
)
WEAK_HEART = replace(
    WELL,
    person_id="P-018",
    born_on=date(1950, 1, 1),
    sex="male",
    events=(Event("hf", date(2025, 11, 1), sternotomy=False),),
    device=None,
    new_to_exercise=True,
    answers={**ANSWERS, "chf_present": True, "lvef_pct": 30, "nyha": 3},
)
BEFORE_THESE_RULES: Mapping[str, Any] = dict.fromkeys(
    name for name in vars(POLICY) if name.startswith(("frail_", "weak_heart_"))
)


@cache
def older() -> Protocol:
    """A protocol from before there were such settings."""
    dose = replace(POLICY, **BEFORE_THESE_RULES)
    return replace(PROTOCOL, policies=replace(PROTOCOL.policies, dose=dose))


def draft(record: Record, protocol: Protocol = PROTOCOL) -> Programme:
    made = prescribe(record, protocol=protocol, library=LIBRARY, today=TODAY)
    return draft_programme(record, made, protocol=protocol, library=LIBRARY, today=TODAY, version=1)


def against(programme: Programme, record: Record) -> tuple[str, ...]:
    made = prescribe(record, protocol=PROTOCOL, library=LIBRARY, today=TODAY)
    return check_programme(programme, record, made, protocol=PROTOCOL, library=LIBRARY)


def exercises(programme: Programme) -> list[Exercise]:
    return [exercise for part in programme.parts for exercise in part.exercises]


def walked(programme: Programme, record: Record, *, effort: float = 2) -> Proposal:
    """What is proposed for walking after two walks at one effort."""
    bouts = range(1, programme.walking.bouts + 1)
    sets = tuple(SetLog(programme.walking.movement_id, 0, bout, None, effort) for bout in bouts)
    logs = tuple(
        SessionLog(
            f"w{days}", programme.version, WALK, datetime.combine(TODAY - timedelta(days=days), time(18)), sets=sets
        )
        for days in (4, 2)
    )
    found = propose(programme, logs, record, protocol=PROTOCOL, library=LIBRARY, today=TODAY)
    return next(one for one in found if one.part_key == WALK)


def signed(programme: Programme) -> Programme:
    """The plan as signed ten days ago."""
    return replace(
        programme, made_on=TODAY - timedelta(days=10), signed_by="Lead", signed_on=TODAY - timedelta(days=10)
    )


def with_dose(programme: Programme, **changes: Any) -> Programme:
    """The plan with the dose of its first movement changed."""
    part, *others = programme.parts
    first, *rest = part.exercises
    changed = replace(part, exercises=(replace(first, dose=replace(first.dose, **changes)), *rest))
    return replace(programme, parts=(changed, *others))


def test_p_014_a_frail_person_starts_with_two_movements_seated_or_held_and_short_bouts() -> None:
    """Strength and balance first, bouts of 1 minute, 2 exercises, the goal served; never 20 minutes in one go."""
    programme = draft(FRAIL)
    assert [len(part.exercises) for part in programme.parts] == [2, 2]
    assert {exercise.posture for exercise in exercises(programme)} <= {"seated", "hand_supported"}
    assert {exercise.region for exercise in programme.parts[0].exercises} == {"stand_up", "balance"}
    assert exercises(programme)[0].movement_id == "sit_to_stand"  # the toilet and the chair
    walking = programme.walking
    assert (walking.movement_id, walking.posture) == ("march_on_spot", "seated")
    assert (walking.bouts, walking.bout_minutes, walking.rest_minutes) == (5, 1, 1)
    assert total_minutes(walking) == 5
    assert against(programme, FRAIL) == ()


def test_p_014_says_why_and_asks_for_hands_a_copy_for_a_carer_and_falls_safety() -> None:
    programme = draft(FRAIL)
    for part in programme.parts:
        assert part.reasons[0].startswith("At most 2 movements a part to start with, strength and balance first")
        assert "copy for a carer" in part.reasons[0]
        assert "falls safety at home" in part.reasons[0]
        assert part.reasons[0].endswith("(R112)")
    assert "R112" in programme.walking.rule_ids
    assert "bouts of 1 min, 5 min in all" in programme.walking.reasons[0]
    (rule,) = [rule for rule in PROTOCOL.rules if rule.id == POLICY.frail_rule]
    assert "one member of staff for one or two people" in rule.advice
    placed = prescribe(FRAIL, protocol=PROTOCOL, library=LIBRARY, today=TODAY).placement
    assert "P11" in placed.fired_rule_ids
    assert placed.balance_emphasis


@pytest.mark.parametrize(
    ("answers", "starts_small"),
    [
        ({"frailty_high": True, "falls_12m": 0}, True),
        ({"frailty_high": False, "falls_12m": 2}, True),
        ({"frailty_high": False, "falls_12m": 1}, False),
        ({"falls_12m": 1}, False),  # nobody has judged it: the rule is not taken to hold
    ],
)
def test_frailty_or_two_falls_start_small_and_nothing_less_does(answers: dict[str, Any], starts_small: bool) -> None:
    others = {name: value for name, value in FRAIL.answers.items() if name not in ("frailty_high", "falls_12m")}
    programme = draft(replace(FRAIL, answers={**others, **answers}))
    assert all(len(part.exercises) == 2 for part in programme.parts) is starts_small
    assert (programme.walking.bout_minutes == 1) is starts_small


def test_who_may_be_frail_is_asked_for_and_who_is_known_not_to_be_is_not() -> None:
    unknown = {name: value for name, value in ANSWERS.items() if name != "frailty_high"}
    (asked,) = [one for one in draft(replace(WELL, answers=unknown)).parts[0].reasons if "R112" in one]
    assert asked.startswith("Not recorded: frail in the judgement of a clinician. Ask,")
    assert not [one for one in draft(WELL).parts[0].reasons if "R112" in one]


def test_a_frail_person_who_cannot_rise_alone_stays_in_the_chair() -> None:
    person = replace(FRAIL, tests=replace(FRAIL.tests, rises_without_arms=False, chair_stands_30s=0))
    programme = draft(person)
    assert {exercise.posture for exercise in exercises(programme)} == {"seated"}
    assert programme.walking.reasons.count("Seated marching instead of walking: this person is placed seated.") == 1


def test_a_protocol_that_lets_frail_people_walk_gives_them_short_bouts_on_their_feet() -> None:
    dose = replace(POLICY, frail_march=False)
    walking = draft(FRAIL, replace(PROTOCOL, policies=replace(PROTOCOL.policies, dose=dose))).walking
    assert (walking.movement_id, walking.bouts, walking.bout_minutes) == ("walking", 5, 1)
    assert walking.reasons[0].startswith("Bouts of 1 min, 5 min in all; strength and balance come first.")


def test_a_frail_persons_bouts_grow_by_one_minute_and_only_by_a_proposal() -> None:
    plan = signed(draft(FRAIL))
    up = walked(plan, FRAIL)
    assert up.kind == "raise_minutes"
    after = accept(plan, up, version=2, made_on=TODAY).walking
    assert (after.bouts, after.bout_minutes, after.rest_minutes) == (5, 2, 1)
    assert walked(plan, FRAIL, effort=5).kind == "ease"
    eased = walked(replace(plan, walking=replace(plan.walking, bout_minutes=6)), FRAIL, effort=8)
    assert eased.kind == "ease"
    assert eased.walking_after is not None
    assert eased.walking_after.bout_minutes == 4  # the way back is the protocol's whole step


def test_a_frail_person_at_the_least_may_still_ease_down() -> None:
    plan = signed(draft(FRAIL))
    wish = ease_down(plan, WALK, -1, FRAIL, protocol=PROTOCOL, library=LIBRARY, today=TODAY)
    assert wish.walking_after is not None
    assert (wish.walking_after.bouts, wish.walking_after.bout_minutes) == (4, 1)


def test_p_018_a_weak_heart_starts_in_short_bouts_low_and_light_with_a_longer_warm_up() -> None:
    """10 to 15 minutes in short bouts, effort 3 to 5 of 10, light weights; never the minutes of a class."""
    programme = draft(WEAK_HEART)
    assert 10 <= total_minutes(programme.walking) <= 15
    assert programme.walking.bouts > 1
    assert (programme.effort_low, programme.effort_high) == (3, 4)
    assert programme.warm_up_more_minutes == 5
    for exercise in exercises(programme):
        assert as_mass_kg(exercise.dose.load) <= POLICY.light_load_most_kg
        assert exercise.dose.hold_s or 10 <= exercise.dose.repetitions <= 20
    assert against(programme, WEAK_HEART) == ()
    for part in programme.parts:
        assert part.reasons[0].startswith("Effort 3 to 4, light loads with 10 to 20 repetitions")
        assert part.reasons[0].endswith("Ejection fraction below 40% or NYHA class 3 or more. (R113)")


@pytest.mark.parametrize(
    ("answers", "gentle"),
    [({"lvef_pct": 39}, True), ({"nyha": 3}, True), ({"lvef_pct": 40, "nyha": 2}, False), ({}, False)],
)
def test_the_rule_on_a_weak_heart_decides_and_an_unknown_answer_does_not_count_as_one(
    answers: dict[str, float], gentle: bool
) -> None:
    programme = draft(replace(WELL, answers={**ANSWERS, **answers}))
    assert (programme.warm_up_more_minutes, programme.effort_high) == ((5, 4) if gentle else (0, 5))


def test_p_018_asks_for_a_heart_device_and_for_weight_and_swelling_before_a_session() -> None:
    made = prescribe(WEAK_HEART, protocol=PROTOCOL, library=LIBRARY, today=TODAY)
    assert "heart device" in made.intensity.not_usable_reason  # nobody has noted whether there is one
    assert made.intensity.high_bpm is None
    asked = {check.wording: check for check in PROTOCOL.checks}
    for key in ("check_weight", "check_swelling"):
        assert asked[key].ask_when == {"input": "chf_present", "is": True}
        assert "home" in asked[key].places


def rowing(record: Record) -> tuple[Exercise, Callable[[Dose], StepUp]]:
    """The row of the draft, and what comes after an easy session of it that staff watched."""
    policies = gentler(PROTOCOL, facts_of(record, today=TODAY)).policies
    made = prescribe(record, protocol=PROTOCOL, library=LIBRARY, today=TODAY)
    option = options_for(record, made, protocol=PROTOCOL, library=LIBRARY, only=("single_arm_row",)).eligible[0]
    (row,) = [one for one in exercises(draft(record)) if one.movement_id == option.movement_id]
    steps = {"dosing": policies.dose, "progressing": policies.progression, "effort": 1.0}
    return row, lambda dose: step_up(dose, row.posture, option, **steps)  # type: ignore[arg-type]


def test_a_weak_heart_repeats_a_light_load_up_to_twenty_times_before_sets_or_load() -> None:
    row, after_easy = rowing(WEAK_HEART)
    dose, kinds = row.dose, []
    while (step := after_easy(dose)).kind != "raise_load":
        kinds.append(step.kind)
        assert step.after is not None
        dose = step.after
        assert dose.repetitions <= 20
    assert kinds == [*["raise_repetitions"] * 5, "raise_set"]
    assert (dose.repetitions, dose.sets) == (20, 3)
    others, after_easy = rowing(replace(WELL, new_to_exercise=True))
    assert after_easy(others.dose).kind == "raise_load"  # others find their load first


def test_effort_over_the_lower_range_holds_a_weak_heart_back() -> None:
    plan = signed(draft(WEAK_HEART))
    logs = tuple(done(plan, days_ago=days, effort=4.5, origin="staff") for days in (7, 3))
    for found in propose(plan, logs, WEAK_HEART, protocol=PROTOCOL, library=LIBRARY, today=TODAY):
        assert not found.kind.startswith("raise")


def test_twenty_repetitions_may_be_signed_for_a_weak_heart_and_for_nobody_else() -> None:
    assert against(with_dose(draft(WEAK_HEART), repetitions=20), WEAK_HEART) == ()
    assert "the protocol allows 8 to 20" in against(with_dose(draft(WEAK_HEART), repetitions=21), WEAK_HEART)[0]
    assert "the protocol allows 8 to 15" in against(with_dose(draft(WELL), repetitions=20), WELL)[0]


@pytest.mark.parametrize("person", [FRAIL, WEAK_HEART])
def test_a_plan_signed_before_these_rules_stays_as_it_is(person: Record) -> None:
    plan = signed(draft(person, older()))
    assert plan.warm_up_more_minutes == 0
    written = to_plain(plan)
    del written["warm_up_more_minutes"]  # as it was kept before
    assert from_plain(Programme, written) == plan
    assert not any("range is" in one or "repetitions" in one for one in against(plan, person))
    logs = tuple(done(plan, days_ago=days, effort=3) for days in (7, 3))
    for found in propose(plan, logs, person, protocol=PROTOCOL, library=LIBRARY, today=TODAY):
        if found.changes and found.kind.startswith("raise"):
            after = accept(plan, found, version=2, made_on=TODAY)
            assert (after.warm_up_more_minutes, after.effort_high) == (0, plan.effort_high)


@pytest.mark.parametrize("person", [FRAIL, WEAK_HEART])
def test_a_protocol_without_these_rules_drafts_as_before(person: Record) -> None:
    programme = draft(person, older())
    assert len(programme.parts[0].exercises) == POLICY.new_movements_most
    assert programme.walking.bout_minutes == POLICY.walking_bout_minutes_low_capacity
    assert programme.effort_high == POLICY.effort_high
    assert not any("R112" in reason or "R113" in reason for part in programme.parts for reason in part.reasons)


def test_choosing_anew_starts_small_too() -> None:
    made = prescribe(FRAIL, protocol=PROTOCOL, library=LIBRARY, today=TODAY)
    plan = signed(draft(FRAIL, older()))
    anew = chosen_anew(plan, (), FRAIL, made, protocol=PROTOCOL, library=LIBRARY, version=2)
    assert [len(part.exercises) for part in anew.parts] == [2, 2]
    assert anew.walking.bout_minutes == 1


def test_a_day_with_little_time_keeps_the_longer_warm_up() -> None:
    plan = draft(WEAK_HEART)
    monday = SpecialDays("part_day", TODAY, TODAY, TODAY, minutes=20)

    def fitting(programme: Programme) -> int:
        week = week_of(programme, TODAY, special=(monday,), own_days=WEAK_HEART.exercise_days, policy=POLICY)
        return sum(len(one.exercises) for one in week.days[0].sessions if one.part_key == "one")

    assert fitting(plan) < fitting(replace(plan, warm_up_more_minutes=0))


def test_most_people_of_a_crowd_keep_their_programme_and_the_others_start_smaller() -> None:
    """The two rules reach only those for whom they hold, and never make a first programme larger."""
    reached = 0
    for record in [subject.record for subject in crowd(12, seed=7)]:
        new, old = draft(record), draft(record, older())
        held = gentle_for(facts_of(record, today=TODAY), PROTOCOL) != Gentle(None, None)
        reached += held
        assert held or exercises(new) == exercises(old)
        assert held or replace(new.walking, reasons=()) == replace(old.walking, reasons=())
        assert len(exercises(new)) <= len(exercises(old))
        assert total_minutes(new.walking) <= total_minutes(old.walking)
        assert new.effort_high <= old.effort_high
    assert 0 < reached < 12


@pytest.mark.parametrize(("person", "said"), [(FRAIL, "5 x 1 minutes"), (WEAK_HEART, "effort 3 to 4, 5 minutes more")])
def test_a_preview_knows_what_the_rules_change(person: Record, said: str) -> None:
    views = [
        views_one_by_one(Subject("p", person), protocol=one, library=LIBRARY, today=TODAY)["dose"]
        for one in (older(), PROTOCOL)
    ]
    told = [" ".join(line for _, line in view.lines) for view in views]  # type: ignore[union-attr]
    assert said not in told[0]
    assert said in told[1]

"""The week by date: what days away, illness, fasting and little time do to it, and what they never do."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from haleward.dose.log import WALK
from haleward.dose.model import Dose, Exercise, Load, Part, Programme, Walking
from haleward.dose.week import WEEK, clear_days
from haleward.dose.week_plan import KINDS, SpecialDays, Week, monday_of, seconds_of, week_of
from haleward.safety.protocol import default_protocol

POLICY = default_protocol().policies.dose
MONDAY = date(2026, 3, 2)
OWN = ("monday", "tuesday", "thursday", "saturday")


def exercise(sets: int = 2) -> Exercise:
    dose = Dose(sets, 10, Load("own_weight"), 2.0, 0.0, 2.0, 90)
    return Exercise("sit_to_stand", "standing", dose, each_side=False, region="stand_up")


PLAN = Programme(
    person_id="p", version=1, made_on=MONDAY, protocol_id="x", protocol_version="1",
    parts=(Part("one", ("monday",), (exercise(),) * 3), Part("two", ("thursday",), (exercise(),) * 3)),
    walking=Walking(("tuesday", "saturday"), 2, 10, 3), left_out=(), effort_low=3, effort_high=5,
)  # fmt: skip


def day(number: int) -> date:
    """A day of the week, Monday is 0."""
    return MONDAY + timedelta(days=number)


def special(kind: str, first: int, last: int | None = None, minutes: int | None = None, told: int = 0) -> SpecialDays:
    assert kind in KINDS
    return SpecialDays(kind, day(first), day(first if last is None else last), day(told), minutes)


def week(*given_days: SpecialDays, plan: Programme = PLAN, ahead: int = 0) -> Week:
    return week_of(plan, day(ahead), special=given_days, own_days=OWN, policy=POLICY)


def placed(found: Week) -> list[tuple[str, int]]:
    return [(one.part_key, (one.on - MONDAY).days) for one in found.sessions]


def test_an_ordinary_week_is_the_plan() -> None:
    found = week()
    assert placed(found) == [("one", 0), (WALK, 1), ("two", 3), (WALK, 5)]
    assert found.walking_minutes == 40
    assert [one.on for one in found.days] == [day(number) for number in range(7)]
    assert not found.off


def test_any_day_asks_for_its_whole_week() -> None:
    assert week(ahead=6) == week(ahead=0)


def test_a_day_away_moves_a_part_to_an_own_day_with_a_clear_day_between() -> None:
    found = week(special("away", 3))
    assert placed(found) == [("one", 0), (WALK, 1), ("two", 5), (WALK, 5)]  # Tuesday lies next to Monday
    moved = next(one for one in found.sessions if one.part_key == "two")
    assert moved.moved
    assert moved.planned_on == day(3)


def test_a_part_with_no_day_left_is_left_out_and_not_made_up_next_week() -> None:
    away = special("away", 1, 6)
    assert placed(week(away)) == [("one", 0), (WALK, 0)]  # one walk of two still finds a day
    assert [(one.part_key, one.kind) for one in week(away).off] == [("two", "away"), (WALK, "away")]
    assert len(week(away, ahead=7).sessions) == 4


def test_nothing_moves_into_days_that_are_past_when_it_is_told() -> None:
    found = week(special("away", 5, told=4))
    assert [one.part_key for one in found.off] == [WALK]  # Monday is free for a walk, but gone


def test_illness_moves_nothing() -> None:
    found = week(special("ill", 0, 3))
    assert placed(found) == [(WALK, 5)]
    assert {one.kind for one in found.off} == {"ill"}


def test_fasting_days_keep_their_sessions_and_say_so() -> None:
    found = week(special("fasting", 0, 6))
    assert placed(found) == placed(week())
    assert all(one.special and one.special.kind == "fasting" for one in found.days)


def test_illness_stands_before_whatever_else_is_told_of_a_day() -> None:
    found = week(special("fasting", 0, 6), special("away", 0), special("ill", 0))
    assert found.days[0].special == special("ill", 0)
    assert found.off[0].kind == "ill"


def test_little_time_keeps_the_first_movements_that_fit() -> None:
    one_s = seconds_of(exercise())  # 2 sets of 40 s, each with a rest of 90 s
    assert one_s == 260
    found = week(special("part_day", 0, minutes=7 + 9))
    part = found.days[0].sessions[0]
    assert (part.exercises, part.short) == ((0, 1), True)
    assert week(special("part_day", 0, minutes=60)).days[0].sessions[0].short is False


def test_too_little_time_for_a_part_moves_it() -> None:
    found = week(special("part_day", 0, minutes=8))
    assert placed(found) == [("one", 1), (WALK, 1), ("two", 3), (WALK, 5)]


@pytest.mark.parametrize(("minutes", "walked"), [(12, 5), (30, 20)])
def test_little_time_shortens_a_walk_and_leaves_room_for_a_short_warm_up(minutes: int, walked: int) -> None:
    session = week(special("part_day", 1, minutes=minutes)).days[1].sessions[0]
    assert (session.minutes, session.short) == (walked, walked < 20)


def test_without_the_rules_in_the_protocol_nothing_moves_and_nothing_is_cut() -> None:
    plain = replace(POLICY, week_moves_for=None, short_frame_minutes=None, short_movements_least=None)
    there = (special("away", 3), special("part_day", 0, minutes=8))
    found = week_of(PLAN, MONDAY, special=there, own_days=OWN, policy=plain)
    assert placed(found) == [("one", 0), (WALK, 1), (WALK, 5)]
    assert found.days[0].sessions[0].exercises == (0, 1, 2)


# What never happens


@st.composite
def cases(draw: st.DrawFn) -> tuple[Programme, tuple[SpecialDays, ...], tuple[str, ...], int]:
    """A plan whose days fit its protocol, and special days over three weeks."""
    rest = draw(st.integers(0, 2))
    first = draw(st.sampled_from(WEEK))
    second = draw(st.sampled_from([other for other in WEEK if clear_days(first, other) >= rest and other != first]))
    walks = tuple(name for name in WEEK if name in draw(st.sets(st.sampled_from(WEEK), max_size=5)))
    plan = replace(
        PLAN,
        parts=(replace(PLAN.parts[0], days=(first,)), replace(PLAN.parts[1], days=(second,))),
        walking=replace(PLAN.walking, days=walks),
    )
    own = draw(st.sets(st.sampled_from(WEEK)))
    spans = st.tuples(
        st.sampled_from(KINDS), st.integers(0, 20), st.integers(0, 8), st.integers(-3, 20), st.integers(1, 60)
    )
    found = [
        SpecialDays(kind, day(start), day(start + length), day(told), minutes if kind == "part_day" else None)
        for kind, start, length, told, minutes in draw(st.lists(spans, max_size=4))
    ]
    return plan, tuple(found), tuple(name for name in WEEK if name in own), rest


@settings(max_examples=50, deadline=None)
@given(cases())
def test_strength_never_comes_closer_than_the_protocol_says_over_any_weeks(case: tuple) -> None:
    plan, there, own, rest = case
    policy = replace(POLICY, rest_days_between_parts=rest)
    weeks = [week_of(plan, day(7 * ahead), special=there, own_days=own, policy=policy) for ahead in range(-1, 5)]
    days = sorted(one.on for found in weeks for one in found.sessions if one.part_key != WALK)
    assert all((later - earlier).days > rest for earlier, later in pairwise(days))


@settings(max_examples=50, deadline=None)
@given(cases())
def test_a_week_never_holds_more_than_the_plan_nor_anything_on_days_away_or_ill(case: tuple) -> None:
    plan, there, own, rest = case
    policy = replace(POLICY, rest_days_between_parts=rest)
    for ahead in range(4):
        monday = day(7 * ahead)
        found = week_of(plan, monday, special=there, own_days=own, policy=policy)
        plain = week_of(plan, monday, policy=policy)
        assert len(found.sessions) + len(found.off) >= len(plain.sessions) - sum(
            one.special is not None for one in found.days
        )
        planned = sorted((one.part_key, one.planned_on) for one in plain.sessions)
        kept = [(one.part_key, one.planned_on) for one in (*found.sessions, *found.off)]
        assert set(kept) <= set(planned)
        assert len(kept) == len(set(kept))
        assert found.walking_minutes <= plain.walking_minutes
        for one in found.days:
            assert not (one.special and one.special.kind in ("away", "ill") and one.sessions)
            assert len({session.part_key for session in one.sessions}) == len(one.sessions)
        for one in found.sessions:
            assert monday_of(one.on) == monday_of(one.planned_on)
            assert not one.moved or WEEK[one.on.weekday()] in (own or WEEK)

"""The chosen set has the most points there are, is the same every time, and says why each movement is in it."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations, permutations

import pytest

from haleward.dose.choosing import best_set, with_reasons
from haleward.dose.choosing_order import _after, _first, in_order, two_parts
from haleward.dose.choosing_score import Wanted, goal_words, score
from haleward.dose.model import Programme
from haleward.dose.options import Option, Options, options_for
from haleward.dose.prescription import prescribe
from haleward.dose.programme import draft_programme
from haleward.movement.library import default_library
from haleward.physiology.tables import rows
from haleward.record import Kit, Record
from haleward.safety.protocol import default_protocol
from tests.dose.people import HOME, IRREGULAR, TODAY, WELL

PROTOCOL, LIBRARY = default_protocol(), default_library()
POLICY = PROTOCOL.policies.dose


def options_of(record: Record) -> Options:
    made = prescribe(record, protocol=PROTOCOL, library=LIBRARY, today=TODAY)
    return options_for(record, made, protocol=PROTOCOL, library=LIBRARY)


def draft(record: Record, kept: frozenset[str] = frozenset()) -> Programme:
    made = prescribe(record, protocol=PROTOCOL, library=LIBRARY, today=TODAY)
    return draft_programme(record, made, protocol=PROTOCOL, library=LIBRARY, today=TODAY, version=1, kept=kept)


def chosen_in(programme: Programme) -> set[str]:
    return {exercise.movement_id for part in programme.parts for exercise in part.exercises}


def by_hand(eligible: tuple[Option, ...], wanted: Wanted, most: int) -> float:
    """The most points of any set at all: every set is scored with the plain sum."""
    sets = (found for size in range(most + 1) for found in combinations(eligible, size))
    return max(score(found, wanted) for found in sets)


@pytest.mark.parametrize("start", [0, 9, 18])
@pytest.mark.parametrize("emphasis", [False, True])
def test_no_other_set_has_more_points(start: int, emphasis: bool) -> None:
    eligible = options_of(WELL).eligible
    few = tuple(eligible[(start + 3 * i) % len(eligible)] for i in range(11))
    wanted = Wanted(POLICY, emphasis, "climb the stairs with my shopping", frozenset({few[0].movement_id}))
    found = best_set(Options(few, ()), wanted, most=4)
    assert score(found, wanted) == by_hand(tuple(dict.fromkeys(few)), wanted, 4)


def test_with_little_at_hand_more_than_three_of_a_region_are_never_better_than_the_rest() -> None:
    """The limit of three movements of a region is a rule; here it costs nothing."""
    few = tuple(option for option in options_of(WELL).eligible if option.region in ("pull", "calf"))
    wanted = Wanted(POLICY)
    assert score(best_set(Options(few, ()), wanted, most=5), wanted) == by_hand(few, wanted, 5)


@pytest.mark.parametrize("record", [WELL, IRREGULAR])
def test_the_order_of_the_options_makes_no_difference(record: Record) -> None:
    options, wanted = options_of(record), Wanted(POLICY)
    turned = replace(options, eligible=options.eligible[::-1])
    assert best_set(options, wanted, most=6) == best_set(turned, wanted, most=6)


def test_no_order_of_a_part_costs_less() -> None:
    wanted = Wanted(POLICY)
    chosen = with_reasons(best_set(options_of(WELL), wanted, most=10), wanted)
    for part in two_parts(chosen, most_a_part=5):
        legs_first = sum(p.option.upper for p in part) <= len(part) / 2
        costs = {
            order: _first(order[0], not legs_first) + sum(map(_after, order, order[1:])) for order in permutations(part)
        }
        assert costs[in_order(part)] == min(costs.values())


@pytest.mark.parametrize("count", range(11))
def test_every_chosen_movement_is_dealt_to_one_part(count: int) -> None:
    wanted = Wanted(POLICY)
    chosen = with_reasons(best_set(options_of(WELL), wanted, most=count), wanted)
    one, two = two_parts(chosen, most_a_part=5)
    assert sorted(p.option.movement_id for p in (*one, *two)) == sorted(p.option.movement_id for p in chosen)
    assert abs(len(one) - len(two)) <= 1


@pytest.mark.parametrize(
    ("goal", "purpose", "named"),
    [
        ("Carry my grandson up the steps", "Stairs and kerbs", ("steps",)),
        ("Carry my grandson up the steps", "Lifting a kettle, shopping or a child", ("grandson",)),
        ("Do the shopping myself", "Carrying shopping", ("shopping",)),
        ("Back to gardening", "Kneeling to garden, getting up from floor", ("gardening",)),
        ("Get fit", "Carrying shopping", ()),
        ("", "Carrying shopping", ()),
        ("Sit in the sun and read", "Putting luggage on a rack, hanging washing", ()),
    ],
)
def test_the_goal_in_the_persons_words_finds_the_purposes_it_names(
    goal: str, purpose: str, named: tuple[str, ...]
) -> None:
    assert goal_words(goal, purpose) == named


def test_every_word_for_goals_leads_to_some_movement() -> None:
    purposes = [movement.purpose for movement in LIBRARY.movements.values()]
    lost = [row["word"] for row in rows("goal_words") if not any(goal_words(row["word"], p) for p in purposes)]
    assert lost == []


def test_a_goal_brings_its_movement_in_and_says_so() -> None:
    person = replace(WELL, goal="Hang out the washing again")
    assert "overhead_press" not in chosen_in(draft(WELL))
    programme = draft(person)
    exercise = next(e for part in programme.parts for e in part.exercises if e.movement_id == "overhead_press")
    assert any('"washing"' in reason and "hanging washing" in reason for reason in exercise.reasons)
    assert {e.region for part in programme.parts for e in part.exercises} == set(POLICY.required_regions)


def test_what_went_well_stays_and_says_so() -> None:
    kept = frozenset({"hip_extension", "front_raise", "split_squat"})
    assert not kept & chosen_in(draft(WELL))
    programme = draft(WELL, kept)
    assert kept <= chosen_in(programme)
    said = [e.reasons for part in programme.parts for e in part.exercises if e.movement_id in kept]
    assert all("It was in the last signed programme and went well, so it stays." in reasons for reasons in said)


def test_what_went_well_gives_way_to_a_region_that_would_be_uncovered() -> None:
    kept = frozenset({"split_squat", "hip_extension", "hip_hinge_lift", "knee_lift", "side_leg_raise", "mini_squat"})
    programme = draft(WELL, kept)
    assert {e.region for part in programme.parts for e in part.exercises} == set(POLICY.required_regions)


def test_an_uncovered_region_says_what_would_cover_it() -> None:
    kit = replace(HOME, firm_chair=False, armchair=False, worktop=False, clear_wall=False, bottle_pairs_kg=())
    programme = draft(replace(WELL, kit=kit))
    gaps = {left.region: left.reason for left in programme.left_out if left.region and not left.movement_id}
    for region, reason in gaps.items():
        assert "This would cover it: " in reason or "Nothing more at home" in reason, region
    with_it = replace(kit, clear_wall=True)
    assert "a clear wall (Wall press)" in gaps["push"]
    covered = {e.region for part in draft(replace(WELL, kit=with_it)).parts for e in part.exercises}
    assert "push" in covered


def test_what_would_cover_a_region_really_makes_a_movement_usable() -> None:
    empty = replace(WELL, kit=Kit())
    said = {left.region: left.reason for left in draft(empty).left_out if left.region and not left.movement_id}
    assert "a firm chair (" in said["hip"]
    usable = options_of(replace(empty, kit=replace(empty.kit, firm_chair=True))).eligible
    assert "hip" in {option.region for option in usable}

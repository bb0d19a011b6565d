"""Household weights and the next item in the kit."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haleward.errors import OutOfRange
from haleward.movement.loads import household_items, load_equivalents, next_heavier, next_lighter, part_fills

owned = st.lists(st.floats(0.1, 10), max_size=5).map(tuple)


def test_half_a_kilogram_is_a_bottle_of_water_or_a_tin() -> None:
    names = [thing.item for thing in load_equivalents(0.5)]
    assert names[0] == "water 500 mL bottle"
    assert any("food tin" in name for name in names)


def test_four_pints_of_milk_weigh_two_point_three_four_kilograms() -> None:
    milk = next(thing for thing in household_items() if thing.item == "UK milk 4 pint")
    assert milk.mass_kg == pytest.approx(4 * 0.568261 * 1.03, abs=0.01)


def test_an_equivalent_is_never_far_from_the_load() -> None:
    for mass_kg in (0.25, 0.5, 1.0, 1.5, 2.0, 2.5):
        for thing in load_equivalents(mass_kg):
            assert thing.lightest_kg - 0.06 <= mass_kg <= thing.heaviest_kg + 0.06


def test_a_load_of_nothing_has_no_equivalent() -> None:
    with pytest.raises(OutOfRange, match="load is 0"):
        load_equivalents(0)


@given(st.floats(0.1, 10), owned)
def test_the_next_item_is_owned_and_truly_heavier_or_lighter(mass_kg: float, items: tuple[float, ...]) -> None:
    heavier, lighter = next_heavier(mass_kg, items), next_lighter(mass_kg, items)
    assert heavier is None or (heavier in items and heavier > mass_kg)
    assert lighter is None or (lighter in items and lighter < mass_kg)


def test_there_is_nothing_heavier_than_the_heaviest() -> None:
    assert next_heavier(2.0, (1.0, 2.0)) is None
    assert next_heavier(1.0, (1.0, 2.0)) == 2.0
    assert next_lighter(2.0, (0.5, 1.0, 2.0)) == 1.0


@pytest.mark.parametrize(
    ("owned_kg", "fills"),
    [
        ((0.5,), ((0.25, 250),)),
        ((0.5, 1.0), ((0.25, 250), (0.75, 750))),
        ((2.0,), ((0.5, 500), (0.75, 750), (1.0, 1000), (1.25, 1250), (1.5, 1500), (1.75, 1750))),
        ((0.25,), ()),
        ((), ()),
        ((1.05,), ((0.3, 250), (0.55, 500), (0.8, 750))),
    ],
)
def test_a_bottle_is_filled_in_steps_never_under_a_quarter(
    owned_kg: tuple[float, ...], fills: tuple[tuple[float, float], ...]
) -> None:
    assert part_fills(owned_kg) == fills

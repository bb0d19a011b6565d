"""A ladder is made only of what the person has, and goes up."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from haleward.movement.ladder import heaviness_n, may_use, rungs
from haleward.movement.library import default_library
from haleward.movement.model import Held, Movement
from haleward.record import POSTURES, Band, Kit, Posture

EVERYTHING = Kit(
    hand_weight_pairs_kg=(1.0, 2.0),
    bottle_pairs_kg=(0.5,),
    ankle_weight_pairs_kg=(0.5,),
    bands=(Band("blue cupboard", 13.0, 2.4),),
    firm_chair=True,
    armchair=True,
    worktop=True,
    clear_wall=True,
    door_anchor=True,
    step_height_m=0.15,
)
masses = st.one_of(st.none(), st.lists(st.sampled_from((0.5, 1.0, 1.5, 2.0, 3.0)), max_size=3, unique=True).map(tuple))
maybe = st.sampled_from((None, True, False))
bands = st.one_of(
    st.none(),
    st.just(()),
    st.builds(Band, st.just("one"), st.floats(5, 40), st.floats(0.5, 3)).map(lambda band: (band,)),
)
kits = st.builds(
    Kit,
    hand_weight_pairs_kg=masses,
    bottle_pairs_kg=masses,
    ankle_weight_pairs_kg=masses,
    bands=bands,
    firm_chair=maybe,
    armchair=maybe,
    worktop=maybe,
    clear_wall=maybe,
    door_anchor=maybe,
    step_height_m=st.sampled_from((None, 0.0, 0.15)),
)
movements = st.sampled_from(list(default_library().movements.values()))
postures = st.sets(st.sampled_from(POSTURES)).map(lambda chosen: tuple(p for p in POSTURES if p in chosen))


def owned(kit: Kit, name: str) -> bool:
    return bool(getattr(kit, name))


@settings(max_examples=150, deadline=None)
@given(movements, kits, postures, st.one_of(st.none(), st.floats(0.5, 3)))
def test_a_ladder_never_offers_what_the_person_does_not_have(
    movement: Movement, kit: Kit, allowed: tuple[Posture, ...], most: float | None
) -> None:
    for rung in rungs(movement, kit=kit, postures=allowed, stature_m=1.68, mass_kg=75, light_most_kg=most):
        form, load = movement.postures[rung.posture], rung.load
        assert rung.posture in allowed
        assert load.kit in form.kits
        assert form.equipment == ""
        assert all(owned(kit, need) for need in (*form.needs, *form.kit_use[load.kit].needs))
        if load.kit == "band":
            assert load.band in {band.name for band in kit.bands or ()}
            assert load.peak_n is not None
            assert load.peak_n > 0
        elif load.fill_ml is not None:
            assert load.mass_kg is not None
            assert load.mass_kg < max(kit.bottle_pairs_kg or ())
        elif load.kit != "own_weight":
            assert load.mass_kg in (getattr(kit, f"{load.kit}_pairs_kg") or ())
        if most is not None:
            assert heaviness_n(load) <= 9.81 * most + 1e-6


@settings(max_examples=60, deadline=None)
@given(movements, kits)
def test_a_ladder_goes_up_in_posture_and_then_in_load(movement: Movement, kit: Kit) -> None:
    found = rungs(movement, kit=kit, postures=POSTURES, stature_m=1.68, mass_kg=75)
    order = [(POSTURES.index(rung.posture), heaviness_n(rung.load)) for rung in found]
    assert order == sorted(order)
    assert len({(rung.posture, rung.load) for rung in found}) == len(found)


def test_kit_that_was_not_asked_for_counts_as_not_there() -> None:
    for movement in default_library().movements.values():
        for rung in rungs(movement, kit=Kit(), postures=POSTURES, stature_m=1.7, mass_kg=70):
            assert movement.postures[rung.posture].needs == ()
            assert rung.load.kit == "own_weight"


def test_two_bottles_and_a_chair_give_a_curl_with_bottles_seated_first() -> None:
    kit = Kit(bottle_pairs_kg=(0.5,), firm_chair=True)
    found = rungs(default_library().movement("biceps_curl"), kit=kit, postures=POSTURES, stature_m=1.7, mass_kg=70)
    assert [(rung.posture, rung.load.kit, rung.load.fill_ml) for rung in found] == [
        (posture, *load) for posture in POSTURES for load in (("own_weight", None), ("bottle", 250), ("bottle", None))
    ]


def test_a_venue_machine_is_never_on_a_home_ladder() -> None:
    for name in ("static_cycle", "arm_cycle", "rowing_machine", "box_to_shelf"):
        movement = default_library().movement(name)
        assert rungs(movement, kit=EVERYTHING, postures=POSTURES, stature_m=1.7, mass_kg=70) == ()


def test_band_rungs_need_the_persons_size() -> None:
    movement = default_library().movement("band_row")
    unknown = rungs(movement, kit=EVERYTHING, postures=POSTURES, stature_m=None, mass_kg=70)
    assert {rung.load.kit for rung in unknown} == {"own_weight"}
    known = rungs(movement, kit=EVERYTHING, postures=POSTURES, stature_m=1.7, mass_kg=70)
    assert {rung.load.kit for rung in known} == {"own_weight", "band"}


@pytest.mark.parametrize("name", ["band_row", "biceps_curl", "band_pull_apart", "chest_press", "seated_leg_press"])
def test_a_shorter_hold_of_a_band_is_a_harder_rung(name: str) -> None:
    found = rungs(default_library().movement(name), kit=EVERYTHING, postures=POSTURES, stature_m=1.7, mass_kg=70)
    for posture in POSTURES:
        holds = [rung.load for rung in found if rung.posture == posture and rung.load.kit == "band"]
        lengths = [load.hold_length_m for load in holds]
        assert lengths == sorted(lengths, reverse=True)
    assert any(rung.load.kit == "band" for rung in found)


@pytest.mark.parametrize(
    ("latex", "latex_ok", "can_grip", "held", "usable"),
    [
        (True, False, True, "each_hand", False),
        (None, False, True, "each_hand", False),
        (False, False, True, "each_hand", True),
        (True, None, None, "each_hand", True),
        (False, True, False, "each_hand", False),
        (False, True, False, "worn", True),
    ],
)
def test_a_band_that_harms_the_skin_or_cannot_be_held_is_not_used(
    latex: bool | None, latex_ok: bool | None, can_grip: bool | None, held: Held, usable: bool
) -> None:
    band = Band("one", 13.0, 2.0, latex=latex, latex_ok=latex_ok, can_grip=can_grip)
    assert may_use(band, held=held) is usable


def test_a_band_too_short_to_hold_gives_no_rung() -> None:
    short = Kit(bands=(Band("stub", 13.0, 0.5),), firm_chair=True, door_anchor=True)
    found = rungs(default_library().movement("band_row"), kit=short, postures=POSTURES, stature_m=1.7, mass_kg=70)
    assert {rung.load.kit for rung in found} == {"own_weight"}

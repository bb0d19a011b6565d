"""The same load in other kit: by mean and by peak, the safer one, rounded down to what is owned and allowed."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from haleward.dose.kit_same import Same, same_in_kit
from haleward.dose.loads import as_mass_kg, same_load
from haleward.dose.model import Exercise, Load
from haleward.dose.options import Choice, options_for
from haleward.dose.prescription import prescribe
from haleward.dose.programme import exercise_for
from haleward.movement.library import default_library
from haleward.record import Band, Kit, Record, Restriction
from haleward.safety.protocol import default_protocol
from tests.dose.people import HOME, TODAY, WELL

PROTOCOL, LIBRARY = default_protocol(), default_library()
BAND = Band("long band", 13.0, 3.0)
RICH = replace(HOME, hand_weight_pairs_kg=(1.0, 2.0), bottle_pairs_kg=(0.5, 1.0), bands=(BAND,), door_anchor=True)


def same(record: Record, movement: str, load: Load) -> tuple[Same, ...]:
    made = prescribe(record, protocol=PROTOCOL, library=LIBRARY, today=TODAY)
    option = options_for(record, made, protocol=PROTOCOL, library=LIBRARY).find(movement)
    assert option is not None
    choice = Choice(option.start.posture, load, 0)
    exercise: Exercise = exercise_for(option, choice, made.placement, library=LIBRARY, policy=PROTOCOL.policies.dose)
    return same_in_kit(exercise, option, record, LIBRARY)


def person(kit: Kit) -> Record:
    return replace(WELL, kit=kit)


def test_a_weight_in_each_hand_is_a_bottle_with_so_much_water() -> None:
    found = {one.kit: one for one in same(person(RICH), "biceps_curl", Load("hand_weight", 1.0))}
    assert found["bottle"].text == "Bottle: 1 kg, 1000 mL of water (1 kg by the mean load, 1 kg by the peak)."
    assert found["bottle"].owned == "At home: 1 kg."
    assert found["band"].text.startswith("long band: hold it at ")


def test_what_is_owned_is_rounded_down_and_never_up() -> None:
    kit = replace(RICH, bottle_pairs_kg=(0.5,))
    found = {one.kit: one for one in same(person(kit), "biceps_curl", Load("hand_weight", 2.0))}
    assert found["bottle"].load == Load("bottle", 0.5)
    heavy = replace(RICH, bottle_pairs_kg=(0.5,), hand_weight_pairs_kg=(2.0,))
    found = {one.kit: one for one in same(person(heavy), "biceps_curl", Load("bottle", 0.5))}
    assert found["hand_weight"].owned.startswith("Not possible safely with the kit at home")
    assert found["hand_weight"].load is None


def test_a_band_is_told_by_mean_by_peak_and_by_what_five_centimetres_do() -> None:
    found = {one.kit: one for one in same(person(RICH), "lateral_raise", Load("bottle", 1.0))}
    assert "by the mean load" in found["band"].text
    assert "5 cm shorter" in found["band"].text


def test_own_weight_and_a_person_without_measures_have_no_equivalents() -> None:
    assert same(person(RICH), "biceps_curl", Load("own_weight")) == ()
    unmeasured = replace(person(RICH), mass_kg=None)
    assert same(unmeasured, "biceps_curl", Load("bottle", 0.5)) == ()


@pytest.mark.parametrize("movement", ["biceps_curl", "lateral_raise", "front_raise", "upright_row", "chest_press"])
@pytest.mark.parametrize("limit_kg", [0.5, 1.0, 3.0])
def test_nothing_owned_is_offered_over_what_the_person_may_use(movement: str, limit_kg: float) -> None:
    limit = Restriction("other", "Light", "Dr D", date(2026, 1, 1), date(2026, 6, 1), load_limit_kg=limit_kg)
    record = replace(person(RICH), restrictions=(limit,))
    made = prescribe(record, protocol=PROTOCOL, library=LIBRARY, today=TODAY)
    option = options_for(record, made, protocol=PROTOCOL, library=LIBRARY).find(movement)
    assert option is not None
    for one in same(record, movement, Load("bottle", 0.5)):
        assert one.load is None or as_mass_kg(one.load) <= limit_kg + 1e-6
        assert one.load is None or any(same_load(one.load, choice.load) for choice in option.choices)
        assert one.text

"""Which movements, postures and loads fit one person, and the sentence for each that does not."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from haleward.dose.loads import as_mass_kg
from haleward.dose.options import Options, options_for
from haleward.dose.prescription import prescribe
from haleward.movement.library import default_library
from haleward.record import POSTURES, Band, Device, DeviceKind, Event, Kit, Record, Restriction
from haleward.safety.protocol import default_protocol
from tests.dose.people import ANSWERS, HOME, IRREGULAR, TODAY, WELL

PROTOCOL, LIBRARY = default_protocol(), default_library()
STERNUM = Restriction(
    "sternum", "Nothing over 2 kg", "Mr Surgeon", date(2026, 1, 1), date(2026, 2, 20), load_limit_kg=2
)
UNKNOWN_STERNUM = {name: value for name, value in ANSWERS.items() if name != "sternotomy"}


def options_of(record: Record) -> Options:
    prescription = prescribe(record, protocol=PROTOCOL, library=LIBRARY, today=TODAY)
    return options_for(record, prescription, protocol=PROTOCOL, library=LIBRARY)


def after_sternotomy(weeks: float, **changes: object) -> Record:
    opened = TODAY - timedelta(days=round(7 * weeks))
    person = replace(WELL, events=(Event("cabg", opened, sternotomy=True),), answers=UNKNOWN_STERNUM)
    return replace(person, **changes)  # type: ignore[arg-type]


def heaviest_kg(options: Options, movement_id: str) -> float:
    option = options.find(movement_id)
    assert option is not None
    return max(as_mass_kg(choice.load) for choice in option.choices)


def test_every_movement_but_the_aerobic_ones_is_usable_or_left_out_never_both() -> None:
    options = options_of(WELL)
    usable = {option.movement_id for option in options.eligible}
    left = {one.movement_id for one in options.left_out if one.movement_id}
    assert usable | left == {m.id for m in LIBRARY.movements.values() if m.region != "aerobic"}
    assert not usable & left
    assert all(one.reason.endswith((".", ")")) for one in options.left_out)


def test_nobody_is_given_a_harder_posture_than_their_placement() -> None:
    for option in options_of(IRREGULAR).eligible:
        assert {choice.posture for choice in option.choices} <= {"seated", "hand_supported"}


def test_two_bottles_give_loads_of_nothing_a_half_and_one_kilogram_and_part_fills_between() -> None:
    loads = {c.load for option in options_of(IRREGULAR).eligible for c in option.choices}
    assert {as_mass_kg(load) for load in loads if load.fill_ml is None} == {0, 0.5, 1.0}
    assert {load.fill_ml: as_mass_kg(load) for load in loads if load.fill_ml is not None} == {250: 0.25, 750: 0.75}


def test_narrow_base_movements_use_their_own_posture() -> None:
    prescription = prescribe(WELL, protocol=PROTOCOL, library=LIBRARY, today=TODAY)
    held = replace(prescription, placement=replace(prescription.placement, narrow_base_posture="hand_supported"))
    options = options_for(WELL, held, protocol=PROTOCOL, library=LIBRARY)
    tandem, heel = options.find("tandem_stance"), options.find("heel_raise")
    assert tandem is not None
    assert heel is not None
    assert (tandem.start.posture, heel.start.posture) == ("hand_supported", "standing")


def test_a_chair_nobody_asked_about_is_asked_for_and_a_missing_one_is_said() -> None:
    asked = options_of(replace(WELL, kit=replace(HOME, firm_chair=None))).why_not("knee_extension")
    none = options_of(replace(WELL, kit=replace(HOME, firm_chair=False))).why_not("knee_extension")
    assert asked is not None
    assert none is not None
    assert asked.reason == "Leg straightening is left out for now. Ask if there is a firm chair at home."
    assert none.reason == "Leg straightening is left out: it needs a firm chair, which is not at home."


def test_bands_nobody_asked_about_are_asked_for() -> None:
    left = options_of(replace(WELL, kit=replace(HOME, bands=None))).why_not("band_pull_apart")
    assert left is not None
    assert left.reason == "Band pull-apart is left out for now. Ask about a measured band at home."


def test_a_band_without_height_and_weight_says_what_it_needs() -> None:
    kit = replace(HOME, bands=(Band("B", 13, 1.2),))
    left = options_of(replace(WELL, kit=kit, stature_m=None)).why_not("band_pull_apart")
    assert left is not None
    assert "height and weight" in left.reason


def test_nothing_is_assumed_in_an_empty_home() -> None:
    options = options_of(replace(WELL, kit=Kit()))
    assert {option.movement_id for option in options.eligible} == {"weighted_carry"}
    assert all(choice.load.kit == "own_weight" for choice in options.eligible[0].choices)


@pytest.mark.parametrize("weeks", [0, 5.9])
def test_under_six_weeks_arms_move_without_load(weeks: float) -> None:
    options = options_of(after_sternotomy(weeks))
    for option in options.eligible:
        if option.upper:
            assert {as_mass_kg(choice.load) for choice in option.choices} == {0}
    assert options.find("wall_press") is None
    left = options.why_not("wall_press")
    assert left is not None
    assert left.rule_id == "R090"


@pytest.mark.parametrize(("weeks", "heaviest"), [(6.1, 2.0), (11.9, 2.0), (12, 3.0)])
def test_from_six_to_twelve_weeks_arms_lift_up_to_two_kilograms(weeks: float, heaviest: float) -> None:
    kit = replace(HOME, bottle_pairs_kg=(1.0, 2.0, 3.0))
    options = options_of(after_sternotomy(weeks, kit=kit))
    assert heaviest_kg(options, "biceps_curl") == heaviest
    assert (options.find("wall_press") is None) is (weeks < 12)


FULL_HOME = replace(
    HOME,
    hand_weight_pairs_kg=(1.0, 5.0),
    bottle_pairs_kg=(1.0, 2.0, 5.0),
    ankle_weight_pairs_kg=(3.0,),
    bands=(Band("flat", 13.0, 1.5, latex=False, can_grip=True),),
    step_height_m=0.15,
)
HELD_IN_LEG_WORK = ("mini_squat", "sit_to_stand", "split_squat", "step_up", "heel_raise")


@pytest.mark.parametrize(("weeks", "heaviest"), [(2, 0.0), (5.9, 0.0), (8, 2.0), (11.9, 2.0), (12, 5.0)])
def test_what_the_hands_hold_in_leg_work_is_arm_load_to_the_breastbone(weeks: float, heaviest: float) -> None:
    options = options_of(after_sternotomy(weeks, kit=FULL_HOME))
    assert {movement: heaviest_kg(options, movement) for movement in HELD_IN_LEG_WORK} == dict.fromkeys(
        HELD_IN_LEG_WORK, heaviest
    )
    assert heaviest_kg(options, "knee_extension") >= 3  # on the ankles: no hand holds it
    pulled = options.find("seated_leg_press")
    assert (pulled is None) is (weeks < 12)  # "light only", and the band pulls with more than that
    if pulled is None:
        assert getattr(options.why_not("seated_leg_press"), "rule_id", "") == "R090"


def test_a_restriction_on_the_breastbone_leaves_a_light_load_in_the_hands_at_most() -> None:
    options = options_of(replace(WELL, kit=FULL_HOME, restrictions=(replace(STERNUM, load_limit_kg=None),)))
    for movement in (*HELD_IN_LEG_WORK, "reach_to_shelf"):
        assert heaviest_kg(options, movement) == PROTOCOL.policies.dose.light_load_most_kg, movement
    assert heaviest_kg(options, "knee_extension") >= 3


def test_an_operation_without_a_date_keeps_arm_loads_out_and_asks() -> None:
    undated = replace(WELL, events=(Event("cabg", None, sternotomy=True),), answers=UNKNOWN_STERNUM)
    options = options_of(undated)
    assert heaviest_kg(options, "biceps_curl") == 0
    left = options.why_not("wall_press")
    assert left is not None
    assert "Not recorded: time since the breastbone operation" in left.reason


def test_a_restriction_past_its_review_still_applies_and_says_so() -> None:
    options = options_of(after_sternotomy(20, restrictions=(STERNUM,)))
    left = options.why_not("wall_press")
    assert left is not None
    assert left.reason == (
        'Wall press is left out: "Nothing over 2 kg" (Mr Surgeon, 1 January 2026; review was due 20 February 2026 '
        "and it still applies). For this, the library says: hold until cleared."
    )
    assert left.rule_id == "restriction.sternum"
    assert heaviest_kg(options, "biceps_curl") == 0


@pytest.mark.parametrize(("released_on", "applies"), [(None, True), (TODAY, False), (TODAY + timedelta(days=1), True)])
def test_only_a_release_ends_a_restriction(released_on: date | None, applies: bool) -> None:
    person = after_sternotomy(20, restrictions=(replace(STERNUM, released_on=released_on),))
    assert (options_of(person).find("wall_press") is None) is applies


def test_a_load_limit_counts_for_every_load() -> None:
    limit = Restriction(
        "other", "No more than half a kilo", "Dr D", date(2026, 1, 1), date(2026, 6, 1), load_limit_kg=0.5
    )
    options = options_of(replace(WELL, restrictions=(limit,)))
    assert max(as_mass_kg(c.load) for option in options.eligible for c in option.choices) == 0.5
    assert options.left_out[0].reason == (
        'This restriction cannot be applied by rule: "No more than half a kilo" (Dr D, 1 January 2026, review 1 June '
        "2026). Check each movement against it."
    )


def test_a_balance_restriction_keeps_people_at_a_support_or_seated() -> None:
    limit = Restriction("balance", "Unsteady since the fall", "Nurse N", date(2026, 1, 1), date(2026, 6, 1))
    options = options_of(replace(WELL, restrictions=(limit,)))
    for option in options.eligible:
        caution = LIBRARY.movement(option.movement_id).cautions["balance"]
        hardest = max((choice.posture for choice in option.choices), key=POSTURES.index)
        if caution == "supported":
            assert hardest != "standing", option.movement_id
        if caution.startswith("seated"):
            assert hardest == "seated", option.movement_id


def test_reaching_up_waits_six_weeks_beside_a_new_device() -> None:
    device = Device("icd", lowest_detection_bpm=180, implanted_on=TODAY - timedelta(weeks=3), read_on=TODAY)
    left = options_of(replace(WELL, device=device)).why_not("reach_to_shelf")
    assert left is not None
    assert left.rule_id == "R102"
    later = replace(device, implanted_on=TODAY - timedelta(weeks=7))
    assert options_of(replace(WELL, device=later)).find("reach_to_shelf") is not None
    undated = options_of(replace(WELL, device=replace(device, implanted_on=None))).why_not("reach_to_shelf")
    assert undated is not None
    assert "Not recorded" in undated.reason


HELD_BESIDE_A_NEW_DEVICE = (
    "front_raise",
    "lateral_raise",
    "upright_row",
    "band_pull_apart",
    "chair_push_up",
    "chest_press",
)
LIGHT_BESIDE_A_NEW_DEVICE = ("single_arm_row", "weighted_carry", "biceps_curl", "mini_squat")


def beside(device: Device | None) -> Options:
    return options_of(replace(WELL, kit=FULL_HOME, device=device))


def implanted(weeks: float, kind: DeviceKind = "pacemaker") -> Device:
    return Device(kind, implanted_on=TODAY - timedelta(days=round(7 * weeks)))


@pytest.mark.parametrize("device", [implanted(0), implanted(5.9, "icd"), Device("pacemaker"), None])
def test_the_arm_beside_a_new_device_or_one_without_a_date_is_spared(device: Device | None) -> None:
    options = beside(device)
    for movement in HELD_BESIDE_A_NEW_DEVICE:
        left = options.why_not(movement)
        assert left is not None, movement
        assert left.rule_id in ("setting.device_arm_weeks", "R102")
    for movement in LIGHT_BESIDE_A_NEW_DEVICE:
        assert heaviest_kg(options, movement) == PROTOCOL.policies.dose.light_load_most_kg, movement
    assert heaviest_kg(options, "knee_extension") >= 3
    curl = options.find("biceps_curl")
    assert curl is not None
    assert any("the elbow stays below the shoulder, and a hand holds at most 1 kg" in note for note in curl.notes)


@pytest.mark.parametrize("device", [implanted(6), implanted(1, "loop_recorder"), Device("none")])
def test_after_these_weeks_or_without_a_lead_the_arm_works_as_the_other(device: Device) -> None:
    options = beside(device)
    assert {heaviest_kg(options, movement) for movement in LIGHT_BESIDE_A_NEW_DEVICE} == {5}
    assert all(options.find(movement) for movement in HELD_BESIDE_A_NEW_DEVICE)


def test_the_reason_beside_a_new_device_says_how_long_and_what_is_not_recorded() -> None:
    known, undated = beside(implanted(2)).why_not("band_pull_apart"), beside(Device("icd")).why_not("band_pull_apart")
    assert known is not None
    assert undated is not None
    assert known.reason.endswith(
        " is left out: less than 6 weeks since the heart device was implanted. For that arm, the library says: hold."
    )
    assert undated.reason.endswith("Not recorded: time since the device was implanted.")


def test_arms_start_with_the_lightest_load_and_legs_with_own_weight() -> None:
    options = options_of(replace(WELL, kit=replace(HOME, ankle_weight_pairs_kg=(1.0,))))
    curl, leg = options.find("biceps_curl"), options.find("side_leg_raise")
    assert curl is not None
    assert leg is not None
    assert (curl.start.load.kit, curl.start.load.mass_kg) == ("bottle", 0.5)
    assert leg.start.load.kit == "own_weight"
    limit = Restriction("other", "Very light", "Dr D", date(2026, 1, 1), date(2026, 6, 1), load_limit_kg=0.4)
    lighter = options_of(replace(WELL, restrictions=(limit,))).find("biceps_curl")
    assert lighter is not None
    assert lighter.start.load.fill_ml == 250
    assert any(choice.load.kit == "ankle_weight" for choice in leg.choices)

"""What caution words and restrictions leave of a movement."""

from __future__ import annotations

from datetime import date

import pytest

from haleward.dose.cautions import Allowance, allowance, combined, goes_overhead, under_restriction
from haleward.movement.library import default_library
from haleward.record import POSTURES, Restriction, RestrictionKind

LIBRARY = default_library()


def restriction(kind: RestrictionKind, *, limit_kg: float | None = None, ids: tuple[str, ...] = ()) -> Restriction:
    return Restriction(
        kind, "as written", "Nurse N", date(2026, 1, 1), date(2026, 4, 1), movement_ids=ids, load_limit_kg=limit_kg
    )


@pytest.mark.parametrize(
    ("caution", "allowed", "load_most_kg", "postures"),
    [
        ("ok", True, None, POSTURES),
        ("ok: small arms", True, None, POSTURES),
        ("unloaded", True, 0, POSTURES),
        ("light_only", True, 1.5, POSTURES),
        ("light_only: pull on hands is a load", True, 1.5, POSTURES),
        ("below_shoulder", True, None, POSTURES),
        ("supported", True, None, ("seated", "hand_supported")),
        ("seated if unsteady", True, None, ("seated",)),
        ("modify: shallow", True, None, POSTURES),
        ("modify", False, None, POSTURES),
        ("modify: avoid if impingement; swap for row", False, None, POSTURES),
        ("hold", False, None, POSTURES),
        ("hold until cleared", False, None, POSTURES),
        ("hold arms", False, None, POSTURES),
        ("avoid if painful", False, None, POSTURES),
        ("avoid: deep hip bend", False, None, POSTURES),
        ("", False, None, POSTURES),
        ("a word nobody knows", False, None, POSTURES),
    ],
)
def test_a_caution_word_is_read(
    caution: str, allowed: bool, load_most_kg: float | None, postures: tuple[str, ...]
) -> None:
    found = allowance(caution, light_load_most_kg=1.5)
    assert (found.allowed, found.load_most_kg, found.postures) == (allowed, load_most_kg, postures)


def test_every_caution_word_of_the_library_is_known_or_allows_nothing() -> None:
    words = {caution for m in LIBRARY.movements.values() for k, caution in m.cautions.items() if k != "other"}
    refused = {caution for caution in words if not allowance(caution, light_load_most_kg=1).allowed}
    assert all("hold" in c or "avoid" in c or c == "modify" for c in refused), refused


def test_a_hip_restriction_without_a_described_change_leaves_the_movement_out() -> None:
    movement = next(m for m in LIBRARY.movements.values() if m.cautions["hip_replacement"] == "modify")
    form = next(iter(movement.postures.values()))
    assert not under_restriction(movement, form, restriction("hip_replacement"), light_load_most_kg=1).allowed


def test_no_grip_leaves_only_what_no_hand_closes_on() -> None:
    curl = LIBRARY.movement("biceps_curl")
    found = under_restriction(curl, curl.postures["standing"], restriction("no_grip"), light_load_most_kg=1)
    assert found.kits == ("own_weight",)
    leg = LIBRARY.movement("side_leg_raise")
    found = under_restriction(leg, leg.postures["standing"], restriction("no_grip"), light_load_most_kg=1)
    assert set(found.kits) == {"own_weight", "band", "ankle_weight"}


def test_overhead_movements_are_found_from_their_poses() -> None:
    overhead = {m.id for m in LIBRARY.movements.values() if any(goes_overhead(f) for f in m.postures.values())}
    assert {"overhead_press", "reach_to_shelf"} <= overhead
    assert not overhead & {"biceps_curl", "front_raise", "sit_to_stand", "single_arm_row"}
    press = LIBRARY.movement("overhead_press")
    found = under_restriction(press, press.postures["seated"], restriction("no_overhead"), light_load_most_kg=1)
    assert not found.allowed


def test_no_step_and_named_movements_are_left_out() -> None:
    step = LIBRARY.movement("step_up")
    form = step.postures["standing"]
    assert not under_restriction(step, form, restriction("no_step"), light_load_most_kg=1).allowed
    assert not under_restriction(step, form, restriction("movement", ids=("step_up",)), light_load_most_kg=1).allowed
    assert under_restriction(step, form, restriction("movement", ids=("heel_raise",)), light_load_most_kg=1).allowed


def test_the_lower_of_two_limits_counts() -> None:
    curl = LIBRARY.movement("biceps_curl")
    form = curl.postures["standing"]
    limited = under_restriction(curl, form, restriction("other", limit_kg=2), light_load_most_kg=1)
    assert limited.load_most_kg == 2
    unloaded = under_restriction(curl, form, restriction("sternum", limit_kg=2), light_load_most_kg=1)
    assert unloaded.load_most_kg == 0
    assert combined((limited, unloaded)).load_most_kg == 0
    assert combined(()) == Allowance(allowed=True)

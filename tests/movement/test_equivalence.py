"""Loads that weigh the same in one movement on one body, matched and matched back."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from haleward.errors import HalewardError
from haleward.movement.bands import LONGEST_STRETCH
from haleward.movement.body import Body
from haleward.movement.equivalence import (
    Lever,
    Match,
    NoMatch,
    added_by_shortening_nm,
    hold_like,
    mass_like,
    owned_at_most,
)
from haleward.movement.library import default_library
from haleward.movement.loads import LoadSpec
from haleward.movement.model import Joint
from haleward.movement.torque import WorkingPath
from haleward.record import Band, Posture

BAND = Band("flat", 13.0, 2.4)
STRONG = Band("wide", 22.0, 5.0)


def lever(movement: str, posture: Posture, joint: Joint, stature_m: float = 1.70, mass_kg: float = 80) -> Lever:
    form = default_library().form(movement, posture)
    return Lever(WorkingPath(form, Body(stature_m=stature_m, mass_kg=mass_kg), joint, "winter", "left"))


CURL = lever("biceps_curl", "standing", "elbow")
LEVERS = [
    CURL,
    lever("biceps_curl", "seated", "elbow", 1.55, 60),
    lever("lateral_raise", "standing", "shoulder"),
    lever("front_raise", "seated", "shoulder", 1.90, 95),
    lever("upright_row", "standing", "shoulder"),
    lever("triceps_kickback", "standing", "elbow"),
]


def test_it_works() -> None:
    match = hold_like(CURL, LoadSpec("bottle", mass_kg=1.0), BAND)
    assert isinstance(match, Match)
    assert match.used == max(match.by_mean, match.by_peak)  # the longer hold pulls less


def test_a_worked_band_curl_matches_nearly_what_the_reference_found() -> None:
    """Reference: held 0.65 m, 13 N: 1.56 kg by mean, 1.80 kg by peak, with the band 5 cm ahead of the elbow line."""
    match = mass_like(CURL, LoadSpec("band", band="flat", hold_length_m=0.65), "hand_weight", band=BAND)
    assert isinstance(match, Match)
    assert match.by_mean == pytest.approx(1.56, rel=0.10)
    assert match.by_peak == pytest.approx(1.80, rel=0.10)
    assert match.used == match.by_mean


@pytest.mark.parametrize("one", LEVERS)
@pytest.mark.parametrize("mass_kg", [0.5, 1.0, 2.0])
def test_a_mass_turned_into_a_hold_and_back_is_the_same_mass(one: Lever, mass_kg: float) -> None:
    hold = hold_like(one, LoadSpec("bottle", mass_kg=mass_kg), STRONG)
    if isinstance(hold, NoMatch):
        pytest.fail(hold.reason)
    for length_m, which in ((hold.by_mean, "by_mean"), (hold.by_peak, "by_peak")):
        back = mass_like(one, LoadSpec("band", band="wide", hold_length_m=length_m), "bottle", band=STRONG)
        assert getattr(back, which) == pytest.approx(mass_kg, rel=1e-3)


@pytest.mark.parametrize("one", LEVERS)
def test_equal_masses_match_whatever_they_are_called(one: Lever) -> None:
    match = mass_like(one, LoadSpec("bottle", mass_kg=0.75), "hand_weight")
    assert isinstance(match, Match)
    assert (match.by_mean, match.by_peak) == pytest.approx((0.75, 0.75))


@given(hold=st.floats(0.4, 1.2), shorter=st.floats(0.01, 0.3))
@settings(max_examples=60, deadline=None)
def test_a_shorter_hold_never_pulls_less(hold: float, shorter: float) -> None:
    before, after = (np.abs(CURL.band_nm(BAND, length)) for length in (hold, hold * (1 - shorter)))
    assert after.max() >= before.max() - 1e-9
    assert after.mean() >= before.mean() - 1e-9


@given(mass_kg=st.floats(0.2, 12))
@settings(max_examples=40, deadline=None)
def test_no_offered_hold_stretches_a_band_beyond_its_limit_or_its_length(mass_kg: float) -> None:
    match = hold_like(CURL, LoadSpec("hand_weight", mass_kg=mass_kg), BAND)
    if isinstance(match, NoMatch):
        assert match.reason
        return
    longest = max(float(strand.max()) for strand in CURL._arms[1])
    assert longest / match.used <= LONGEST_STRETCH + 1e-6
    assert 2 * match.used < BAND.rest_length_m


def test_a_load_too_heavy_for_the_band_is_refused_in_words() -> None:
    match = hold_like(CURL, LoadSpec("hand_weight", mass_kg=12.0), BAND)
    assert match == NoMatch("band", '"flat" cannot pull that hard within its safe stretch')


def test_a_band_too_short_for_the_path_is_refused() -> None:
    match = hold_like(CURL, LoadSpec("bottle", mass_kg=0.5), Band("short", 13.0, 1.0))
    assert match == NoMatch("band", '"short" is too short for this movement')


def test_kit_that_the_movement_does_not_use_is_refused() -> None:
    match = mass_like(CURL, LoadSpec("bottle", mass_kg=1.0), "ankle_weight")
    assert match == NoMatch("ankle_weight", "this movement is not done with ankle weight in this posture")


def test_a_load_that_only_hangs_from_the_joint_cannot_be_matched() -> None:
    heels = lever("heel_raise", "seated", "ankle")
    assert isinstance(mass_like(heels, LoadSpec("bottle", mass_kg=1.0), "hand_weight"), NoMatch)


def test_what_is_owned_is_never_heavier_than_what_was_worked_out() -> None:
    assert owned_at_most(1.4, (0.5, 1.0, 1.5)) == 1.0
    assert owned_at_most(0.4, (0.5, 1.0)) is None


def test_shortening_by_five_centimetres_says_what_it_does() -> None:
    before, after = added_by_shortening_nm(CURL, BAND, hold_length_m=0.80, shorter_by_m=0.05)
    assert 0 < before < after


def test_shortening_past_the_safe_stretch_is_an_error() -> None:
    with pytest.raises(HalewardError, match="beyond its safe limit"):
        added_by_shortening_nm(CURL, BAND, hold_length_m=0.35, shorter_by_m=0.10)

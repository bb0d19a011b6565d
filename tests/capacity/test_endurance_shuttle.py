"""The endurance shuttle walk: its speeds, how one is chosen, its score; and METs of a level by named method."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haleward.capacity.endurance_shuttle import (
    endurance_score,
    endurance_shuttle_interval_s,
    endurance_shuttle_speed_km_per_h_hill_2012,
    endurance_shuttle_speed_km_per_h_vo2,
    shuttle_speed_km_per_h_buckley_2016,
    track_for,
    tracks,
)
from haleward.capacity.field_vo2 import vo2_shuttle_walk_buckley_2016
from haleward.capacity.shuttle_mets import METHODS, SOURCES, level_met
from haleward.errors import HalewardError, OutOfRange
from haleward.units import m_per_min_from_km_per_h
from haleward.worksheet import Figure, NotComputed
from tests.formula.arguments import FEW

SPEEDS = st.floats(1.5, 12)


def test_there_are_sixteen_speeds_each_faster_than_the_last() -> None:
    assert [track.track for track in tracks()] == list(range(1, 17))
    speeds = [track.speed_km_per_h for track in tracks()]
    assert speeds == sorted(set(speeds))
    assert (speeds[0], speeds[-1]) == (1.78, 6.0)


@FEW
@given(speed=SPEEDS)
def test_pace_and_oxygen_uptake_return(speed: float) -> None:
    vo2 = vo2_shuttle_walk_buckley_2016(speed_km_per_h=speed)
    assert shuttle_speed_km_per_h_buckley_2016(vo2_ml_per_kg_min=vo2) == pytest.approx(speed, rel=1e-9)


@FEW
@given(speed=st.floats(2, 12), fraction=st.floats(0.5, 1))
def test_the_speed_uses_the_fraction_of_the_peak(speed: float, fraction: float) -> None:
    slower = endurance_shuttle_speed_km_per_h_vo2(peak_speed_km_per_h=speed, fraction=fraction)
    assert slower <= speed + 1e-12
    peak = vo2_shuttle_walk_buckley_2016(speed_km_per_h=speed)
    assert 4.4 * math.exp(0.23 * slower) == pytest.approx(fraction * peak, rel=1e-9)


@FEW
@given(speed=st.floats(1.5, 11), fraction=st.floats(0.5, 1), more=st.floats(0.01, 1))
def test_a_faster_peak_means_a_faster_speed(speed: float, fraction: float, more: float) -> None:
    for method in (endurance_shuttle_speed_km_per_h_vo2, endurance_shuttle_speed_km_per_h_hill_2012):
        slow, fast = (method(peak_speed_km_per_h=one, fraction=fraction) for one in (speed, speed + more))
        assert slow < fast


@FEW
@given(speed=st.floats(0.5, 12))
def test_the_signals_make_the_speed(speed: float) -> None:
    seconds = endurance_shuttle_interval_s(speed_km_per_h=speed)
    assert 10 / seconds * 60 == pytest.approx(m_per_min_from_km_per_h(speed_km_per_h=speed), rel=1e-9)


@FEW
@given(speed=st.floats(1.7, 6.1))
def test_the_nearest_track_is_taken(speed: float) -> None:
    chosen = track_for(speed_km_per_h=speed)
    assert all(abs(chosen.speed_km_per_h - speed) <= abs(other.speed_km_per_h - speed) + 1e-12 for other in tracks())


@pytest.mark.parametrize("speed", [1.6, 6.2])
def test_a_speed_beyond_the_tracks_is_refused_with_their_ends(speed: float) -> None:
    with pytest.raises(OutOfRange, match=r"Endurance shuttle speed is .* from 1\.625 to 6\.12 km/h"):
        track_for(speed_km_per_h=speed)


def test_of_two_tracks_as_near_the_slower_is_taken() -> None:
    first, second = tracks()[4], tracks()[5]
    between = (first.speed_km_per_h + second.speed_km_per_h) / 2
    assert track_for(speed_km_per_h=between - 1e-9).track == first.track
    assert track_for(speed_km_per_h=between + 1e-9).track == second.track


def test_the_score_counts_after_the_warm_up_in_whole_shuttles() -> None:
    found = endurance_score(clock_s=405, track=tracks()[6])
    assert found.score_s == Figure(315, "s")
    assert found.distance_m == Figure(310, "m")
    assert not found.capped
    assert found.cautions == (
        "People walk about 60 s longer on a second test and 14 s more on a third: a gain within that may be practice.",
    )


@pytest.mark.parametrize(("clock_s", "capped"), [(1289, False), (1290, True)])
def test_the_cap_is_told(clock_s: float, capped: bool) -> None:
    found = endurance_score(clock_s=clock_s, track=tracks()[0])
    assert found.capped is capped
    assert any("cap of 20 min" in text for text in found.cautions) is capped


@pytest.mark.parametrize("clock_s", [89, 1291])
def test_a_time_outside_the_test_is_refused(clock_s: float) -> None:
    with pytest.raises(OutOfRange, match="from 90 to 1290 s"):
        endurance_score(clock_s=clock_s, track=tracks()[0])


@pytest.mark.parametrize("method", METHODS)
def test_a_higher_level_never_means_fewer_mets(method: Any) -> None:
    values = [level_met(completed_level=number, method=method) for number in range(1, 13)]
    known = [one.value for one in values if isinstance(one, Figure)]
    assert known == sorted(known)
    assert len(known) == {"almodhy_2014": 8, "older_table": 10, "walking_acsm": 11}.get(method, 12)
    assert SOURCES[method].endswith("]")


def test_a_measured_level_has_its_range_and_a_missing_one_its_reason() -> None:
    assert level_met(completed_level=6, method="almodhy_2014") == Figure(4.4, "METs", 4.0, 4.9)
    missing = level_met(completed_level=9, method="almodhy_2014")
    assert isinstance(missing, NotComputed)
    assert "does not reach level 9" in missing.reason
    fast = level_met(completed_level=12, method="walking_acsm")
    assert isinstance(fast, NotComputed)
    assert fast.reason == "Its pace of 142 m/min is above the 134 m/min at which walking ends."


def test_a_method_or_level_that_does_not_exist_is_named() -> None:
    with pytest.raises(HalewardError, match="no method 'guess' for the METs of a level; there is walking_acsm"):
        level_met(completed_level=6, method="guess")  # type: ignore[arg-type]
    with pytest.raises(OutOfRange, match="Shuttle walk level is 13"):
        level_met(completed_level=13, method="buckley_2016")

"""The endurance shuttle walk as a lead meets it: first the speed and the track, then how long it was kept."""

from __future__ import annotations

from datetime import date

from haleward.capacity.field_tests import About, Part, evaluate, find_test
from haleward.capacity.field_values import Reckoned
from haleward.worksheet import NotComputed

SOMEONE = About(on=date(2026, 11, 25))


def parts_of(**values: float) -> dict[str, Part]:
    return {part.key: part for part in evaluate(find_test("endurance_shuttle"), values, SOMEONE)}


def test_the_track_is_named_before_the_walk() -> None:
    parts = parts_of(completed_level=6, percent=85)
    assert set(parts) == {"speed"}
    track, by_speed, by_oxygen = parts["speed"].results
    assert isinstance(track, Reckoned)
    assert track.text == "Track 9: 4.11 km/h, a signal every 8.8 s"
    assert [one.text for one in (by_speed, by_oxygen) if isinstance(one, Reckoned)] == ["4.1 km/h", "4.2 km/h"]


def test_the_time_after_the_warm_up_and_its_whole_shuttles_are_told() -> None:
    time, metres = parts_of(completed_level=6, percent=85, trial_1_s=412)["measured"].results
    assert isinstance(time, Reckoned)
    assert isinstance(metres, Reckoned)
    assert (time.figure.value, metres.figure.value) == (322, 360)
    assert "may be practice" in time.detail
    assert "cap" not in time.detail


def test_a_walk_to_the_cap_says_that_more_is_possible() -> None:
    time = parts_of(completed_level=6, percent=85, trial_1_s=1290)["measured"].results[0]
    assert isinstance(time, Reckoned)
    assert time.detail.startswith("The test was ended at its cap of 20 min")


def test_a_speed_beyond_the_tracks_is_refused_and_no_distance_is_made_up() -> None:
    parts = parts_of(completed_level=12, percent=100, trial_1_s=412)
    assert set(parts) == {"speed"}
    track = parts["speed"].results[0]
    assert isinstance(track, NotComputed)
    assert "it must be from" in track.reason

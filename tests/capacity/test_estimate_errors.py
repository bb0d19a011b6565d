"""No estimate of oxygen uptake stands bare, and no spread passes for an error."""

from __future__ import annotations

import pytest

from haleward.capacity.shuttle_mets import level_met
from haleward.formula import REGISTRY, find
from haleward.physiology.strength import METHODS, predicted_maximum_with_reserve
from haleward.worksheet import Figure

FROM_A_TEST = (
    "peak_vo2_six_minute_walk_ross_2010",
    "peak_vo2_six_minute_walk_cahalin_1996",
    "peak_vo2_shuttle_walk_singh_1994",
    "peak_vo2_shuttle_walk_women_lima_2019",
    "peak_vo2_activity_status_hlatky_1989",
    "vo2_shuttle_walk_buckley_2016",
)
MEASURED = {"distance_m": 312, "score": 9.95, "speed_km_per_h": 3.64, "age_y": 78}


@pytest.mark.parametrize("name", FROM_A_TEST)
def test_every_estimate_from_a_field_test_carries_a_likely_range(name: str) -> None:
    known = find(name)
    figure = known.figure(**{key: MEASURED[key] for key in known.ranges})
    assert figure.low is not None
    assert figure.high is not None
    assert figure.high - figure.value == pytest.approx(3.82 if name == FROM_A_TEST[0] else 6.8)
    assert figure.low == pytest.approx(max(0.0, 2 * figure.value - figure.high))


def test_an_estimate_by_level_carries_the_error_of_its_equation() -> None:
    found = level_met(completed_level=4, method="buckley_2016")
    assert isinstance(found, Figure)
    assert (found.low, found.high) == (pytest.approx(0.96, abs=0.01), pytest.approx(4.85, abs=0.01))


@pytest.mark.parametrize("method", METHODS)
def test_the_spread_of_seven_equations_is_not_called_likely(method: str) -> None:
    sheet = REGISTRY[f"one_repetition_maximum_kg_{method}"].worksheet(load_kg=6, repetitions=9)
    assert sheet.result.endswith(" kg (7.4 to 7.9 by seven equations)")
    assert (sheet.steps[0].low, sheet.steps[0].high) == (None, None)
    assert sheet.figure is not None
    assert sheet.figure.low == pytest.approx(7.35)
    assert any("The error for one person is larger" in told for told in sheet.cautions)


def test_repetitions_left_are_part_of_what_the_spread_is_of() -> None:
    sheet = predicted_maximum_with_reserve(load_kg=10, repetitions=8, reserve_low=2, reserve_high=3).worksheet
    assert sheet.result == "13.3 kg (12.5 to 13.9 by seven equations and from the fewest to the most left)"

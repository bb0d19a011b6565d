"""What must hold of physiology over whole ranges: inverse pairs, order, bounds. (Of every formula: tests/formula.)"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

import haleward.capacity as rooms
from haleward.errors import HalewardError, Inconsistent
from haleward.formula import REGISTRY, Range
from haleward.physiology.effort import effort_pairs, intensity_class, repetitions_in_reserve
from haleward.physiology.strength import METHODS, predicted_maximum
from haleward.physiology.tables import rows
from tests.formula.arguments import FEW, drawn

INVERSES = [
    ("vo2_walking_acsm", "walking_speed_m_per_min_acsm", "speed_m_per_min", "vo2_ml_per_kg_min"),
    ("vo2_running_acsm", "running_speed_m_per_min_acsm", "speed_m_per_min", "vo2_ml_per_kg_min"),
    ("vo2_stepping_acsm", "stepping_rate_per_min_acsm", "steps_per_min", "vo2_ml_per_kg_min"),
    ("vo2_leg_cycling_acsm", "leg_cycling_kgm_per_min_acsm", "power_kgm_per_min", "vo2_ml_per_kg_min"),
    ("vo2_arm_cycling_acsm", "arm_cycling_kgm_per_min_acsm", "power_kgm_per_min", "vo2_ml_per_kg_min"),
    ("reserve_target_bpm", "fraction_of_reserve", "fraction", "rate_bpm"),
    ("oxygen_uptake_from_met", "met_from_oxygen_uptake", "energy_met", "vo2_ml_per_kg_min"),
]
MAXIMA = sorted(name for name in REGISTRY if name.startswith("maximum_bpm_"))


@pytest.mark.parametrize(("there", "back", "given_as", "taken_as"), INVERSES, ids=lambda part: str(part))
@FEW
@given(data=st.data())
def test_a_formula_and_its_inverse_return_the_value(
    there: str, back: str, given_as: str, taken_as: str, data: st.DataObject
) -> None:
    arguments = drawn(data, REGISTRY[there])
    if there == "reserve_target_bpm":
        arguments["maximum_bpm"] = max(60.0, arguments["resting_bpm"] + 25)
    found = REGISTRY[there].call(**arguments)
    limits = REGISTRY[back].ranges[taken_as]
    assert isinstance(limits, Range)
    if not limits.low <= found <= limits.high:  # beyond human oxygen uptake: the way back refuses it
        with pytest.raises(HalewardError):
            REGISTRY[back].call(
                **{key: (found if key == taken_as else arguments[key]) for key in REGISTRY[back].ranges}
            )
        return
    returned = REGISTRY[back].call(
        **{key: (found if key == taken_as else arguments[key]) for key in REGISTRY[back].ranges}
    )
    assert returned == pytest.approx(arguments[given_as], rel=1e-9, abs=1e-6)


@pytest.mark.parametrize("name", MAXIMA)
@FEW
@given(data=st.data())
def test_a_predicted_maximum_falls_with_age(name: str, data: st.DataObject) -> None:
    arguments = drawn(data, REGISTRY[name])
    older = {**arguments, "age_y": min(110.0, arguments["age_y"] + 1)}
    assert REGISTRY[name].call(**older) <= REGISTRY[name].call(**arguments)


@FEW
@given(rest=st.floats(30, 130), reserve=st.floats(0.5, 90), fraction=st.floats(0, 1))
def test_a_reserve_target_lies_between_rest_and_maximum(rest: float, reserve: float, fraction: float) -> None:
    top = max(60.0, rest + reserve)
    target = REGISTRY["reserve_target_bpm"].call(resting_bpm=rest, maximum_bpm=top, fraction=fraction)
    assert rest - 1e-9 <= target <= top + 1e-9


@pytest.mark.parametrize("name", ["reserve_target_bpm", "fraction_of_reserve"])
def test_a_maximum_not_above_rest_is_a_contradiction(name: str) -> None:
    inputs = {"resting_bpm": 100.0, "maximum_bpm": 100.0, "fraction": 0.5, "rate_bpm": 100.0}
    with pytest.raises(Inconsistent, match="is not above the resting heart rate"):
        REGISTRY[name].call(**{key: inputs[key] for key in REGISTRY[name].ranges})


def test_cycling_without_load_is_the_least_that_can_be_solved() -> None:
    solve = REGISTRY["leg_cycling_kgm_per_min_acsm"]
    assert solve.call(vo2_ml_per_kg_min=7.0, mass_kg=80) == 0
    with pytest.raises(Inconsistent, match=r"6\.9 mL/kg/min is below that of cycling without load, 7"):
        solve.call(vo2_ml_per_kg_min=6.9, mass_kg=80)


def test_a_peak_at_rest_has_no_reserve() -> None:
    with pytest.raises(Inconsistent, match="not above the resting"):
        REGISTRY["reserve_target_vo2"].call(peak_vo2_ml_per_kg_min=3.5, fraction=0.5)


@FEW
@given(energy=st.floats(0.5, 25), mass=st.floats(25, 300), minutes=st.floats(1, 600))
def test_the_two_forms_of_energy_differ_by_five_per_cent(energy: float, mass: float, minutes: float) -> None:
    inputs = {"energy_met": energy, "mass_kg": mass, "duration_min": minutes}
    assert REGISTRY["energy_kcal"].call(**inputs) == pytest.approx(
        1.05 * REGISTRY["energy_kcal_by_hour"].call(**inputs)
    )


@pytest.mark.parametrize("rate_bpm", [59, 181])
def test_a_mean_rate_outside_rest_and_maximum_has_no_training_impulse(rate_bpm: float) -> None:
    with pytest.raises(Inconsistent, match="not between rest"):
        REGISTRY["training_impulse_banister_1991"].call(
            duration_min=30, rate_bpm=rate_bpm, resting_bpm=60, maximum_bpm=180, sex="male"
        )


@FEW
@given(load=st.floats(0.5, 200), repetitions=st.integers(1, 15))
def test_the_median_lies_within_the_spread_of_the_seven(load: float, repetitions: int) -> None:
    figure = predicted_maximum(load_kg=load, repetitions=repetitions).maximum_kg
    assert figure.low is not None
    assert figure.high is not None
    assert figure.low <= figure.value <= figure.high


@pytest.mark.parametrize("method", METHODS)
@FEW
@given(load=st.floats(0.5, 200), repetitions=st.integers(1, 14))
def test_more_repetitions_with_a_load_mean_a_higher_maximum(method: str, load: float, repetitions: int) -> None:
    predicted = REGISTRY[f"one_repetition_maximum_kg_{method}"]
    fewer = predicted.call(load_kg=load, repetitions=repetitions)
    assert predicted.call(load_kg=load, repetitions=repetitions + 1) > fewer


def test_a_predicted_maximum_beyond_ten_repetitions_is_called_extrapolated() -> None:
    cautions = predicted_maximum(load_kg=10, repetitions=12).worksheet.cautions
    assert cautions[0].startswith("Repetitions 12 is outside the 2 to 10 repetitions")
    assert not predicted_maximum(load_kg=10, repetitions=10).worksheet.cautions[0].startswith("Repetitions")


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (0.29, "very light"),
        (0.30, "light"),
        (0.40, "moderate"),
        (0.599, "moderate"),
        (0.60, "vigorous"),
        (0.90, "near-maximal"),
    ],
)
def test_each_intensity_class_starts_at_its_lower_limit(value: float, expected: str) -> None:
    assert intensity_class("reserve_fraction", value) == expected


def test_an_intensity_measure_that_nobody_published_is_refused() -> None:
    with pytest.raises(HalewardError, match="no intensity measure 'speed'"):
        intensity_class("speed", 3)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("effort", "left"), [(10, (0, 0)), (9.5, (1, 1)), (8, (2, 2)), (7, (3, 3)), (5, (4, 6)), (4.9, None)]
)
def test_repetitions_left_follow_effort(effort: float, left: tuple[int, int] | None) -> None:
    assert repetitions_in_reserve(effort_0_10=effort) == left


def test_the_two_scales_are_paired_only_as_published() -> None:
    united_kingdom = effort_pairs()[0]
    assert (united_kingdom.effort_0_10, united_kingdom.effort_6_20) == ((2, 4), (11, 14))
    assert "from memory, unverified" in united_kingdom.source


def test_a_table_that_does_not_exist_is_named() -> None:
    with pytest.raises(HalewardError, match="no table 'nowhere'"):
        rows("nowhere")


def test_both_rooms_are_registered() -> None:
    assert {one.function.__module__.split(".")[1] for one in REGISTRY.values()} >= {"physiology", "capacity"}
    assert rooms.walk.estimate_capacity.__module__ == "haleward.capacity.walk"

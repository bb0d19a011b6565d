"""New pairs return their value, results follow physiology, and a change of unit commutes."""

from __future__ import annotations

import re
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import haleward.capacity
import haleward.physiology  # noqa: F401 - registers
from haleward.capacity.predicted import reference_equations
from haleward.errors import HalewardError, Inconsistent
from haleward.formula import REGISTRY, Choice, Range, find
from haleward.physiology.strength import METHODS
from haleward.units import kg_from_lb, lb_from_kg, m_from_cm

few = settings(max_examples=30, deadline=None)


def middle(name: str) -> dict[str, Any]:
    """Arguments in the middle of each range, for changing one of them at a time."""
    return {
        key: limits.options[0] if isinstance(limits, Choice) else (limits.low + limits.high) / 2
        for key, limits in REGISTRY[name].ranges.items()
    }


@given(speed=st.floats(20, 134), grade=st.floats(0, 0.25))
@few
def test_a_walking_grade_returns(speed: float, grade: float) -> None:
    vo2 = find("vo2_walking_acsm").call(speed_m_per_min=speed, grade_fraction=grade)
    back = find("walking_grade_fraction_acsm").call(vo2_ml_per_kg_min=vo2, speed_m_per_min=speed)
    assert back == pytest.approx(grade, abs=1e-9)


@given(speed=st.floats(80, 200), grade=st.floats(0, 0.2))
@few
def test_a_running_grade_returns(speed: float, grade: float) -> None:
    vo2 = find("vo2_running_acsm").call(speed_m_per_min=speed, grade_fraction=grade)
    back = find("running_grade_fraction_acsm").call(vo2_ml_per_kg_min=vo2, speed_m_per_min=speed)
    assert back == pytest.approx(grade, abs=1e-9)


@given(rate=st.floats(5, 40), height_cm=st.floats(4, 40))
@few
def test_a_step_height_returns(rate: float, height_cm: float) -> None:
    vo2 = find("vo2_stepping_acsm").call(steps_per_min=rate, height_m=m_from_cm(length_cm=height_cm))
    back = find("step_height_cm_acsm").call(vo2_ml_per_kg_min=vo2, steps_per_min=rate)
    assert back == pytest.approx(height_cm, abs=1e-6)


@pytest.mark.parametrize(("limb", "forth"), [("leg", "vo2_leg_cycling_acsm"), ("arm", "vo2_arm_cycling_acsm")])
@given(watts=st.floats(0, 100), mass=st.floats(50, 200), constant=st.sampled_from([6.0, 6.118, 6.12]))
@few
def test_watts_return_by_the_constant_that_is_named(
    limb: str, forth: str, watts: float, mass: float, constant: float
) -> None:
    vo2 = find(forth).call(power_kgm_per_min=watts * constant, mass_kg=mass)
    back = find(f"{limb}_cycling_w_acsm").call(vo2_ml_per_kg_min=vo2, mass_kg=mass, kgm_per_min_per_w=constant)
    assert back == pytest.approx(watts, abs=1e-6)


@given(peak=st.floats(4, 80), fraction=st.floats(0, 1))
@few
def test_a_fraction_of_the_oxygen_reserve_returns(peak: float, fraction: float) -> None:
    vo2 = find("reserve_target_vo2").call(peak_vo2_ml_per_kg_min=peak, fraction=fraction)
    back = find("fraction_of_vo2_reserve").call(vo2_ml_per_kg_min=vo2, peak_vo2_ml_per_kg_min=peak)
    assert back == pytest.approx(fraction, abs=1e-9)


@given(energy=st.floats(1, 20), mass=st.floats(30, 200), minutes=st.floats(1, 120))
@few
def test_the_minutes_for_an_energy_return(energy: float, mass: float, minutes: float) -> None:
    kcal = find("energy_kcal").call(energy_met=energy, mass_kg=mass, duration_min=minutes)
    if kcal > 10000:
        return
    assert find("minutes_for_energy").call(energy_kcal=kcal, energy_met=energy, mass_kg=mass) == pytest.approx(minutes)


@pytest.mark.parametrize("equation", METHODS)
@given(load=st.floats(0.5, 300), repetitions=st.integers(1, 15))
@few
def test_a_load_and_its_maximum_return(equation: str, load: float, repetitions: int) -> None:
    top = find(f"one_repetition_maximum_kg_{equation}").call(load_kg=load, repetitions=repetitions)
    back = find("load_kg_for_repetitions").call(maximum_kg=top, repetitions=repetitions, equation=equation)
    assert back == pytest.approx(load)


@pytest.mark.parametrize("equation", METHODS)
def test_more_repetitions_mean_a_lighter_load(equation: str) -> None:
    known = find("load_kg_for_repetitions")
    loads = [known.call(maximum_kg=20, repetitions=n, equation=equation) for n in range(1, 16)]
    assert loads == sorted(loads, reverse=True)
    assert len(set(loads)) == len(loads)


@given(load_lb=st.floats(1, 400), repetitions=st.integers(1, 15), method=st.sampled_from(METHODS))
@few
def test_a_maximum_in_pounds_is_the_same_maximum(load_lb: float, repetitions: int, method: str) -> None:
    known = find(f"one_repetition_maximum_kg_{method}")
    in_kg = known.call(load_kg=kg_from_lb(mass_lb=load_lb), repetitions=repetitions)
    assert lb_from_kg(mass_kg=in_kg) == pytest.approx(known.call(load_kg=load_lb, repetitions=repetitions))


@pytest.mark.parametrize("method", METHODS)
@given(load=st.floats(0.5, 300), repetitions=st.integers(1, 15))
@few
def test_the_spread_of_the_seven_travels_with_each(method: str, load: float, repetitions: int) -> None:
    figure = find(f"one_repetition_maximum_kg_{method}").figure(load_kg=load, repetitions=repetitions)
    all_seven = [find(f"one_repetition_maximum_kg_{m}").call(load_kg=load, repetitions=repetitions) for m in METHODS]
    assert (figure.low, figure.high) == (pytest.approx(min(all_seven)), pytest.approx(max(all_seven)))


@pytest.mark.parametrize("test", ["six_minute_walk", "shuttle_walk"])
def test_a_predicted_distance_falls_with_age_and_size(test: str) -> None:
    for known in reference_equations(test):
        ages = known.ranges["age_y"]
        assert isinstance(ages, Range)
        base = middle(known.name)
        walked = [known.call(**{**base, "age_y": age}) for age in np.linspace(ages.low, ages.high, 15)]
        assert walked == sorted(walked, reverse=True), known.name
        for heavier in ("mass_kg", "bmi_kg_per_m2"):
            if heavier in known.ranges:
                more = {**base, heavier: base[heavier] * 1.1}
                assert known.call(**more) < known.call(**base), known.name
        if "stature_m" in known.ranges:
            assert known.call(**{**base, "stature_m": 1.8}) > known.call(**{**base, "stature_m": 1.6}), known.name


def test_every_published_reference_equation_is_there() -> None:
    names = {one.name for test in ("six_minute_walk", "shuttle_walk") for one in reference_equations(test)}
    assert names == {
        "six_minute_walk_m_enright_1998",
        "six_minute_walk_m_enright_2003",
        "six_minute_walk_m_enright_bmi_1998",
        "six_minute_walk_m_troosters_1999",
        "six_minute_walk_m_casanova_2011",
        "six_minute_walk_m_britto_2013",
        "six_minute_walk_m_men_jenkins_2009",
        "six_minute_walk_m_women_jenkins_2009",
        "six_minute_walk_m_chetta_2006",
        "shuttle_walk_m_probst_2012",
        "shuttle_walk_m_jurgensen_2011",
        "shuttle_walk_m_dourado_2013",
    }


@pytest.mark.parametrize(
    ("name", "inputs"),
    [
        ("walking_grade_fraction_acsm", {"vo2_ml_per_kg_min": 8.0, "speed_m_per_min": 80}),
        ("running_grade_fraction_acsm", {"vo2_ml_per_kg_min": 20.0, "speed_m_per_min": 134}),
        ("step_height_cm_acsm", {"vo2_ml_per_kg_min": 5.0, "steps_per_min": 20}),
        ("leg_cycling_w_acsm", {"vo2_ml_per_kg_min": 6.9, "mass_kg": 80, "kgm_per_min_per_w": 6}),
        ("fraction_of_vo2_reserve", {"vo2_ml_per_kg_min": 3.5, "peak_vo2_ml_per_kg_min": 3.5}),
        ("heart_rate_reserve_bpm", {"maximum_bpm": 90, "resting_bpm": 90}),
    ],
)
def test_an_effort_that_cannot_be_is_a_contradiction(name: str, inputs: dict[str, float]) -> None:
    with pytest.raises(Inconsistent):
        find(name).call(**inputs)


@pytest.mark.parametrize("vo2", [7.0, 7.2, 14.0, 80.0, 90.0])
def test_the_likely_range_of_a_target_holds_the_target(vo2: float) -> None:
    known = find("leg_cycling_kgm_per_min_acsm")
    figure = known.figure(vo2_ml_per_kg_min=vo2, mass_kg=80)
    assert figure.low is not None
    assert figure.high is not None
    assert 0 <= figure.low <= figure.value <= figure.high


def test_the_walking_equation_carries_seven_per_cent() -> None:
    figure = find("vo2_walking_acsm").figure(speed_m_per_min=70, grade_fraction=0)
    assert (figure.low, figure.high) == (pytest.approx(10.5 * 0.93), pytest.approx(10.5 * 1.07))


# Formulas that predict one person from others: each must say its error, or that none is known.
PREDICTS = re.compile(
    r"^(maximum_bpm_|six_minute_walk_(lower_limit_)?m_[a-z]+_.*\d|shuttle_walk_m_|peak_vo2_|mean_peak_)"
)


def test_every_prediction_says_its_error_or_that_none_is_known() -> None:
    predictions = [one for name, one in REGISTRY.items() if PREDICTS.match(name)]
    assert len(predictions) > 25
    silent = [one.name for one in predictions if one.standard_error is None and one.spread is None and not one.error]
    assert silent == []
    maxima = [one for one in predictions if one.name.startswith("maximum_bpm_")]
    vague = [
        one.name
        for one in maxima
        if one.standard_error is None and not re.search("no standard error", one.error, flags=re.IGNORECASE)
    ]
    assert vague == []
    assert all(one.population for one in predictions if one.name.startswith(("maximum_bpm_", "six_minute", "shuttle")))


def test_a_form_of_another_population_is_refused_outside_its_ages() -> None:
    with pytest.raises(HalewardError, match="it must be from 20 to 50 years"):
        find("six_minute_walk_m_chetta_2006").call(sex="male", age_y=51, stature_m=1.7)

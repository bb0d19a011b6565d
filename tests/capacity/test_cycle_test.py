"""The branching protocol and the one-load test: what comes next, what may be used, and how sure the result is."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haleward.capacity.cycle_test import (
    CycleStage,
    cycle_second_stage_kgm_per_min,
    cycle_test,
    loads_after,
    next_stage,
)
from haleward.capacity.extrapolation import measured_maximum
from haleward.capacity.one_load import (
    OneLoad,
    age_corrected_vo2_l_per_min,
    one_load_age_factor_astrand_1960,
    one_load_test,
    oxygen_uptake_l_per_min,
    oxygen_uptake_per_kg,
    peak_vo2_l_per_min_one_load_astrand_1954,
)
from haleward.capacity.staged import StagedResult
from haleward.capacity.void import fact_names
from haleward.errors import HalewardError, OutOfRange
from haleward.worksheet import Figure, NotComputed
from tests.formula.arguments import FEW

CLEAR: dict[str, bool | None] = dict.fromkeys(fact_names(), False)
FIRST, SECOND, THIRD = CycleStage(150, 88, 90), CycleStage(450, 110, 112), CycleStage(600, 122, 126)


def ride(*stages: CycleStage, bpm: float = 150, facts: dict[str, bool | None] = CLEAR) -> StagedResult:
    return cycle_test(stages, mass_kg=80, maximum=measured_maximum(bpm=bpm), facts=facts, resting_bpm=60)


def test_the_protocol_leads_from_stage_to_stage() -> None:
    start = next_stage((), maximum_bpm=165)
    assert (start.action, start.power_kgm_per_min, start.text) == ("next", 150, "Next stage: 150 kg·m/min (25 W).")
    second = next_stage((FIRST,), maximum_bpm=165)
    assert (second.action, second.power_kgm_per_min, second.text) == ("next", 450, "Next stage: 450 kg·m/min (75 W).")
    assert next_stage((FIRST, SECOND), maximum_bpm=165).power_kgm_per_min == 600
    assert next_stage((FIRST, SECOND, THIRD), maximum_bpm=165).action == "enough"


def test_a_rate_that_is_not_steady_asks_for_another_minute_at_the_same_load() -> None:
    found = next_stage((FIRST, CycleStage(450, 106, 112)), maximum_bpm=165)
    assert (found.action, found.power_kgm_per_min) == ("another_minute", 450)
    assert found.text == "Ride one more minute at this load: the last two readings differ by more than 5 bpm."
    assert CycleStage(450, 107, 112).steady
    assert CycleStage(450, 112, 107).steady
    assert not CycleStage(450, 118, 112).steady


@pytest.mark.parametrize(("rate", "action"), [(139, "next"), (140, "end"), (150, "end")])
def test_the_limit_ends_the_test(rate: float, action: str) -> None:
    found = next_stage((FIRST, CycleStage(450, rate, rate)), maximum_bpm=140 / 0.85)
    assert found.action == action
    if action == "end":
        assert found.text == "End the test: the heart rate is at 85% of the maximal heart rate or above."
        assert found.power_kgm_per_min is None


def test_the_limit_counts_before_the_reading_is_steady() -> None:
    assert next_stage((FIRST, CycleStage(450, 120, 145)), maximum_bpm=165).action == "end"


def test_after_the_fourth_stage_there_is_none() -> None:
    light = [CycleStage(load, 100, 100) for load in (150, 450, 600, 750)]
    assert next_stage(light[:3], maximum_bpm=165).power_kgm_per_min == 750
    found = next_stage(light, maximum_bpm=165)
    assert (found.action, found.text) == ("end", "End the test: the protocol has no further stage.")


@FEW
@given(rate=st.integers(30, 249))
def test_a_faster_first_stage_never_means_a_heavier_second(rate: int) -> None:
    slower, faster = loads_after(first_stage_bpm=rate), loads_after(first_stage_bpm=rate + 1)
    assert all(after <= before for before, after in zip(slower, faster, strict=True))
    assert slower[1] - slower[0] == slower[2] - slower[1] == 150
    assert cycle_second_stage_kgm_per_min(first_stage_bpm=rate) == slower[0]


def test_a_rate_between_two_beats_branches_like_the_higher_band_it_reaches() -> None:
    with pytest.raises(HalewardError, match="whole number"):
        loads_after(first_stage_bpm=79.5)


def test_two_steady_stages_in_the_range_give_a_peak_with_its_error() -> None:
    found = ride(FIRST, SECOND, THIRD)
    assert isinstance(found.peak_vo2, Figure)
    vo2 = 20.5 + (150 - 126) * (20.5 - 17.125) / (126 - 112)
    assert found.peak_vo2.value == pytest.approx(vo2)
    assert found.peak_vo2.high == pytest.approx(vo2 * 1.07)
    assert found.peak_vo2.low == pytest.approx(vo2 * 0.93)
    assert found.top_vo2.value == pytest.approx(20.5)
    assert found.top_vo2.high == pytest.approx(20.5 * 1.07)
    told = " ".join(found.worksheet.cautions)
    assert "Stage 1 is left out: its heart rate is not between 110 and 128 bpm." in told
    assert "20 of 98 people went past the limit" in told
    assert "outside the 300 to 1200" not in told


def test_a_load_outside_the_equation_is_called_extrapolated_where_it_is_used() -> None:
    told = " ".join(ride(CycleStage(150, 110, 110), SECOND, CycleStage(600, 118, 118)).worksheet.cautions)
    assert "Work rate 150 is outside the 300 to 1200" in told


def test_an_unsteady_stage_is_left_out_and_the_top_stage_told() -> None:
    found = ride(FIRST, SECOND, CycleStage(600, 119, 126))
    assert isinstance(found.peak_vo2, NotComputed)
    assert found.peak_vo2.reason.startswith("There is 1 usable stage; a line")
    assert found.peak_vo2.reason.endswith("Instead: the top stage reached, 5.9 METs.")
    assert any(
        text == "The heart rate of stage 3 is not steady: its last two readings differ by more than 5 bpm."
        for text in found.worksheet.cautions
    )


def test_the_worked_example_is_refused_by_the_limit_of_extrapolation() -> None:
    found = ride(CycleStage(300, 112, 112), CycleStage(450, 126, 126), bpm=165)
    assert isinstance(found.peak_vo2, NotComputed)
    assert found.peak_vo2.reason.startswith("The line gives 26.5 mL/kg/min, more than 1.5 times the top stage")


def test_a_cycle_test_needs_stages_and_a_known_rhythm() -> None:
    with pytest.raises(HalewardError, match="needs its stages"):
        ride()
    found = ride(SECOND, THIRD, facts={**CLEAR, "atrial_fibrillation": None})
    assert isinstance(found.peak_vo2, NotComputed)
    assert found.peak_vo2.ask == ("What is the heart rhythm?",)


def one_load(**changes: object) -> OneLoad | NotComputed:
    given_ = {
        "power_kgm_per_min": 600,
        "minute_5_bpm": 139,
        "minute_6_bpm": 141,
        "sex": "male",
        "age_y": 55,
        "mass_kg": 80,
        "facts": CLEAR,
    }
    return one_load_test(**{**given_, **changes})  # type: ignore[arg-type]


def test_one_load_gives_the_worked_example_with_its_error() -> None:
    found = one_load()
    assert isinstance(found, OneLoad)
    litres = 100 * (0.00212 * 600 + 0.299) / (0.769 * 140 - 48.5) * 0.71
    assert found.vo2_ml_per_kg_min.value == pytest.approx(litres * 1000 / 80)
    assert found.vo2_ml_per_kg_min.high == pytest.approx((litres + 0.48) * 1000 / 80)
    assert found.vo2_ml_per_kg_min.low == pytest.approx((litres - 0.48) * 1000 / 80)
    assert found.energy_met.value == pytest.approx(litres * 1000 / 80 / 3.5)
    assert found.worksheet.result == "about 23.6 mL/kg/min, likely 17.6 to 29.6; about 6.7 METs, likely 5.0 to 8.4"
    assert found.worksheet.figure == found.vo2_ml_per_kg_min
    assert len(found.worksheet.steps) == 4
    assert any("only 38 to 46 per cent completed" in text for text in found.worksheet.cautions)


def test_one_load_waits_for_a_steady_rate_and_for_what_is_unknown() -> None:
    found = one_load(minute_5_bpm=135.9)
    assert isinstance(found, NotComputed)
    assert (
        found.reason == "The readings of the last two minutes differ by more than 5 bpm: the heart rate is not steady."
    )
    assert isinstance(one_load(minute_5_bpm=136), OneLoad)
    unknown = one_load(facts={**CLEAR, "paced": None})
    assert isinstance(unknown, NotComputed)
    assert unknown.ask == ("What is the heart rhythm?", "Is a heart device fitted, and of which kind?")
    void = one_load(facts={**CLEAR, "rate_slowing_medicine": True})
    assert isinstance(void, NotComputed)
    assert void.reason.startswith("A medicine that slows the pulse is taken")
    old = one_load(age_y=66)
    assert isinstance(old, NotComputed)
    assert old.reason == "At 66 years this method does not apply: it covers 15 to 65 years."


@pytest.mark.parametrize(("rate", "computed"), [(124.9, False), (125, True), (170, True), (170.1, False)])
def test_one_load_reads_only_the_rates_of_the_nomogram(rate: float, computed: bool) -> None:
    found = one_load(minute_5_bpm=rate, minute_6_bpm=rate)
    assert isinstance(found, OneLoad) is computed
    if isinstance(found, NotComputed):
        assert found.reason == f"The steady heart rate is {rate:g} bpm; this method reads 125 to 170 bpm only."


@FEW
@given(
    load=st.floats(300, 1100), rate=st.floats(125, 165), more=st.floats(1, 5), sex=st.sampled_from(["female", "male"])
)
def test_more_load_means_more_and_a_faster_pulse_means_less(load: float, rate: float, more: float, sex: str) -> None:
    def peak(power: float, bpm: float) -> float:
        return peak_vo2_l_per_min_one_load_astrand_1954(power_kgm_per_min=power, steady_bpm=bpm, sex=sex)

    assert peak(load + more, rate) > peak(load, rate) > peak(load, rate + more) > 0


@FEW
@given(age=st.floats(15, 64), more=st.floats(0, 1))
def test_the_age_factor_falls_with_age_and_lies_between_its_ends(age: float, more: float) -> None:
    younger, older = (one_load_age_factor_astrand_1960(age_y=year) for year in (age, age + more))
    assert 0.65 <= older <= younger <= 1.10
    assert age_corrected_vo2_l_per_min(vo2_l_per_min=2, age_y=age) == pytest.approx(2 * younger)


@pytest.mark.parametrize("age_y", [14.9, 65.1])
def test_no_factor_is_made_up_outside_the_tabled_ages(age_y: float) -> None:
    with pytest.raises(OutOfRange, match="from 15 to 65 years"):
        one_load_age_factor_astrand_1960(age_y=age_y)


@FEW
@given(litres=st.floats(0, 2), mass=st.floats(25, 300))
def test_litres_and_millilitres_by_mass_return(litres: float, mass: float) -> None:
    per_kg = oxygen_uptake_per_kg(vo2_l_per_min=litres, mass_kg=mass)
    assert oxygen_uptake_l_per_min(vo2_ml_per_kg_min=per_kg, mass_kg=mass) == pytest.approx(litres, abs=1e-12)


@pytest.mark.parametrize(("low", "high", "used"), [(110, 136, True), (109.9, 136, False), (110, 136.1, False)])
def test_the_range_that_is_used_holds_both_its_ends(low: float, high: float, used: bool) -> None:
    found = ride(CycleStage(450, low, low), CycleStage(600, high, high), bpm=160)
    assert isinstance(found.peak_vo2, Figure) is used

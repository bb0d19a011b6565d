"""Judgements of physiology ask for what they lack, keep apart what differs, and refuse what nobody published."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from haleward.errors import HalewardError, Inconsistent, OutOfRange
from haleward.formula import REGISTRY
from haleward.physiology.body_bands import bmi_finding, family_backgrounds, waist_findings, waist_to_height_finding
from haleward.physiology.effort import (
    effort_6_20_of_reserve,
    effort_relation_text,
    intensity_class,
    intensity_classes,
    intensity_schemes,
    repetitions_in_reserve,
)
from haleward.physiology.finding import Finding, findings_in, held_against
from haleward.physiology.response_findings import chronotropic_finding, pressure_prompts, recovery_findings
from haleward.physiology.segments import de_leva, segment, segments
from haleward.physiology.strength import predicted_maximum, predicted_maximum_with_reserve
from haleward.physiology.strength_load import LoadTrial, effort_after_repetitions, next_load, predicted_load
from haleward.physiology.tables import rows
from haleward.physiology.talk import talk_test
from haleward.physiology.targets import shown_only, targets
from haleward.worksheet import NotComputed


def test_a_recovery_without_posture_is_asked_for() -> None:
    found = recovery_findings(peak_bpm=130, later_bpm=115, minutes=1, posture=None, test="maximal")
    assert isinstance(found, NotComputed)
    assert found.ask == ("Did the person walk on, sit or lie down after the effort?",)


def test_a_recovery_that_nobody_limited_is_told() -> None:
    found = recovery_findings(peak_bpm=130, later_bpm=115, minutes=1, posture="sitting", test="submaximal")
    assert isinstance(found, NotComputed)
    assert "1 min after a submaximal test" in found.reason


def test_a_recovery_after_three_minutes_is_refused() -> None:
    with pytest.raises(OutOfRange):
        recovery_findings(peak_bpm=130, later_bpm=115, minutes=3, posture="walking", test="maximal")


def test_the_chronotropic_index_is_not_judged_out_of_sinus_rhythm() -> None:
    found = chronotropic_finding(index=0.7, beta_blocker=False, rhythm="atrial_fibrillation")
    assert isinstance(found, NotComputed)
    assert found.reason == "The chronotropic index holds only in sinus rhythm, not with atrial fibrillation."


@pytest.mark.parametrize(
    ("known", "asked"), [({}, 2), ({"rhythm": "sinus"}, 1), ({"beta_blocker": True}, 1)], ids=["both", "drug", "rhythm"]
)
def test_what_the_chronotropic_index_lacks_is_asked(known: dict[str, Any], asked: int) -> None:
    found = chronotropic_finding(**{"index": 0.7, "beta_blocker": None, "rhythm": None, **known})
    assert isinstance(found, NotComputed)
    assert len(found.ask) == asked


def test_pressure_limits_of_one_sex_are_left_out_without_it() -> None:
    assert len(pressure_prompts("peak_systolic_mmhg", 215, sex=None)) == 1
    with pytest.raises(HalewardError, match="no cut-off for the test 'pulse_pressure'"):
        pressure_prompts("pulse_pressure", 50, sex=None)


def test_a_cut_off_that_does_not_compare_is_a_fault_of_the_table() -> None:
    row = {"comparison": "=", "value": "1", "unit": "bpm", "meaning": "m", "source": "s", "trust": "t"}
    with pytest.raises(HalewardError, match="compares by '='"):
        held_against(row, test="x", value=1)


def test_a_value_that_is_no_number_is_not_held_against_anything() -> None:
    with pytest.raises(HalewardError, match="not a number"):
        findings_in("pressure_prompts", "systolic_fall_mmhg", float("nan"))


@pytest.mark.parametrize("background", [None, "unknown"])
def test_a_band_by_background_needs_the_background(background: str | None) -> None:
    if background is None:
        found = bmi_finding(26, background=None)
        assert isinstance(found, NotComputed)
        assert found.ask == ("What is the family background, as the person states it?",)
    else:
        with pytest.raises(HalewardError, match="no family background 'unknown'"):
            bmi_finding(26, background=background)


@pytest.mark.parametrize("background", ["other_asian", "middle_eastern", "black_african_caribbean", "other"])
def test_no_waist_limit_is_borrowed_from_another_background(background: str) -> None:
    found = waist_findings(0.95, sex="male", background=background)
    assert isinstance(found, NotComputed)
    assert family_backgrounds()[background] in found.reason


def test_a_waist_without_sex_is_asked_and_one_in_centimetres_refused() -> None:
    found = waist_findings(0.95, sex=None, background="white")
    assert isinstance(found, NotComputed)
    assert found.ask
    with pytest.raises(OutOfRange):
        waist_findings(95, sex="male", background="white")


@pytest.mark.parametrize("bmi", [None, 35.0, 41.0])
def test_a_waist_to_height_band_holds_only_under_a_body_mass_index_of_35(bmi: float | None) -> None:
    assert isinstance(waist_to_height_finding(0.55, bmi_kg_per_m2=bmi), NotComputed)


@given(low=st.floats(10, 79), more=st.floats(0, 1), background=st.sampled_from(sorted(family_backgrounds())))
@settings(max_examples=50)
def test_a_higher_index_is_never_in_a_lower_band(low: float, more: float, background: str) -> None:
    order = [row["label"] for row in rows("bmi_bands")]
    first, second = (bmi_finding(value, background=background) for value in (low, low + more))
    assert isinstance(first, Finding)
    assert isinstance(second, Finding)
    place = [
        next(i for i, label in enumerate(order) if one.meaning.startswith(label + " (")) for one in (first, second)
    ]
    assert place[0] <= place[1]


def test_targets_are_of_one_place_with_year_and_body_and_judge_nothing() -> None:
    assert {one.jurisdiction for one in targets("ldl_cholesterol", jurisdiction="EU")} == {"EU"}
    assert all(row["year"] and row["body"] and row["source"] and row["trust"] for row in rows("targets"))
    assert not hasattr(targets("hba1c", jurisdiction="UK")[0], "flagged")
    assert "treatment decisions stay with the prescriber" in shown_only()
    assert targets("hba1c", jurisdiction="EU") == ()
    with pytest.raises(HalewardError, match="no target for the jurisdiction 'Mars'"):
        targets("hba1c", jurisdiction="Mars")


def test_measures_may_disagree_and_each_keeps_its_class() -> None:
    found = intensity_classes({"reserve_fraction": 0.45, "energy_met": 6.5})
    assert found == {"reserve_fraction": "moderate", "energy_met": "vigorous"}


@pytest.mark.parametrize(("value", "scheme"), [(0.39, "german_2021"), (0.71, "german_2021")])
def test_a_value_that_a_scheme_does_not_class_is_told(value: float, scheme: Any) -> None:
    with pytest.raises(HalewardError, match="has no class in the scheme of German"):
        intensity_class("reserve_fraction", value, scheme=scheme)


def test_an_unknown_scheme_names_those_there_are() -> None:
    with pytest.raises(HalewardError, match="acsm_2011 or esc_2020 or german_2021"):
        intensity_class("reserve_fraction", 0.5, scheme="mine")  # type: ignore[arg-type]
    assert len(intensity_schemes()) == 3


def test_the_two_scales_are_a_table_and_no_formula() -> None:
    assert "No formula turns one into the other" in effort_relation_text()
    assert not [name for name, one in REGISTRY.items() if "effort_6_20" in name or "effort_6_20" in one.ranges]
    tables = [effort_6_20_of_reserve(reserve=left) for left in range(8)]
    assert tables == sorted(tables, reverse=True)
    assert repetitions_in_reserve(effort_0_10=10) == (0, 0)


def test_an_answer_that_is_no_talk_test_answer_is_refused() -> None:
    with pytest.raises(HalewardError, match="comfortable or equivocal or unable"):
        talk_test("maybe")


@pytest.mark.parametrize("scheme", ["winter", "de_leva_female", "de_leva_male"])
def test_the_masses_of_a_scheme_make_one_body(scheme: str) -> None:
    known = segments(scheme)
    both = {"hand", "forearm", "upper_arm", "foot", "shank", "thigh"}
    middle = {"trunk_head_neck"} if scheme == "winter" else {"head", "trunk"}
    total = sum(known[name].mass_fraction * (2 if name in both else 1) for name in both | middle)
    assert total == pytest.approx(1, abs=0.002)


def test_a_segment_that_a_scheme_lacks_is_never_taken_from_the_other() -> None:
    with pytest.raises(HalewardError, match="The scheme winter has no segment 'upper_trunk'"):
        segment("winter", "upper_trunk")
    with pytest.raises(HalewardError, match="no segment scheme 'mine'"):
        segments("mine")
    assert segment("winter", "thigh").length_of_stature is None
    assert segment(de_leva("male"), "thigh").radii["longitudinal"] == 0.149


def test_repetitions_left_raise_the_maximum_and_the_fewest_give_the_value() -> None:
    done = predicted_maximum(load_kg=10, repetitions=8).maximum_kg
    left = predicted_maximum_with_reserve(load_kg=10, repetitions=8, reserve_low=2, reserve_high=3).maximum_kg
    assert left.value == predicted_maximum(load_kg=10, repetitions=10).maximum_kg.value > done.value
    assert left.high == predicted_maximum(load_kg=10, repetitions=11).maximum_kg.high
    with pytest.raises(Inconsistent, match="3 to 2"):
        predicted_maximum_with_reserve(load_kg=10, repetitions=8, reserve_low=3, reserve_high=2)


@given(maximum=st.floats(1, 300), repetitions=st.integers(1, 15))
@settings(max_examples=30, deadline=None)
def test_a_predicted_load_lies_within_its_spread_and_under_the_maximum_times_a_little(
    maximum: float, repetitions: int
) -> None:
    figure = predicted_load(maximum_kg=maximum, repetitions=repetitions).load_kg
    assert figure.low is not None
    assert figure.high is not None
    assert 0 < figure.low <= figure.value <= figure.high <= maximum * 1.0001


def test_loads_are_asked_for_and_one_that_is_not_at_hand_is_a_contradiction() -> None:
    assert isinstance(next_load(tried=[], loads_kg=None), NotComputed)
    assert isinstance(next_load(tried=[], loads_kg=[]), NotComputed)
    with pytest.raises(Inconsistent, match="4 kg was tried"):
        next_load(tried=[(4, 3)], loads_kg=[1, 2])


@pytest.mark.parametrize(
    ("tried", "kg", "text"),
    [
        ([(1, 8)], None, "No lighter load is at hand"),
        ([(3, 1)], 3, "No heavier load is at hand"),
        ([(2, 9), (1, 1)], 1, "The next heavier load was too heavy"),
    ],
)
def test_the_end_of_the_loads_at_hand_is_told(tried: list[tuple[float, float]], kg: float | None, text: str) -> None:
    found = next_load(tried=tried, loads_kg=[1, 2, 3])
    assert isinstance(found, LoadTrial)
    assert found.next_load_kg == kg
    assert found.text.startswith(text)


@given(data=st.data())
@settings(max_examples=50)
def test_a_load_found_too_heavy_is_never_offered_again(data: st.DataObject) -> None:
    loads = sorted(set(data.draw(st.lists(st.integers(1, 20), min_size=1, max_size=6))))
    tried = data.draw(st.lists(st.tuples(st.sampled_from(loads), st.floats(0, 10)), min_size=1, max_size=4))
    found = next_load(tried=[(float(load), effort) for load, effort in tried], loads_kg=[float(one) for one in loads])
    assert isinstance(found, LoadTrial)
    heavy = [load for load, effort in tried if effort > 6]
    if found.feel != "suits" and heavy and found.next_load_kg is not None and found.next_load_kg != tried[-1][0]:
        assert found.next_load_kg < min(heavy)


def test_effort_climbs_only_from_a_start_that_was_studied() -> None:
    assert effort_after_repetitions(effort_0_10=6, repetitions=20) == (10, 10)
    with pytest.raises(OutOfRange):
        effort_after_repetitions(effort_0_10=3, repetitions=4)

"""A distance is held against one named equation, and two equations are never mixed."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from haleward.capacity.change import (
    change,
    change_of_walks,
    limits_of,
    published_limits,
    slowing_medicine_changed,
)
from haleward.capacity.predicted import Compared, change_of_percent, compare_with, percent_text, reference_equations
from haleward.errors import HalewardError, NotApplicable, OutOfRange
from haleward.record import Medicine, Record, WalkTest
from haleward.worksheet import NotComputed

MAN: dict[str, Any] = {"sex": "male", "age_y": 65, "stature_m": 1.75, "mass_kg": 82}
ENRIGHT, TROOSTERS = "six_minute_walk_m_enright_1998", "six_minute_walk_m_troosters_1999"
FIRST = WalkTest("six_minute_walk", 410, date(2026, 9, 1), course_m=30)
SECOND = replace(FIRST, distance_m=440, tested_on=date(2026, 11, 1))


def test_the_worked_example_is_reproduced_by_two_equations() -> None:
    enright, troosters = (compare_with(name, distance_m=430, **MAN) for name in (ENRIGHT, TROOSTERS))
    assert enright.predicted_m.value == pytest.approx(545.13, abs=0.01)
    assert enright.percent == pytest.approx(78.9, abs=0.05)
    assert enright.lower_limit_m == pytest.approx(392.13, abs=0.01)
    assert (enright.z_score, enright.below_lower_limit) == (None, False)
    assert troosters.percent == pytest.approx(63.7, abs=0.05)
    assert troosters.lower_limit_m == pytest.approx(675.41 - 1.645 * 56, abs=0.05)
    assert troosters.z_score == pytest.approx((430 - 675.41) / 56, abs=0.01)
    assert troosters.below_lower_limit is True


def test_an_equation_without_spread_has_no_lower_limit() -> None:
    found = compare_with("six_minute_walk_m_britto_2013", distance_m=430, sex="male", age_y=65, bmi_kg_per_m2=27)
    assert (found.lower_limit_m, found.z_score, found.below_lower_limit) == (None, None, None)


def test_the_equation_is_named_wherever_the_per_cent_is_told() -> None:
    found = compare_with(ENRIGHT, distance_m=430, **MAN)
    assert percent_text(found) == "79% of predicted by Predicted six-minute walk distance (Enright 1998)"
    assert "(Enright 1998)" in found.worksheet.result
    assert any("compare visits by this equation only" in caution for caution in found.worksheet.cautions)


def test_two_visits_are_compared_by_one_equation_or_not_at_all() -> None:
    before, after = (compare_with(ENRIGHT, distance_m=metres, **MAN) for metres in (410, 440))
    assert change_of_percent(before, after) == pytest.approx(100 * 30 / 545.13, abs=0.01)
    mixed = change_of_percent(before, compare_with(TROOSTERS, distance_m=440, **MAN))
    assert isinstance(mixed, NotComputed)
    assert ENRIGHT in mixed.reason
    assert TROOSTERS in mixed.reason


def test_an_equation_of_one_sex_refuses_the_other() -> None:
    with pytest.raises(NotApplicable, match=r"one sex only \(male\)"):
        compare_with("six_minute_walk_m_men_jenkins_2009", distance_m=400, sex="female", age_y=60, stature_m=1.6)
    found = compare_with("six_minute_walk_m_men_jenkins_2009", distance_m=400, sex="male", age_y=60, stature_m=1.75)
    assert isinstance(found, Compared)


@pytest.mark.parametrize("name", ["maximum_bpm_fox_1971", "six_minute_walk_lower_limit_m_enright_1998"])
def test_only_a_reference_equation_predicts_a_walk(name: str) -> None:
    with pytest.raises(HalewardError, match="is not a reference equation of a walk"):
        compare_with(name, distance_m=400, **MAN)


def test_an_age_outside_the_sample_is_refused() -> None:
    with pytest.raises(OutOfRange):
        compare_with(ENRIGHT, distance_m=400, **{**MAN, "age_y": 81})


def test_a_test_without_equations_is_named() -> None:
    with pytest.raises(HalewardError, match="no reference equation of 'hop'"):
        reference_equations("hop")


def test_every_published_difference_is_held_with_its_source() -> None:
    known = published_limits()
    assert len({(one.measure, one.population) for one in known}) == len(known) == 21
    assert all(one.source.endswith("]") and one.method for one in known)
    assert all(one.important_from <= one.important for one in known)
    assert limits_of("shuttle_walk", "cardiac_rehabilitation").interval == (51.5, 88.5)


def test_no_verdict_rests_on_estimated_oxygen_uptake() -> None:
    with pytest.raises(HalewardError, match="No verdict rests on peak vo2"):
        change(before=14, after=18, measure="peak_vo2", population="cardiac_rehabilitation")


@pytest.mark.parametrize("one", published_limits(), ids=lambda one: f"{one.measure}-{one.population}")
def test_a_gain_and_a_loss_are_each_read_on_the_safe_side(one: Any) -> None:
    if not one.verdict:
        return
    start = 2 * one.important + (one.detectable or 0)
    gain = change(before=start, after=start + one.important, measure=one.measure, population=one.population)
    loss = change(before=start, after=start - one.important_from, measure=one.measure, population=one.population)
    unsure = one.detectable is not None and one.important < one.detectable
    assert gain.verdict == ("may_matter" if unsure else "meaningful")
    assert loss.verdict == ("may_matter" if unsure else "worse")


@pytest.mark.parametrize(
    ("known", "asked"),
    [({}, 2), ({"slowing_medicine_changed": False}, 1), ({"oxygen_changed": False}, 1)],
    ids=["neither", "medicine", "oxygen"],
)
def test_conditions_that_are_not_known_are_asked_for(known: dict[str, bool], asked: int) -> None:
    found = change_of_walks(FIRST, SECOND, population="coronary", **known)  # type: ignore[arg-type]
    assert isinstance(found, NotComputed)
    assert len(found.ask) == asked


@pytest.mark.parametrize(
    ("changed", "why"),
    [("slowing_medicine_changed", "a medicine that slows the heart changed"), ("oxygen_changed", "the oxygen changed")],
)
def test_a_changed_condition_suppresses_the_verdict(changed: str, why: str) -> None:
    conditions: dict[str, Any] = {"slowing_medicine_changed": False, "oxygen_changed": False, changed: True}
    found = change_of_walks(FIRST, SECOND, population="coronary", **conditions)
    assert isinstance(found, NotComputed)
    assert why in found.reason


def test_walks_that_ended_for_different_reasons_get_no_verdict() -> None:
    before, after = replace(FIRST, stopped_for="completed"), replace(SECOND, stopped_for="leg fatigue")
    found = change_of_walks(before, after, population="coronary", slowing_medicine_changed=False, oxygen_changed=False)
    assert isinstance(found, NotComputed)
    assert "they ended for different reasons" in found.reason


def test_a_changed_dose_of_a_slowing_medicine_counts_and_another_medicine_does_not() -> None:
    slow = Medicine("beta_blocker", "Bisoprolol", "2.5 mg")
    record = Record("p-1", "Wren", date(2026, 9, 1), medicines=(slow,))
    slowing = ("beta_blocker",)
    more = replace(record, medicines=(replace(slow, dose="5 mg"),))
    other = replace(record, medicines=(replace(slow, name="bisoprolol "), Medicine("statin", "atorvastatin")))
    assert slowing_medicine_changed(record, more, slowing=slowing) is True
    assert slowing_medicine_changed(record, other, slowing=slowing) is False
    assert slowing_medicine_changed(record, replace(record, medicines=None), slowing=slowing) is None

"""Formulas check what goes in, say what is wrong in one sentence, and show their working."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest

import haleward.capacity  # registers every formula
import haleward.units
from haleward.errors import HalewardError, OutOfRange
from haleward.formula import REGISTRY, Choice, Range, calculate, find, formula, parse_arguments
from haleward.physiology.heart_rate import maximum_bpm_inbar_1994, reserve_target_bpm


@pytest.fixture
def registry() -> Iterator[None]:
    """Whatever a test registers is forgotten again."""
    before = dict(REGISTRY)
    yield
    REGISTRY.clear()
    REGISTRY.update(before)


def test_it_works() -> None:
    assert reserve_target_bpm(resting_bpm=60, maximum_bpm=188, fraction=0.6) == pytest.approx(136.8)


def test_a_value_out_of_range_names_label_value_and_range() -> None:
    with pytest.raises(OutOfRange) as caught:
        reserve_target_bpm(resting_bpm=20, maximum_bpm=188, fraction=0.6)
    fault = caught.value
    assert (fault.name, fault.value, fault.lowest, fault.highest, fault.unit) == (
        "Resting heart rate",
        "20",
        30,
        130,
        "bpm",
    )
    assert str(fault) == "Resting heart rate is 20 bpm; it must be from 30 to 130 bpm."


@pytest.mark.parametrize("end", [30, 130])
def test_both_ends_of_a_range_are_allowed(end: float) -> None:
    assert reserve_target_bpm(resting_bpm=end, maximum_bpm=188, fraction=0) == end


@pytest.mark.parametrize("just_outside", [29.999, 130.001])
def test_just_outside_a_range_is_refused(just_outside: float) -> None:
    with pytest.raises(OutOfRange):
        reserve_target_bpm(resting_bpm=just_outside, maximum_bpm=188, fraction=0)


@pytest.mark.parametrize(
    ("value", "said"),
    [
        (None, "Age is missing; give a number from 18 to 110 years."),
        (True, "Age is True, which is not a number"),
        ("60", "Age is '60', which is not a number"),
        (float("nan"), "Age is not a number (NaN)"),
        (1 + 2j, "which is not a number"),
        (np.array([60.0, np.nan]), "Age is not a number (NaN)"),
        (np.array([True]), "an array of bool, which is not a number"),
    ],
)
def test_what_is_not_a_number_is_refused(value: Any, said: str) -> None:
    with pytest.raises(HalewardError) as caught:
        maximum_bpm_inbar_1994(age_y=value)
    assert said in str(caught.value)


@pytest.mark.parametrize("endless", [float("inf"), float("-inf")])
def test_infinity_is_out_of_range(endless: float) -> None:
    with pytest.raises(OutOfRange):
        maximum_bpm_inbar_1994(age_y=endless)


def test_one_bad_number_in_an_array_is_named() -> None:
    with pytest.raises(OutOfRange, match="Age is 500 years"):
        find("maximum_bpm_inbar_1994").over(age_y=np.array([60.0, 500.0]))


def test_arrays_give_what_the_numbers_give_and_broadcast() -> None:
    fractions = np.array([0.4, 0.55, 0.7])
    target = find("reserve_target_bpm")
    together = target.over(resting_bpm=60, maximum_bpm=134.7, fraction=fractions)
    assert list(together) == [target.call(resting_bpm=60, maximum_bpm=134.7, fraction=float(f)) for f in fractions]


def test_a_number_comes_back_as_a_plain_float() -> None:
    assert type(maximum_bpm_inbar_1994(age_y=np.float64(60))) is float


def test_a_whole_number_is_required_where_stated() -> None:
    with pytest.raises(HalewardError, match=r"Repetitions must be a whole number, not 9\.5"):
        find("one_repetition_maximum_kg_epley").call(load_kg=10, repetitions=9.5)


def test_a_choice_names_its_options() -> None:
    with pytest.raises(HalewardError, match="Sex is 'woman'; it must be female or male"):
        find("six_minute_walk_m_enright_1998").call(sex="woman", age_y=70, stature_m=1.6, mass_kg=68)
    with pytest.raises(HalewardError, match="Sex is missing; it must be female or male"):
        Choice(("female", "male"), "Sex").check(None)


def test_a_step_carries_inputs_origins_source_and_rule() -> None:
    step = find("reserve_target_bpm").step(
        "Lower target",
        origins={"resting_bpm": "assessment, 3 Feb 2026"},
        rule_id="INT-1",
        resting_bpm=60,
        maximum_bpm=188,
        fraction=0.4,
    )
    assert step.result == pytest.approx(111.2)
    assert (step.title, step.unit, step.rule_id) == ("Lower target", "bpm", "INT-1")
    assert [(one.name, one.value, one.unit, one.origin) for one in step.inputs] == [
        ("Resting heart rate", 60, "bpm", "assessment, 3 Feb 2026"),
        ("Maximal heart rate", 188, "bpm", ""),
        ("Fraction of the reserve", 0.4, "", ""),
    ]
    assert "Karvonen" in step.source
    assert "[seen second-hand]" in step.source


def test_a_worksheet_says_error_population_and_extrapolation() -> None:
    sheet = find("maximum_bpm_inbar_1994").worksheet(age_y=75)
    assert sheet.result == "about 154 bpm, likely 148 to 161"
    assert sheet.cautions == (
        "Age 75 is outside the 20 to 70 years that the source states: the result is extrapolated.",
        "Standard error 6.4 bpm (from memory, unverified).",
        "Made from: healthy adults of 20 to 70 years.",
    )


@pytest.mark.parametrize("inside", [20, 70])
def test_the_stated_ends_are_not_extrapolated(inside: float) -> None:
    assert find("maximum_bpm_inbar_1994").cautions(age_y=inside) == ()


def test_the_docstring_is_completed_from_the_metadata() -> None:
    written = reserve_target_bpm.__doc__ or ""
    for section in ("Parameters", "Returns", "Raises", "Notes", "Sources", "Check values"):
        assert f"\n{section}\n{'-' * len(section)}\n" in written
    assert "resting_bpm : Resting heart rate. [bpm], 30 to 130 bpm" in written


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ("maximum_bpm_inbr_1994", "did you mean maximum_bpm_inbar_1994"),
        ("qqq", "The list of formulas shows every name"),
    ],
)
def test_a_wrong_name_is_answered_with_the_nearest(wrong: str, said: str) -> None:
    with pytest.raises(HalewardError) as caught:
        find(wrong)
    assert said in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_wrong_argument_is_answered_with_the_nearest() -> None:
    with pytest.raises(HalewardError, match=r"no argument 'rest_bpm'; did you mean resting_bpm\?"):
        calculate("reserve_target_bpm", {"rest_bpm": "60"})


def test_a_missing_argument_is_named() -> None:
    with pytest.raises(
        HalewardError, match=r"reserve_target_bpm also needs maximum_bpm \(60 to 230 bpm\), fraction \(0 to 1\)"
    ):
        calculate("reserve_target_bpm", {"resting_bpm": "60"})
    with pytest.raises(HalewardError, match="also needs age_y"):
        find("maximum_bpm_inbar_1994").call()


def test_the_command_line_form_is_calculated() -> None:
    texts = parse_arguments(["resting_bpm=60", "maximum_bpm = 188", "fraction=.6"])
    assert calculate("reserve_target_bpm", texts).result == "137 bpm"
    walk = parse_arguments(["sex=female", "age_y=70", "stature_m=1.60", "mass_kg=68"])
    assert calculate("six_minute_walk_m_enright_1998", walk).result == "444 m"


@pytest.mark.parametrize("text", ["sixty", "1,5", "1_0", "nan", "inf", "", "٦٠", "0x10", "6 0"])
def test_text_that_is_not_a_plain_number_is_refused(text: str) -> None:
    with pytest.raises(HalewardError, match="is not a number; write for example age_y=60"):
        calculate("maximum_bpm_inbar_1994", {"age_y": text})


@pytest.mark.parametrize("words", [["age_y"], ["=60"], ["age_y="], ["age_y=60", "age_y=61"]])
def test_arguments_of_another_form_are_refused(words: list[str]) -> None:
    with pytest.raises(HalewardError, match=r"is not of the form name=value|is given twice"):
        parse_arguments(words)


def _formula(name: str, ranges: dict[str, Range | Choice]) -> Any:
    return formula(title=name, equation="x", unit="1", ranges=ranges, source="definition", trust="definition", error="")


def test_ranges_must_name_the_arguments(registry: None) -> None:
    def doubled(*, x: float) -> float:
        return 2 * x

    with pytest.raises(TypeError, match="must name its keyword-only arguments"):
        _formula("doubled", {"y": Range(0, 1, "1", "Y")})(doubled)


def test_arguments_must_be_keyword_only(registry: None) -> None:
    def doubled(x: float) -> float:
        return 2 * x

    with pytest.raises(TypeError, match="keyword-only"):
        _formula("doubled", {"x": Range(0, 1, "1", "X")})(doubled)


def test_two_formulas_cannot_share_a_name(registry: None) -> None:
    def maximum_bpm_fox_1971(*, age_y: float) -> float:
        return age_y

    with pytest.raises(TypeError, match="registered twice"):
        _formula("again", {"age_y": Range(0, 1, "1", "Age")})(maximum_bpm_fox_1971)


@pytest.mark.parametrize("name", sorted(REGISTRY))
def test_every_formula_says_where_it_is_from_and_can_be_shown(name: str) -> None:
    known = REGISTRY[name]
    assert known.title.strip()
    assert known.equation.strip()
    assert known.source.strip()
    assert all(limits.label for limits in known.ranges.values())
    assert haleward.units.shown(1.0, known.unit)

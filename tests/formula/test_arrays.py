"""Arrays are checked like numbers, a fault is named by its place, and nothing endless comes out."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import numpy as np
import pytest

import haleward.capacity  # noqa: F401 - registers every formula
from haleward.errors import HalewardError, Inconsistent, OutOfRange
from haleward.formula import REGISTRY, Choice, Range, either, find, formula, require
from haleward.formula.near import near

AGE = Range(18, 110, "years", "Age", stated_low=20, stated_high=70)


@pytest.fixture
def registry() -> Iterator[None]:
    """Whatever a test registers is forgotten again."""
    before = dict(REGISTRY)
    yield
    REGISTRY.clear()
    REGISTRY.update(before)


def registered(function: Callable[..., float], **more: Any) -> Any:
    """``function`` of one argument x from 0 to 1000 as a formula."""
    words = {"title": "Trial", "equation": "f(x)", "unit": "1", "source": "s", "trust": "definition"}
    formula(ranges={"x": Range(0, 1000, "1", "X")}, **{**words, **more})(function)
    return REGISTRY[function.__name__]


@pytest.mark.parametrize(
    ("value", "said"),
    [
        ([30, 500, 5], "Age is 500 years (at index 1; 2 of 3 values are wrong); it must be from 18 to 110 years."),
        (np.array([[30, 40], [50, 7]]), "Age is 7 years (at index (1, 1); 1 of 4 values is wrong); it must be"),
        ([30, np.nan], "Age is not a number (NaN) (at index 1; 1 of 2 values is wrong); give a number from 18"),
        (np.ma.masked_array([30, 40], [True, False]), "Age is missing (at index 0; 1 of 2 values is wrong); give"),
        (np.array(["x", "y"]), "Age is an array of <U1, which is not a number; give a number from 18 to 110 years."),
        ([True, False], "which is not a number"),
        ([30, np.inf], "Age is inf years (at index 1; 1 of 2 values is wrong)"),
    ],
)
def test_a_fault_in_an_array_is_one_sentence_with_its_place(value: Any, said: str) -> None:
    with pytest.raises(HalewardError) as caught:
        AGE.check(value)
    assert str(caught.value).startswith(said) or said in str(caught.value)


def test_one_wrong_number_has_no_place() -> None:
    with pytest.raises(OutOfRange) as caught:
        AGE.check(500)
    assert str(caught.value) == "Age is 500 years; it must be from 18 to 110 years."


def test_a_part_of_a_whole_number_in_an_array_is_named() -> None:
    with pytest.raises(HalewardError) as caught:
        Range(1, 15, "repetitions", "Repetitions", whole=True).check([2, 3.5])
    said = "Repetitions must be a whole number, not 3.5 (at index 1; 1 of 2 values is wrong)."
    assert str(caught.value) == said


def test_a_word_in_an_array_is_checked_by_its_place() -> None:
    sex = Choice(("female", "male"), "Sex")
    sex.check(np.array(["male", "female"]))
    with pytest.raises(HalewardError) as caught:
        sex.check(["male", None])
    assert str(caught.value) == "Sex is missing (at index 1; 1 of 2 values is wrong); it must be female or male."
    with pytest.raises(HalewardError) as caught:
        sex.check(np.array(["male", "man"]))
    assert str(caught.value) == "Sex is 'man' (at index 1; 1 of 2 values is wrong); it must be female or male."


def test_of_many_options_only_some_are_named_and_near_ones_asked() -> None:
    codes = Choice(tuple(f"code_{n}" for n in range(100, 120)), "Code")
    assert codes.described() == "one of 20 names, for example code_100 or code_101"
    with pytest.raises(HalewardError) as caught:
        codes.check("code_11x")
    assert str(caught.value).startswith(
        "Code is 'code_11x'; it must be one of 20 names, for example code_100 or code_101;"
    )
    assert "did you mean code_11" in str(caught.value)


def test_exactly_twelve_options_are_all_named() -> None:
    twelve = Choice(tuple("abcdefghijkl"), "Letter")
    assert twelve.described() == " or ".join("abcdefghijkl")


def test_arrays_that_do_not_fit_together_are_named_with_their_lengths() -> None:
    with pytest.raises(HalewardError) as caught:
        find("body_mass_index").over(mass_kg=[70, 80, 90], stature_m=[1.7, 1.8])
    assert str(caught.value) == (
        "The arrays differ in length (mass_kg 3, stature_m 2); give arrays of one length, or single values."
    )


def test_the_result_has_the_common_shape_even_where_an_argument_does_not_matter(registry: None) -> None:
    def constant(*, x: float) -> float:
        return 4

    assert registered(constant).over(x=np.zeros((2, 3))).tolist() == [[4, 4, 4], [4, 4, 4]]


def test_a_result_over_arrays_can_be_changed_by_its_owner() -> None:
    found = find("body_mass_index").over(mass_kg=[70, 80], stature_m=1.75)
    found[0] = 0
    assert found[0] == 0


@pytest.mark.parametrize("x", [0, np.array([1.0, 0.0])])
def test_a_division_by_nothing_is_refused(registry: None, x: Any) -> None:
    def inverse(*, x: float) -> float:
        return 1 / x

    with pytest.raises(HalewardError, match=r"^Trial has no finite result for these values"):
        registered(inverse).over(x=x)


@pytest.mark.parametrize("x", [1000, np.array([1.0, 1000.0])])
def test_a_result_too_large_for_a_number_is_refused(registry: None, x: Any) -> None:
    def tower(*, x: float) -> float:
        return (x + 10.0) ** x

    with pytest.raises(HalewardError, match="no finite result for these values"):
        registered(tower).over(x=x)


def test_a_result_that_is_no_number_names_its_place(registry: None) -> None:
    def root(*, x: float) -> float:
        return np.sqrt(x - 1)

    with pytest.raises(HalewardError, match=r"\(at index 1; 1 of 2 values is wrong\); check each of them\.$"):
        registered(root).over(x=[5, 0])


def test_a_function_of_single_numbers_takes_arrays_number_by_number(registry: None) -> None:
    seen: list[float] = []

    def table(*, x: float) -> float:
        seen.append(x)
        return 1.0 if x < 5 else 2.0

    known = registered(table, elementwise=True)
    assert known.over(x=[[1, 9], [4, 5]]).tolist() == [[1, 2], [1, 2]]
    assert known.call(x=9) == 2
    assert seen == [1, 9, 4, 5, 9]


def test_a_branch_works_for_numbers_and_for_arrays() -> None:
    assert either(True, 1, 2) == 1
    assert either(False, 1, 2) == 2
    assert np.asarray(either(np.array([True, False]), 1, 2)).tolist() == [1, 2]  # type: ignore[arg-type]
    assert np.asarray(either(np.array([True, False]), np.array([1, 2]), 7)).tolist() == [1, 7]  # type: ignore[arg-type]


def test_a_contradiction_is_said_with_its_own_values() -> None:
    require(True, "never said")
    require(np.array([True, True]), "never said")
    with pytest.raises(Inconsistent, match=r"^80 is not above 90\.$"):
        require(False, "{a} is not above {b}.", a=80, b=90)
    with pytest.raises(Inconsistent, match=r"^70 is not above 90 \(at index 1; 1 of 2 values is wrong\)\.$"):
        require(np.array([True, False]), "{a} is not above {b}.", a=np.array([95, 70]), b=90)
    with pytest.raises(Inconsistent, match=r"^male is not 1\.5\.$"):
        require(False, "{word} is not {number}.", word="male", number=1.5)


def test_two_people_of_whom_one_contradicts_are_told_by_place() -> None:
    with pytest.raises(Inconsistent) as caught:
        find("reserve_target_bpm").over(resting_bpm=[60, 120], maximum_bpm=[150, 110], fraction=0.5)
    assert str(caught.value) == (
        "The maximal heart rate (110 bpm) is not above the resting heart rate (120 bpm); check both readings "
        "(at index 1; 1 of 2 values is wrong)."
    )


def test_an_array_is_cautioned_when_one_number_is_beyond_what_the_source_states() -> None:
    known = find("maximum_bpm_inbar_1994")
    assert known.cautions(age_y=np.array([30, 70])) == ()
    assert known.cautions(age_y=np.array([30, 71]))[0].startswith("Age (array) is outside the 20 to 70 years")
    assert AGE.beyond([19, 20, 70, 71]).tolist() == [True, False, False, True]


@pytest.mark.parametrize(
    ("limits", "said"),
    [
        (Range(1, 2, "m", "L"), "1 to 2 m"),
        (Range(0, 1, "1", "F"), "0 to 1"),
        (Range(1, 9, "m", "L", stated_low=2), "1 to 9 m; the source states 2 m or more"),
        (Range(1, 9, "m", "L", stated_high=8), "1 to 9 m; the source states 8 m or less"),
        (Range(0, 1, "1", "F", stated_low=0.4, stated_high=0.5), "0 to 1; the source states 0.4 to 0.5"),
        (Range(0, 1, "1", "F", stated_high=0.5), "0 to 1; the source states 0.5 or less"),
        (Range(0, 1, "1", "F", stated_low=0.5), "0 to 1; the source states 0.5 or more"),
    ],
)
def test_a_range_is_described(limits: Range, said: str) -> None:
    assert limits.described() == said


def test_a_name_is_near_by_spelling_or_by_its_parts() -> None:
    names = ["maximum_bpm_tanaka_2001", "maximum_bpm_fox_1971", "body_mass_index"]
    assert near("Tanaka 2001", names) == "; did you mean maximum_bpm_tanaka_2001?"
    assert near("body_mas_index", names) == "; did you mean body_mass_index?"
    assert near("BMI", names) == "; did you mean body_mass_index?"
    assert near("maximum bpm", names).endswith("did you mean maximum_bpm_fox_1971 or maximum_bpm_tanaka_2001?")
    assert near("zzz", names) == "."
    assert near("?", names) == "."
    assert near("age", ["a_age_1", "b_age_2", "c_age_3", "d_age_4"]).count("age_") == 3


def test_registering_keeps_every_word_and_completes_the_docstring(registry: None) -> None:
    def halved(*, x: float, sex: str) -> float:
        """Half of x."""
        return x / 2

    ranges = {"x": Range(0, 4, "m", "X"), "sex": Choice(("a", "b"), "Sex")}
    checked = formula(
        title="Half",
        equation="x / 2",
        unit="m",
        ranges=ranges,
        source="Book",
        trust="definition",
        error="Large.",
        population="six people",
        standard_error=3,
    )(halved)
    known = REGISTRY["halved"]
    assert (known.name, known.title, known.equation, known.unit) == ("halved", "Half", "x / 2", "m")
    assert (known.source, known.trust, known.error) == ("Book", "definition", "Large.")
    assert (known.population, known.standard_error, known.spread, known.bounds) == ("six people", 3, None, None)
    assert known.ranges == ranges
    assert known.cited == "Book [definition]"
    assert known.function is checked
    assert checked.__name__ == "halved"
    assert checked.__doc__ == (
        "Half of x.\n\nx / 2\n\nParameters\n----------\nx : X. [m], 0 to 4 m\nsex : Sex. [name], a or b\n\n"
        "Returns\n-------\nfloat : Half, not rounded. [m]\n\n"
        "Raises\n------\nOutOfRange : an argument lies outside its range (plausibility limits where the source gives "
        "none).\nHalewardError : an argument is missing or is not a number.\n\n"
        "Notes\n-----\nLarge.\nPopulation: six people.\n\n"
        "Sources\n-------\nBook [definition]\n\nCheck values\n------------\ntests/checks, rows of halved.\n"
    )
    assert type(known.over(x=[1, 2], sex="a")) is np.ndarray
    assert known.worksheet("Another title", x=1, sex="a", rule_id="R", origins={"x": "seen"}).title == "Another title"
    step = known.worksheet("Another title", x=1, sex="a", rule_id="R", origins={"x": "seen"}, cautions=("c",)).steps[0]
    assert (step.title, step.rule_id, step.inputs[0].origin, step.inputs[1].origin) == (
        "Another title",
        "R",
        "seen",
        "",
    )
    assert known.worksheet(x=1, sex="a", cautions=("c",)).cautions == ("Large.", "Made from: six people.", "c")


def test_a_formula_without_a_docstring_is_introduced_by_its_title(registry: None) -> None:
    def bare(*, x: float) -> float:
        return x

    assert str(registered(bare).function.__doc__).startswith("Trial\n\nf(x)\n\nParameters")
    assert "\nNotes\n-----\n\n\nSources" in str(REGISTRY["bare"].function.__doc__)


def test_a_formula_says_its_room_and_subject() -> None:
    known = find("maximum_bpm_inbar_1994")
    assert (known.room, known.subject) == ("physiology", "heart rate")

"""What a tired reader meets: no answered question asked again, no limit worded as a fact, no rival hidden."""

from __future__ import annotations

from datetime import date

import pytest

from haleward.capacity.field_tests import About, Part, evaluate, find_test
from haleward.capacity.field_values import Reckoned, Value
from haleward.errors import HalewardError
from haleward.formula import find
from haleward.physiology.finding import Finding
from haleward.physiology.tables import rows
from haleward.worksheet import NotComputed

WOMAN = About(
    on=date(2026, 11, 25),
    sex="female",
    age_y=78,
    stature_m=1.58,
    mass_kg=71,
    rhythm="atrial_fibrillation",
    slowed=True,
    walk_methods=("peak_vo2_six_minute_walk_ross_2010", "vo2_shuttle_walk_buckley_2016"),
)


def result_of(key: str, values: dict[str, Value], about: About = WOMAN) -> dict[str, Part]:
    return {part.key: part for part in evaluate(find_test(key), values, about)}


def test_a_void_method_asks_nothing_more() -> None:
    values: dict[str, Value] = {"power_w": 50, "minute_5_bpm": 128, "minute_6_bpm": 130}
    (found,) = result_of("cycle_one_load", values)["capacity"].results
    assert isinstance(found, NotComputed)
    assert "The rhythm is atrial fibrillation" in found.reason
    assert found.ask == ()


def test_what_the_form_has_answered_is_not_asked_again() -> None:
    about = About(on=WOMAN.on, sex="female", age_y=60, mass_kg=71, rhythm="sinus", slowed=False)
    values: dict[str, Value] = {"power_w": 50, "minute_5_bpm": 128, "minute_6_bpm": 130}
    (found,) = result_of("cycle_one_load", values, about)["capacity"].results
    assert isinstance(found, NotComputed)
    assert found.ask == (
        "Is a heart device fitted, and of which kind?",
        "Was the heart transplanted?",
        "Was the pace kept to the end of each stage?",
    )


def test_a_cycle_test_without_a_peak_still_says_what_the_last_stage_cost() -> None:
    values: dict[str, Value] = {"stage_1_w": 25, "stage_1_earlier_bpm": 92, "stage_1_bpm": 94}
    met, cost = result_of("cycle_test", values)["measured"].results
    assert isinstance(met, Reckoned)
    assert isinstance(cost, Reckoned)
    assert cost.figure.value == pytest.approx(7 + 1.8 * 150 / 71)
    assert met.text == "about 3.1 METs, likely 2.9 to 3.3"


def test_rival_equations_are_said_to_differ_and_each_says_how_wrong_it_can_be() -> None:
    compared = result_of("six_minute_walk", {"distance_m": 312, "rests": 2, "aid": True})
    first, second, *_rest = compared["compared"].results
    assert isinstance(first, Finding)
    assert "by these the walk is 56% to 86% of what is predicted" in first.meaning
    assert isinstance(second, Reckoned)
    assert any("No standard error for one person" in told for told in second.worksheet.cautions)
    assert any(told.startswith("Made from: healthy United States adults") for told in second.worksheet.cautions)


def test_counts_and_an_unnamed_aid_are_told_plainly() -> None:
    parts = result_of("six_minute_walk", {"distance_m": 312, "rests": 2, "aid": True})
    texts = {one.title: one.text for one in parts["measured"].results if isinstance(one, Reckoned)}
    assert texts["Rests"] == "2"
    (capacity,) = parts["capacity"].results
    assert isinstance(capacity, Reckoned)
    assert any(told.startswith("Walked with an aid: ") for told in capacity.worksheet.cautions)


def test_the_range_of_measured_people_is_not_called_likely() -> None:
    found = result_of("shuttle_walk", {"distance_m": 210})["capacity_more"].results
    told = [one.text for one in found if isinstance(one, Reckoned) and "Almodhy" in one.title]
    assert told == ["3.6 METs (3.2 to 3.8 among those eight)"]
    assert not any("[" in one.title for one in found if isinstance(one, Reckoned))


def test_a_limit_never_words_a_link_as_a_fact() -> None:
    outcomes = [
        row["meaning"] for row in rows("function_cutoffs") if "falls" in row["meaning"] or "mort" in row["meaning"]
    ]
    assert outcomes
    assert all(one.startswith(("linked with ", "raised fall risk")) for one in outcomes), outcomes


def test_the_beginning_of_an_option_is_asked_about() -> None:
    known = find("six_minute_walk_m_enright_1998")
    with pytest.raises(HalewardError, match=r"^Sex is 'F'; it must be female or male; did you mean female\?$"):
        known.call(sex="F", age_y=78, stature_m=1.58, mass_kg=71)
    with pytest.raises(HalewardError, match=r"^Sex is ' '; it must be female or male\.$"):
        known.call(sex=" ", age_y=78, stature_m=1.58, mass_kg=71)

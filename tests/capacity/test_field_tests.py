"""The tests of the Reckoner: every one works out, refuses nonsense in a sentence, and never guesses."""

import csv
import dataclasses
import re
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from haleward.capacity.field_results import RECKONERS
from haleward.capacity.field_tests import FILE, evaluate, field_tests, find_test
from haleward.capacity.field_values import About, Reckoned
from haleward.capacity.step_test import metronome_bpm
from haleward.errors import HalewardError, Inconsistent
from haleward.formula import find
from haleward.physiology.finding import Finding
from haleward.worksheet import NotComputed

METHODS = ("peak_vo2_six_minute_walk_ross_2010", "vo2_shuttle_walk_buckley_2016")
UNKNOWN = About(on=date(2026, 3, 3), walk_methods=METHODS)
MAN = dataclasses.replace(UNKNOWN, sex="male", age_y=65, stature_m=1.75, mass_kg=82)
SINUS = dataclasses.replace(MAN, rhythm="sinus", slowed=False, device_kind="none", transplant=False)


def answer(key, about=MAN, **values):
    """The parts of an answer by their key."""
    return {part.key: part for part in evaluate(find_test(key), values, about)}


def first(part):
    return part.results[0]


def by_title(part, words):
    return next(one for one in part.results if words in getattr(one, "title", getattr(one, "what", "")))


def test_every_test_has_someone_who_works_it_out():
    assert set(field_tests()) == set(RECKONERS)


def test_every_field_of_every_test_has_a_name_of_its_own():
    for test in field_tests().values():
        names = [one.name for one in test.inputs]
        assert len(names) == len(set(names)), test.key


def test_the_boxes_that_stages_fill_are_fields_of_the_test():
    for test in field_tests().values():
        assert {stage.fills for stage in test.stages} <= {one.name for one in test.fields}


def test_the_beat_of_the_step_test_is_four_to_a_step():
    for stage in find_test("step_test").stages:
        assert stage.beats_per_min == metronome_bpm(steps_per_min=stage.rate_per_min)


def test_every_sentence_of_the_table_of_words_is_used():
    rooms = FILE.parent.parent.parent / "capacity"
    code = "".join(path.read_text("utf-8") for path in rooms.glob("field_*.py"))
    with FILE.with_name("field_test_words.csv").open(encoding="utf-8", newline="") as table:
        keys = [row["key"] for row in csv.DictReader(table)]
    named = set(re.findall(r"[\"'](\w+)[\"']", code)) | {
        f"part_{name}" for name in re.findall(r'part\(\s*"(\w+)"', code)
    }
    assert {key for key in keys if not key.startswith("best_")} - named == set()


def test_laps_times_their_length_and_the_metres_beyond_are_the_distance():
    parts = answer("six_minute_walk", laps=14, lap_m=30, remainder_m=10)
    assert first(parts["measured"]).figure.value == 430


def test_laps_without_their_length_are_asked_about():
    found = first(answer("six_minute_walk", laps=14)["measured"])
    assert isinstance(found, NotComputed)
    assert found.ask


def test_a_count_and_a_typed_distance_that_differ_are_refused():
    with pytest.raises(Inconsistent, match="430 by the count and 420 as typed"):
        answer("six_minute_walk", laps=14, lap_m=30, remainder_m=10, distance_m=420)


def test_the_capacity_of_the_walk_carries_its_error_and_the_method_of_the_team():
    found = first(answer("six_minute_walk", distance_m=430)["capacity"])
    assert found.figure.low < found.figure.value < found.figure.high
    assert found.text == "about 4.4 METs, likely 3.3 to 5.5"
    assert "Ross 2010" in found.title


def test_the_published_example_of_per_cent_predicted_is_met():
    parts = answer("six_minute_walk", distance_m=430)
    found = by_title(parts["compared"], "(Enright 1998)")
    assert found.figure.value == pytest.approx(78.9, abs=0.1)
    assert "Not under its lower limit" in found.detail


def test_per_cent_predicted_carries_the_error_of_its_equation():
    found = by_title(answer("six_minute_walk", distance_m=430)["compared"], "Troosters")
    assert found.figure.low < found.figure.value < found.figure.high


def test_without_sex_age_or_size_nothing_is_compared_and_all_is_asked_for():
    parts = answer("six_minute_walk", UNKNOWN, distance_m=430)
    assert all(isinstance(one, NotComputed) and one.ask for one in parts["compared"].results)


def test_an_equation_made_for_the_other_sex_is_left_out():
    titles = [
        getattr(one, "title", getattr(one, "what", ""))
        for one in answer("six_minute_walk", distance_m=430)["compared"].results
    ]
    assert any("men (Jenkins" in title for title in titles)
    assert not any("women" in title for title in titles)


def test_a_heart_rate_term_is_void_under_a_slowing_medicine_and_asked_about_when_unknown():
    slowed = dataclasses.replace(SINUS, slowed=True)
    for about, asks in ((slowed, False), (MAN, True)):
        found = by_title(answer("six_minute_walk", about, distance_m=430, peak_bpm=110)["compared"], "Casanova")
        assert isinstance(found, NotComputed)
        assert bool(found.ask) is asks
    assert isinstance(
        by_title(answer("six_minute_walk", SINUS, distance_m=430, peak_bpm=110)["compared"], "Casanova"), Reckoned
    )


def test_levels_and_shuttles_give_the_distance_and_a_partly_done_level_its_methods():
    parts = answer("shuttle_walk", completed_level=6, further_shuttles=7)
    assert first(parts["measured"]).figure.value == 400
    assert by_title(parts["measured"], "Time").figure.value == pytest.approx(406.67, abs=0.01)
    assert "3.8 METs" in first(parts["capacity"]).text


def test_shuttles_that_do_not_fit_into_the_level_are_refused():
    with pytest.raises(HalewardError, match="do not fit"):
        answer("shuttle_walk", completed_level=1, further_shuttles=9)


def test_arms_that_helped_make_the_chair_stand_nought_and_an_open_answer_no_score():
    assert first(answer("chair_stand_30s", repetitions=9, used_arms=True)["measured"]).figure.value == 0
    assert isinstance(answer("chair_stand_30s", repetitions=9)["measured"].results[1], NotComputed)
    told = first(answer("chair_stand_30s", repetitions=9, used_arms=False)["compared"])
    assert isinstance(told, Finding)
    assert told.flagged


def test_the_battery_of_the_worked_example_is_eight_points():
    parts = answer(
        "sppb", side_by_side_s=10, semi_tandem_s=10, tandem_s=6.4, trial_1_s=5.9, trial_2_s=5.10, rises_s=15.2
    )
    assert first(parts["measured"]).figure.value == 8


def test_a_time_and_unable_together_are_refused():
    with pytest.raises(Inconsistent, match="could not be done"):
        answer("five_rises", trial_1_s=12, unable=True)


def test_a_stance_after_one_that_was_not_held_is_refused():
    with pytest.raises(Inconsistent, match="semi tandem"):
        answer("four_stage_balance", side_by_side_s=10, semi_tandem_s=4, tandem_s=10)


@pytest.mark.parametrize(("key", "kept"), [("up_and_go", 9.5), ("single_leg", 12.0)])
def test_the_trial_that_counts_follows_the_test(key, kept):
    assert first(answer(key, trial_1_s=9.5, trial_2_s=12.0)["measured"]).figure.value == kept


def test_the_step_test_of_the_worked_example_gives_its_published_peak_or_says_why_not():
    stages = {"stage_1_bpm": 96, "stage_2_bpm": 108, "stage_3_bpm": 119}
    about = dataclasses.replace(SINUS, age_y=62)
    parts = answer("step_test", about, height_cm=20, maximum="maximum_bpm_fox_1971", pace_not_kept=False, **stages)
    found = first(parts["capacity"])
    assert isinstance(found, NotComputed)  # 31.9 is over 1.5 times the top stage of 20.5
    assert "31.9" in found.reason


def test_a_slowing_medicine_voids_the_step_test_before_anything_is_asked():
    about = dataclasses.replace(SINUS, slowed=True)
    found = first(answer("step_test", about, height_cm=20, stage_1_bpm=96)["capacity"])
    assert isinstance(found, NotComputed)
    assert not found.ask


def test_a_gap_between_stages_is_refused():
    with pytest.raises(Inconsistent, match="Stage 3"):
        answer("step_test", height_cm=20, stage_1_bpm=96, stage_3_bpm=119)


def test_the_target_ends_at_the_lowest_limit_and_is_never_turned_round():
    given_rates = {"resting_bpm": 62, "peak_bpm": 140, "low_percent": 40, "high_percent": 70}
    limited = first(answer("heart_rate_target", SINUS, ceiling_bpm=110, **given_rates)["target"])
    assert "94 bpm to 110 bpm" in limited.meaning
    nothing = answer("heart_rate_target", SINUS, ceiling_bpm=90, **given_rates)["target"].results
    assert [type(one) for one in nothing] == [NotComputed]


@pytest.mark.parametrize("change", [{"rhythm": "atrial_fibrillation"}, {"rhythm": None}])
def test_no_target_by_heart_rate_out_of_sinus_rhythm_or_with_the_rhythm_unknown(change):
    about = dataclasses.replace(SINUS, **change)
    parts = answer("heart_rate_target", about, resting_bpm=62, peak_bpm=140, low_percent=40, high_percent=70)
    assert isinstance(first(parts["target"]), NotComputed)


def test_an_equation_gives_no_target_under_a_slowing_medicine():
    about = dataclasses.replace(SINUS, slowed=True)
    values = {"resting_bpm": 62, "maximum": "maximum_bpm_tanaka_2001", "low_percent": 40, "high_percent": 70}
    assert isinstance(first(answer("heart_rate_target", about, **values)["target"]), NotComputed)
    ends = answer("heart_rate_target", SINUS, **values)["target"].results[1:]
    assert all(end.figure.low < end.figure.value < end.figure.high for end in ends)


def test_the_questionnaire_scores_by_item_number_and_an_open_item_is_not_a_no():
    yes = {f"item_{number}": number in (1, 2, 3, 4, 6, 7) for number in range(1, 13)}
    assert first(answer("activity_status", **yes)["measured"]).figure.value == pytest.approx(18.95)
    del yes["item_12"]
    assert isinstance(first(answer("activity_status", **yes)["capacity"]), NotComputed)


def test_seven_equations_give_one_maximum_with_their_spread():
    found = first(answer("one_repetition", load_kg=20, repetitions=8)["capacity"])
    assert found.figure.low <= found.figure.value <= found.figure.high


@pytest.mark.parametrize(
    ("values", "told"),
    [({"right_kg": 200}, "from 0 to 100 kg"), ({"right_kg": float("nan")}, "not a number"), ({"left": 3}, "no field")],
)
def test_a_value_that_cannot_be_is_refused_with_its_range(values, told):
    with pytest.raises(HalewardError, match=told):
        answer("grip", **values)


def test_what_is_needed_and_missing_is_named():
    with pytest.raises(HalewardError, match="Full stands is missing"):
        answer("chair_stand_30s")


def test_an_unknown_test_is_told_with_those_there_are():
    with pytest.raises(HalewardError, match="six_minute_walk"):
        find_test("six_minutes")


def numbers_of(test):
    """Anything that the boxes of a test take, each also left out."""
    limits = {one.name: (one.low, one.high, one.kind) for one in test.fields if one.kind in ("number", "whole")}
    drawn = {
        name: st.none() | (st.integers(int(low), int(high)) if kind == "whole" else st.floats(low, high))
        for name, (low, high, kind) in limits.items()
    }
    answers = {one.name: st.sampled_from([None, True, False]) for one in test.fields if one.kind == "yes"}
    return st.fixed_dictionaries(drawn | answers)


def results_or_sentence(test, values, about):
    """Every result; none when the values are refused, which is told in whole sentences."""
    refused = None
    try:
        parts = evaluate(test, values, about)
        assert parts
        return [result for part in parts for result in part.results]
    except HalewardError as fault:
        refused = str(fault)
    assert refused.strip().endswith((".", "?"))
    return []


@pytest.mark.parametrize("key", sorted(RECKONERS))
@settings(max_examples=25)
@given(data=st.data())
def test_whatever_is_measured_there_is_a_plain_answer_or_one_sentence(key, data):
    test = find_test(key)
    values = data.draw(numbers_of(test))
    about = data.draw(st.sampled_from([UNKNOWN, MAN, SINUS]))
    for one in results_or_sentence(test, values, about):
        if isinstance(one, Reckoned):
            low, high = one.figure.low, one.figure.high
            assert (low is None) == (high is None)
            assert low is None or low <= one.figure.value <= high
            assert one.worksheet.steps
        if isinstance(one, NotComputed):
            assert one.reason


def test_the_methods_that_a_test_names_are_registered():
    assert find(METHODS[0]).unit == find(METHODS[1]).unit == "mL/kg/min"

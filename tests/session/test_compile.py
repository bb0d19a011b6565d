"""A cue sheet counts what the dose says, in time, in the same way every time."""

import json
from collections import Counter
from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from haleward.dose.model import Load, Walking
from haleward.errors import HalewardError
from haleward.movement.library import default_library
from haleward.plain import from_plain, to_plain
from haleward.session.compile import WALK, compile_session
from haleward.session.cue_sheet import CueSheet
from haleward.session.options import SessionOptions
from haleward.session.rotation import variant_families
from haleward.session.timing import GAP_MS, speech_ms
from haleward.wording import Service, default_wording
from tests.session.samples import BALANCED, RECORD, SERVICE, TODAY, exercise, programme, protocol

LIBRARY = default_library()
WORDING = default_wording()
WEIGHTED = {"hand_weight", "bottle"}


def compiled(plan=None, part_key="one", *, record=RECORD, service=SERVICE, made_on=TODAY, scale="0-10", **more):
    return compile_session(
        plan or programme(),
        part_key,
        record,
        protocol=protocol(effort_scale=scale),
        library=LIBRARY,
        wording=WORDING,
        service=service,
        made_on=made_on,
        **more,
    )


POSTURES = [(key, posture) for key, movement in sorted(LIBRARY.movements.items()) for posture in movement.postures]
EXERCISES = st.builds(
    lambda form, sets, repetitions, tempo, rest_s, hold_s, each_side: exercise(
        *form,
        sets=sets,
        repetitions=1 if hold_s else repetitions,
        out_s=tempo[0],
        pause_s=tempo[1],
        back_s=tempo[2],
        rest_s=rest_s,
        hold_s=hold_s,
        each_side=each_side,
    ),
    st.sampled_from(POSTURES),
    st.integers(1, 4),
    st.integers(1, 25),
    st.tuples(
        st.sampled_from([0.5, 1.0, 2.0, 2.5, 4.0]), st.sampled_from([0.0, 1.0]), st.sampled_from([1.0, 3.0, 4.0])
    ),
    st.integers(0, 180),
    st.sampled_from([0.0, 0.0, 5.0, 30.0]),
    st.booleans(),
)  # fmt: skip
PROGRAMMES = st.lists(EXERCISES, min_size=1, max_size=5).map(lambda exercises: programme(*exercises))
DAYS = st.integers(0, 400).map(lambda days: TODAY + timedelta(days=days))
FEW = settings(max_examples=25, deadline=None)


def spoken(block):
    return [cue for cue in block.cues if cue.kind in ("say", "count")]


def test_it_works():
    sheet = compiled()
    kinds = [block.kind for block in sheet.blocks]
    assert kinds[:5] == ["welcome", "ready", "setup", "set", "ask_effort"]
    assert kinds[-2:] == ["ask_effort", "close"]
    assert [each.title for each in sheet.exercises] == ["Arm curl", "Wall press", "Side leg raise", "One-leg stand"]


@FEW
@given(PROGRAMMES, DAYS)
def test_blocks_follow_each_other_without_a_gap_and_fill_the_session(plan, day):
    sheet = compiled(plan, made_on=day)
    at_ms = 0
    for block in sheet.blocks:
        assert block.start_ms == at_ms
        at_ms += block.length_ms
    assert sheet.length_ms == at_ms


@FEW
@given(PROGRAMMES, DAYS)
def test_no_sentence_talks_over_another_or_out_of_its_block(plan, day):
    for block in compiled(plan, made_on=day).blocks:
        quiet_from = block.start_ms
        for cue in spoken(block):
            assert cue.start_ms >= quiet_from
            assert cue.length_ms >= speech_ms(cue.text)
            quiet_from = cue.start_ms + cue.length_ms
        assert quiet_from <= block.start_ms + block.length_ms


@FEW
@given(PROGRAMMES)
def test_every_cue_lies_inside_its_block_and_starts_in_order(plan):
    for block in compiled(plan).blocks:
        starts = [cue.start_ms for cue in block.cues]
        assert starts == sorted(starts)
        assert all(block.start_ms <= c.start_ms for c in block.cues)
        assert all(c.start_ms + c.length_ms <= block.start_ms + block.length_ms for c in block.cues)


@FEW
@given(PROGRAMMES)
def test_every_set_counts_exactly_the_repetitions_of_the_dose_on_each_side(plan):
    sheet = compiled(plan)
    lines = plan.parts[0].exercises
    sets = [block for block in sheet.blocks if block.kind == "set"]
    assert Counter(block.exercise for block in sets) == {i: line.dose.sets for i, line in enumerate(lines)}
    for block in sets:
        line = lines[block.exercise]
        for side in ("left", "right") if line.each_side else ("",):
            counts = [cue.repetition for cue in block.cues if cue.kind == "count" and cue.side == side]
            wanted = 0 if line.dose.hold_s else line.dose.repetitions
            assert counts == list(range(1, wanted + 1))


@FEW
@given(PROGRAMMES)
def test_one_repetition_lasts_exactly_its_tempo(plan):
    sheet = compiled(plan)
    for block in sheet.blocks:
        counts = [cue for cue in block.cues if cue.kind == "count"]
        if block.kind != "set" or not counts:
            continue
        dose = plan.parts[0].exercises[block.exercise].dose
        gaps = {b.start_ms - a.start_ms for a, b in pairwise(counts) if a.side == b.side}
        assert gaps <= {round((dose.out_s + dose.pause_s + dose.back_s) * 1000)}


@FEW
@given(PROGRAMMES)
def test_every_rest_lasts_the_rest_of_the_dose_longer_only_for_its_words_and_none_follows_the_last_set(plan):
    sheet = compiled(plan)
    rests = [block for block in sheet.blocks if block.kind == "rest"]
    assert len(rests) == sum(line.dose.sets for line in plan.parts[0].exercises) - 1
    for block in rests:
        planned_ms = plan.parts[0].exercises[block.exercise].dose.rest_s * 1000
        needed_ms = sum(cue.length_ms + GAP_MS for cue in block.cues)
        assert planned_ms <= block.length_ms <= max(planned_ms, needed_ms)


@FEW
@given(PROGRAMMES, DAYS)
def test_the_same_arguments_give_the_same_sheet_and_json_gives_it_back(plan, day):
    sheet = compiled(plan, made_on=day)
    assert compiled(plan, made_on=day) == sheet
    assert from_plain(CueSheet, json.loads(json.dumps(to_plain(sheet)))) == sheet


@FEW
@given(PROGRAMMES, DAYS)
def test_no_line_is_repeated_while_another_is_left(plan, day):
    unhurried = [replace(line, dose=replace(line.dose, rest_s=60)) for line in plan.parts[0].exercises]
    sheet = compiled(programme(*unhurried), made_on=day)
    said = Counter(cue.wording_key for block in sheet.blocks for cue in block.cues)
    for name in ("welcome", "next_movement", "effort_ask", "session_done"):
        uses = [said[variant.key] for variant in variant_families()[name]]
        assert max(uses) - min(uses) <= 1, name


def test_the_variants_turn_with_the_day():
    welcomes = {compiled(made_on=TODAY + timedelta(days=days)).blocks[0].lines[0] for days in range(3)}
    assert len(welcomes) == 3


def test_the_outline_tells_the_real_minutes():
    sheet = compiled()
    outline = sheet.blocks[0].lines[1]
    told = int(outline.split("about ")[1].split()[0])
    assert abs(told * 60_000 - sheet.length_ms) < 60_000


def test_a_movement_that_works_on_the_way_back_goes_down_first():
    sheet = compiled(programme(exercise("wall_press", "standing", out_s=3.0, back_s=2.0)))
    block = next(block for block in sheet.blocks if block.kind == "set")
    words = [cue.text for cue in block.cues if cue.wording_key in ("move_out", "move_back")][:2]
    assert words == ["Bend towards the wall", "Push away"]
    breaths = [cue.text for cue in block.cues if cue.kind == "breathe"][:2]
    assert breaths == ["Breathe in as you bend.", "Breathe out as you push."]


def test_the_figure_goes_out_waits_and_comes_back():
    sheet = compiled(programme(exercise(pause_s=1.0)))
    block = next(block for block in sheet.blocks if block.kind == "set")
    first = [cue for cue in block.cues if cue.kind == "show" and cue.repetition == 1]
    assert [(c.pose_from, c.pose_to, c.length_ms) for c in first] == [(0, 0.5, 2000), (0.5, 0.5, 1000), (0.5, 1, 3000)]


def test_the_left_side_is_finished_before_the_right_begins():
    sheet = compiled(programme(exercise("side_leg_raise", "hand_supported", each_side=True)))
    block = next(block for block in sheet.blocks if block.kind == "set")
    sides = [cue.side for cue in block.cues if cue.kind == "count"]
    assert sides == ["left"] * 10 + ["right"] * 10


def test_a_hold_tells_half_way_and_the_seconds_left():
    sheet = compiled(programme(exercise("single_leg_stance", "standing", repetitions=1, hold_s=30.0, each_side=True)))
    block = next(block for block in sheet.blocks if block.kind == "set")
    told = [cue.text for cue in block.cues if cue.wording_key.startswith("hold_") and cue.side == "left"]
    assert told == ["Hold. 20 seconds left.", "Halfway through the hold.", "Hold. 10 seconds left.", "And let go."]


def test_the_first_rest_says_what_it_is_good_for_and_the_second_says_something_else():
    sheet = compiled()
    whys = [cue.text for block in sheet.blocks for cue in block.cues if cue.wording_key == "why"]
    words = WORDING.movement("biceps_curl", "seated")
    assert whys[:2] == [words.why_told_in_rest, words.why_told_in_rest_2]
    assert len(whys) == len(set(whys))


def test_a_rest_too_short_for_its_words_stretches_until_they_are_said():
    sheet = compiled(programme(exercise(rest_s=5)))
    rest = next(block for block in sheet.blocks if block.kind == "rest")
    (why,) = [cue for cue in rest.cues if cue.wording_key == "why"]
    assert rest.length_ms == why.length_ms + GAP_MS > 5000


def test_with_few_words_a_short_rest_keeps_its_length():
    sheet = compiled(programme(exercise(rest_s=5)), options=SessionOptions(talk="few"))
    rest = next(block for block in sheet.blocks if block.kind == "rest")
    assert rest.length_ms == 5000
    assert not [cue for cue in rest.cues if cue.wording_key == "why"]


@pytest.mark.parametrize(
    ("limited", "wanted", "unwanted"),
    [(True, ["check_drink_limit"], ["check_drink"]), (False, ["check_drink"], ["check_drink_limit"]),
     (None, [], ["check_drink", "check_drink_limit"])],
)  # fmt: skip
def test_a_fluid_limit_decides_what_is_said_about_drinks(limited, wanted, unwanted):
    lines = compiled(record=replace(RECORD, fluid_limited=limited)).before_lines
    assert all(WORDING.text(key, {}) in lines for key in wanted)
    assert not any(WORDING.text(key, {}) in lines for key in unwanted)


def test_the_nitrate_is_named_only_for_a_person_who_has_one():
    assert "Keep your spray within reach." in compiled().before_lines
    assert "Keep your spray within reach." not in compiled(record=replace(RECORD, nitrate_prescribed=None)).before_lines


def test_only_the_kit_of_this_session_is_checked():
    lines = compiled().before_lines
    assert WORDING.text("check_bottle", {}) in lines
    assert WORDING.text("check_band", {}) not in lines


def test_nothing_to_hold_is_said_to_be_put_down():
    sheet = compiled(programme(BALANCED[1]))
    said = " ".join(cue.text for block in sheet.blocks for cue in block.cues)
    assert "Put the weight down" not in said
    assert "Pick up your weight" not in said


def test_a_walk_has_its_bouts_its_rests_and_an_effort_question_after_each():
    sheet = compiled(part_key=WALK)
    kinds = [block.kind for block in sheet.blocks]
    assert kinds == ["welcome", "ready", "walk", "ask_effort", "rest", "walk", "ask_effort", "close"]
    assert [block.length_ms for block in sheet.blocks if block.kind == "walk"] == [600_000, 600_000]
    assert (sheet.effort_low, sheet.effort_high) == (2.0, 4.0)


@FEW
@given(st.integers(1, 4), st.integers(1, 45), st.integers(0, 5))
def test_a_walk_never_talks_over_itself(bouts, minutes, rest_minutes):
    sheet = compiled(programme(walking=Walking(("monday",), bouts, minutes, rest_minutes)), WALK)
    for block in sheet.blocks:
        quiet_from = block.start_ms
        for cue in spoken(block):
            assert cue.start_ms >= quiet_from
            quiet_from = cue.start_ms + cue.length_ms
        assert quiet_from <= block.start_ms + block.length_ms


def test_the_sheet_carries_the_version_of_programme_and_protocol():
    sheet = compiled()
    assert sheet.plan_version == 3
    assert sheet.protocol == "default, 1"
    assert sheet.plan_line == "This is plan 3, made on 3 February 2026."
    assert sheet.sheet_id != compiled(made_on=date(2026, 2, 5)).sheet_id


def test_the_other_effort_scale_asks_with_its_own_numbers_and_has_no_words_of_ours():
    sheet = compiled(scale="6-20")
    asked = [block.lines[0] for block in sheet.blocks if block.kind == "ask_effort"]
    assert set(asked) == {"Which number fits that set, 6 to 20?"}
    assert sheet.effort_anchors == ()


def test_an_unknown_part_is_an_error_that_names_the_parts():
    with pytest.raises(HalewardError, match='no part "three"; it has: one, walk'):
        compiled(part_key="three")


def test_a_weight_without_its_mass_is_an_error():
    with pytest.raises(HalewardError, match="without its mass"):
        compiled(programme(exercise(load=Load("bottle"))))


def test_a_service_without_numbers_still_gives_a_session_without_gaps():
    sheet = compiled(service=Service("Small team", {}))
    texts = [cue.text for block in sheet.blocks for cue in block.cues] + list(sheet.after_lines)
    assert not [text for text in texts if "{" in text]

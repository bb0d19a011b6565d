"""Options change how a session is told, and never what is done."""

import csv
import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from haleward.errors import Inconsistent
from haleward.movement.library import default_library
from haleward.safety.protocol import default_protocol
from haleward.session.compile import compile_session
from haleward.session.context import CARER
from haleward.session.options import USUAL, SessionOptions, telling
from haleward.session.timing import speech_ms
from haleward.wording import WORDING_FOLDER
from tests.session.samples import BALANCED, RECORD, SERVICE, TODAY, programme
from tests.session.test_compile import DAYS, PROGRAMMES, WORDING, compiled, spoken

OPTIONS = st.builds(
    SessionOptions,
    pace=st.sampled_from(["slower", "usual"]),
    talk=st.sampled_from(["few", "usual", "more"]),
    count_aloud=st.booleans(),
    listener=st.sampled_from(["self", "carer"]),
    low_vision=st.booleans(),
    harder_agreed=st.sampled_from([(), ("wall_press",)]),
)
FEW = settings(max_examples=30, deadline=None)


def done(sheet):
    """What is done: sets, repetitions and loads, without how it is told."""
    return [
        (one.movement_id, one.posture, one.sets, one.repetitions, one.hold_s, one.load_text) for one in sheet.exercises
    ]


def words_said(sheet):
    return sum(len(cue.text.split()) for block in sheet.blocks for cue in block.cues if cue.kind in ("say", "count"))


def test_options_are_kept_as_plain_values_and_read_back():
    chosen = SessionOptions(pace="slower", talk="more", count_aloud=False, harder_agreed=("wall_press",))
    assert SessionOptions.from_plain(json.loads(json.dumps(chosen.plain()))) == chosen
    assert SessionOptions.from_plain({"pace": "usual", "talk": "few"}) == SessionOptions(talk="few")


@pytest.mark.parametrize("wrong", [{"pace": "quick"}, {"talk": "none"}, {"speed": 2}])
def test_an_option_that_does_not_exist_is_refused(wrong):
    with pytest.raises(Inconsistent, match="SessionOptions"):
        SessionOptions.from_plain(wrong)


@FEW
@given(PROGRAMMES, DAYS, OPTIONS)
def test_whatever_is_chosen_no_sentence_talks_over_another_and_the_dose_stays(plan, day, options):
    sheet = compiled(plan, made_on=day, options=options)
    assert done(sheet) == done(compiled(plan, made_on=day))
    for block in sheet.blocks:
        quiet_from = block.start_ms
        for cue in spoken(block):
            assert cue.start_ms >= quiet_from
            assert cue.length_ms >= speech_ms(cue.text)
            quiet_from = cue.start_ms + cue.length_ms
        assert quiet_from <= block.start_ms + block.length_ms


@FEW
@given(PROGRAMMES, OPTIONS)
def test_whatever_is_chosen_every_count_is_on_the_beat(plan, options):
    for block in compiled(plan, options=options).blocks:
        counts = [cue for cue in block.cues if cue.kind == "count"]
        beats = [cue for cue in block.cues if cue.kind == "show" and cue.pose_from == 0.0]
        if counts:
            assert [cue.start_ms for cue in counts] == [cue.start_ms for cue in beats]


def test_slower_lengthens_every_move_by_the_factor_of_the_table_and_nothing_else():
    usual, slower = compiled(), compiled(options=SessionOptions(pace="slower"))
    for before, after in zip(usual.exercises, slower.exercises, strict=True):
        assert after.out_s == round(before.out_s * telling("slower_factor"), 3)
        assert (after.rest_s, after.hold_s) == (before.rest_s, before.hold_s)
    assert slower.length_ms > usual.length_ms


def test_less_or_more_is_said_as_chosen_and_what_safety_needs_is_always_said():
    few, usual, more = (compiled(options=SessionOptions(talk=talk)) for talk in ("few", "usual", "more"))
    assert words_said(few) < words_said(usual) < words_said(more)
    assert few.before_lines == usual.before_lines == more.before_lines
    assert few.after_lines == usual.after_lines == more.after_lines


def test_breathing_is_not_cued_in_every_repetition():
    for talk in ("few", "usual", "more"):
        (first, *_) = [block for block in compiled(options=SessionOptions(talk=talk)).blocks if block.kind == "set"]
        said = [cue for cue in first.cues if cue.wording_key.startswith("breathe")]
        assert len([cue for cue in said if cue.kind == "say"]) <= 2


def test_more_words_tell_the_pace_a_fault_to_watch_for_and_the_easier_way():
    keys = {cue.wording_key for block in compiled(options=SessionOptions(talk="more")).blocks for cue in block.cues}
    assert {"fault", "easier"} <= keys
    assert any(key.startswith("pace_") for key in keys)


def test_without_counting_aloud_the_counts_are_there_to_be_seen_and_say_nothing():
    silent = compiled(options=SessionOptions(count_aloud=False))
    counts = [cue for block in silent.blocks for cue in block.cues if cue.kind == "count"]
    assert [cue.repetition for cue in counts[:3]] == [1, 2, 3]
    assert {(cue.text, cue.length_ms) for cue in counts} == {("", 0)}


def test_a_carer_is_told_what_a_carer_does_and_the_person_what_they_do():
    mine, theirs = compiled(), compiled(options=SessionOptions(listener="carer"))
    assert theirs.blocks[0].lines[0].startswith("Thank you for helping Ada.")
    assert [line for line in theirs.before_lines if line not in mine.before_lines] == [
        "Stay beside Ada from start to end.",
        "Do not lift or pull Ada. Show and count instead.",
        "Stop if Ada looks pale or confused. Open the safety page.",
    ]
    asked = [line for block in theirs.blocks if block.kind == "ask_effort" for line in block.lines]
    assert asked
    assert all(line.startswith("Ask Ada ") for line in asked)
    for block in theirs.blocks:
        read = [place for place, cue in enumerate(block.cues) if cue.text == "Read this out to Ada."]
        told_to_you = [place for place, cue in enumerate(block.cues) if cue.wording_key == "setup"]
        assert read == told_to_you[:1]  # said once, before anything that a movement says to "you"
    assert not any("Read this out" in cue.text for block in mine.blocks for cue in block.cues)
    places = [cue.text for block in theirs.blocks if block.kind == "setup" for cue in block.cues]
    assert {"Ada sits tall, feet flat.", "Ada holds the chair. Stay close by."} <= set(places)
    assert "Let Ada sit and rest for 15 minutes. Stay close by." in theirs.after_lines
    assert done(theirs) == done(mine)


def test_every_line_for_a_carer_stands_in_for_one_that_a_session_says():
    with (WORDING_FOLDER / "telling.csv").open(encoding="utf-8", newline="") as file:
        keys = [row["key"] for row in csv.DictReader(file) if row["key"].endswith(CARER)]
    assert len(keys) > 10
    for key in keys:
        needed = {*WORDING.missing(key.removesuffix(CARER), {}), "first_name"}
        assert needed >= set(WORDING.missing(key, {}))


def test_low_vision_words_are_said_before_the_first_set():
    sheet = compiled(programme(BALANCED[1]), options=SessionOptions(low_vision=True))
    words = WORDING.movement("wall_press", "standing").low_vision_words
    assert words in [cue.text for block in sheet.blocks if block.kind == "setup" for cue in block.cues]


def test_low_vision_words_are_said_in_the_warm_up_and_the_cool_down_too():
    told = {"protocol": default_protocol(), "library": default_library(), "wording": WORDING, "service": SERVICE}
    low = SessionOptions(low_vision=True)
    sheet = compile_session(programme(), "one", RECORD, made_on=TODAY, options=low, **told)
    for block in sheet.blocks:
        if block.frame >= 0:
            assert sheet.frame[block.frame].low_vision in [cue.text for cue in block.cues]


def test_only_what_the_lead_agreed_is_offered_harder():
    assert not any(one.harder_agreed for one in compiled(options=USUAL).exercises)
    agreed = compiled(options=SessionOptions(harder_agreed=("wall_press",)))
    assert [one.movement_id for one in agreed.exercises if one.harder_agreed] == ["wall_press"]


def test_options_stored_with_a_language_still_open():
    assert SessionOptions.from_plain(SessionOptions(talk="few").plain() | {"language": "de"}) == SessionOptions(
        talk="few"
    )

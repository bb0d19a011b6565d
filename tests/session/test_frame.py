"""A session begins with a warm-up and ends with a cool-down of the protocol's minutes, mobility first."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from haleward.dose.model import LeftOut, Walking
from haleward.movement.library import CAUTIONS, default_library
from haleward.plain import from_plain, to_plain
from haleward.record import Kit, Restriction
from haleward.safety.protocol import default_protocol
from haleward.session.compile import WALK, compile_session
from haleward.session.cue_sheet import CueSheet
from haleward.session.frame import frame_movements
from haleward.session.timing import speech_ms
from haleward.wording import default_wording
from tests.session.samples import BALANCED, RECORD, SERVICE, TODAY, programme
from tests.session.test_how_hard import RECORD as WREN
from tests.session.test_how_hard import intensity_of
from tests.session.test_options import OPTIONS

PROTOCOL, LIBRARY, WORDING = default_protocol(), default_library(), default_wording()
MINUTE_MS = 60_000


def compiled(plan=None, part_key="one", *, record=RECORD, protocol=PROTOCOL, **more):
    told = {"protocol": protocol, "library": LIBRARY, "wording": WORDING, "service": SERVICE}
    return compile_session(plan or programme(), part_key, record, made_on=TODAY, **told, **more)


def lasts(sheet, kind):
    return sum(block.length_ms for block in sheet.blocks if block.kind == kind)


def with_minutes(warm_up, cool_down):
    minutes = {"warm_up_minutes": warm_up, "cool_down_minutes": cool_down}
    changed = {name: replace(PROTOCOL.settings[name], value=(each,)) for name, each in minutes.items()}
    return replace(PROTOCOL, settings={**PROTOCOL.settings, **changed})


@pytest.mark.parametrize("part_key", ["one", WALK])
def test_it_lasts_the_minutes_of_the_protocol_and_says_them(part_key):
    sheet = compiled(part_key=part_key)
    assert lasts(sheet, "warm_up") == 15 * MINUTE_MS
    assert lasts(sheet, "cool_down") == 10 * MINUTE_MS
    assert "Warm up for 15 minutes." in [cue.text for block in sheet.blocks for cue in block.cues]


def test_mobility_comes_first_then_the_pulse_and_the_movement_the_lead_signed():
    sheet = compiled()
    categories = [LIBRARY.movements[each.movement_id].category for each in sheet.frame[:5]]
    assert categories == ["mobility", "mobility", "mobility", "aerobic", "aerobic"]
    assert sheet.frame[4].movement_id == sheet.frame[5].movement_id == "walking"


def test_the_kinds_stand_in_order_and_each_block_names_its_movement():
    sheet = compiled()
    kinds = [block.kind for block in sheet.blocks]
    assert kinds[2] == "warm_up"
    assert kinds[-2:] == ["cool_down", "close"]
    framed = [block.frame for block in sheet.blocks if block.kind in ("warm_up", "cool_down")]
    assert framed == list(range(len(sheet.frame)))


@settings(max_examples=25, deadline=None)
@given(st.integers(1, 30), st.integers(1, 20), OPTIONS)
def test_whatever_the_minutes_nothing_talks_over_anything_and_the_movements_fill_them(warm_up, cool_down, options):
    sheet = compiled(protocol=with_minutes(warm_up, cool_down), options=options)
    assert lasts(sheet, "warm_up") == warm_up * MINUTE_MS
    assert lasts(sheet, "cool_down") == cool_down * MINUTE_MS
    for block in sheet.blocks:
        quiet_from = block.start_ms
        for cue in (one for one in block.cues if one.kind in ("say", "count")):
            assert cue.start_ms >= quiet_from
            assert cue.length_ms >= speech_ms(cue.text)
            quiet_from = cue.start_ms + cue.length_ms
        assert quiet_from <= block.start_ms + block.length_ms


def test_every_movement_of_the_table_is_free_of_cautions_but_balance():
    ids = {each.movement_id for each in compiled().frame} - {"walking"}
    assert len(ids) == 5
    for movement in (LIBRARY.movements[each] for each in ids):
        limited = {name for name in CAUTIONS if not movement.cautions.get(name, "ok").startswith("ok")}
        assert limited <= {"balance"}


@pytest.mark.parametrize("posture", ["seated", "hand_supported", "standing"])
def test_nobody_is_placed_less_steadily_than_the_lead_signed(posture):
    walking = Walking(("monday",), 2, 5, 2, movement_id="march_on_spot", posture=posture)
    rank = ["seated", "hand_supported", "standing"]
    for each in compiled(programme(walking=walking)).frame:
        assert rank.index(each.posture) <= rank.index(posture)
        if (
            LIBRARY.movements[each.movement_id].cautions["balance"] == "supported"
            and each.movement_id != "march_on_spot"
        ):
            assert each.posture != "standing"


def test_what_the_lead_left_out_is_not_in_the_warm_up_and_its_time_goes_to_the_others():
    plan = replace(programme(), left_out=(LeftOut("heel_dig", "aerobic", "It hurts."),))
    sheet = compiled(plan)
    assert "heel_dig" not in {each.movement_id for each in sheet.frame}
    assert lasts(sheet, "warm_up") == 15 * MINUTE_MS


def forbidding(*movement_ids):
    ban = Restriction("movement", "Not on that foot", "Dr D", TODAY, TODAY, movement_ids=movement_ids)
    return replace(RECORD, restrictions=(ban,))


def test_what_a_restriction_forbids_is_not_in_the_warm_up_and_its_time_goes_to_the_others():
    for banned in ("heel_dig", "walking"):
        sheet = compiled(record=forbidding(banned))
        assert banned not in {each.movement_id for each in sheet.frame}
        assert lasts(sheet, "warm_up") == lasts(compiled(), "warm_up")


def test_where_restrictions_forbid_all_of_it_the_session_has_no_frame():
    every = {movement_id for movement_id, _ in frame_movements()} | {"walking"}
    assert compiled(record=forbidding(*every)).frame == ()


def test_without_a_chair_nothing_that_needs_one_is_asked_for():
    sheet = compiled(record=replace(RECORD, kit=Kit(firm_chair=False)))
    assert {each.movement_id for each in sheet.frame} == {"walking", "calf_stretch"}


def test_the_heart_rate_not_to_go_over_is_shown_where_it_is_used():
    limit = "Do not go over 112 beats a minute."
    framed = [block for block in compiled(intensity=intensity_of(WREN)).blocks if block.frame >= 0]
    assert all(block.lines[-1] == limit for block in framed)
    assert not any("beats a minute" in line for block in compiled().blocks for line in block.lines)


def test_a_protocol_without_the_minutes_gives_the_session_without_a_frame():
    settings = {name: each for name, each in PROTOCOL.settings.items() if not name.endswith("_up_minutes")}
    sheet = compiled(protocol=replace(PROTOCOL, settings=settings))
    assert lasts(sheet, "warm_up") == 0


def test_a_sheet_made_before_there_were_options_and_a_frame_still_reads():
    plain = to_plain(compiled(programme(BALANCED[0])))
    for name in ("frame", "listener", "low_vision", "language", "translation"):
        del plain[name]
    plain["blocks"] = [block for block in plain["blocks"] if block["kind"] not in ("warm_up", "cool_down")]
    for block in plain["blocks"]:
        del block["frame"]
    for each in plain["exercises"]:
        del each["harder_agreed"]
    assert from_plain(CueSheet, plain).frame == ()

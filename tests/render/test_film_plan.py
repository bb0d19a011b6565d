"""The film's plan: no moment without a picture, and everything that the sheet says and counts is in it."""

from __future__ import annotations

from itertools import pairwise

import pytest

from haleward.movement.library import default_library
from haleward.render.film_draw import Painter
from haleward.render.film_plan import Card, Turn, chapters, frame_at, movements, place_of, shots_of
from haleward.render.film_planes import SIZES
from haleward.render.film_text import LEADING, SMALLEST
from haleward.safety.protocol import default_protocol
from haleward.session.compile import WALK, compile_session
from haleward.session.cue_sheet import CueSheet
from haleward.wording import default_wording
from tests.session.people import PLAIN
from tests.session.samples import BALANCED, SERVICE, TODAY, programme


def sheet(part: str) -> CueSheet:
    return compile_session(
        programme(*BALANCED),
        part,
        PLAIN,
        protocol=default_protocol(),
        library=default_library(),
        wording=default_wording(),
        service=SERVICE,
        made_on=TODAY,
    )


SHEETS = {"one": sheet("one"), WALK: sheet(WALK)}


@pytest.mark.parametrize("part", SHEETS)
def test_there_is_a_picture_at_every_moment_and_only_one(part: str):
    shots = shots_of(SHEETS[part])
    assert shots[0].start == 0
    assert all(one.start + one.length == following.start for one, following in pairwise(shots))
    assert shots[-1].start + shots[-1].length == frame_at(SHEETS[part].length_ms)


@pytest.mark.parametrize("part", SHEETS)
def test_every_repetition_begins_when_the_sheet_says(part: str):
    planned = {
        (frame_at(cue.start_ms), cue.side)
        for block in SHEETS[part].blocks
        if block.kind == "set"
        for cue in block.cues
        if cue.kind == "show" and cue.pose_from == 0
    }
    turns = {(shot.start, shot.shown.side) for shot in shots_of(SHEETS[part]) if isinstance(shot.shown, Turn)}
    assert planned <= turns


def test_each_count_stands_on_the_picture_while_it_is_said():
    shots = {shot.start: shot.shown for shot in shots_of(SHEETS["one"])}
    counts = [cue for block in SHEETS["one"].blocks for cue in block.cues if cue.kind == "count"]
    assert counts
    for cue in counts:
        shown = shots[frame_at(cue.start_ms)]
        assert isinstance(shown, Turn)
        assert shown.strip.count == str(cue.repetition)


def test_a_hold_says_so_while_it_is_held():
    held = next(n for n, one in enumerate(SHEETS["one"].exercises) if one.hold_s)
    said = next(cue for block in SHEETS["one"].blocks for cue in block.cues if cue.wording_key == "hold")
    turn = next(s.shown for s in shots_of(SHEETS["one"]) if isinstance(s.shown, Turn) and s.shown.exercise == held)
    assert turn.words[1] == (turn.times[1][0], said.text)


@pytest.mark.parametrize("part", SHEETS)
def test_warm_up_cool_down_and_walk_are_shown_moving(part: str):
    found = SHEETS[part]
    wanted = {place_of(found, block) for block in found.blocks if block.frame >= 0 or block.kind in ("set", "walk")}
    assert {shot.shown.exercise for shot in shots_of(found) if isinstance(shot.shown, Turn)} == wanted
    assert max(wanted) < len(movements(found))


def test_what_is_said_outside_the_sets_is_on_a_card():
    cards = {shot.shown.text for shot in shots_of(SHEETS["one"]) if isinstance(shot.shown, Card)}
    said = {
        cue.text
        for block in SHEETS["one"].blocks
        if block.kind in ("welcome", "ready", "setup", "rest", "ask_effort", "close")
        for cue in block.cues
        if cue.kind == "say"
    }
    assert said <= cards


def test_chapters_are_in_order_and_cover_warm_up_movements_and_cool_down():
    found = chapters(SHEETS["one"], start="Welcome", end="The end")
    assert [one.title for one in found] == [
        "Welcome",
        "Warm-up",
        *(exercise.told for exercise in SHEETS["one"].exercises),
        "Slow down",
        "The end",
    ]
    assert all(one.start_ms < following.start_ms for one, following in pairwise(found))


@pytest.mark.parametrize("part", SHEETS)
def test_every_text_fits_its_room_at_a_size_that_can_be_read(part: str):
    painter = Painter(SIZES["large"], emergency="", version="")
    cards = {shot.shown for shot in shots_of(SHEETS[part]) if isinstance(shot.shown, Card)}
    assert cards
    for card in cards:
        top, width = (316 if card.big else 170, 560) if card.exercise >= 0 else (230, 1180)
        lines = painter.text.lines(card.text, SMALLEST, bold=False, width=width)
        rows = len(SHEETS[part].effort_anchors) * 46 if card.scale else 0
        assert top + (len(lines) - 1) * SMALLEST * LEADING <= SIZES["large"].split - 24 - rows, card

"""What the page carries of its figures is all of them; the browser's half is tested in tests/browser."""

from __future__ import annotations

from typing import Any

import pytest

from haleward.movement.library import default_library
from haleward.render.page_figures import by_change, figures_of, went_on
from haleward.render.page_pack import pack
from haleward.session.compile import compile_session
from haleward.session.cue_sheet import SheetExercise
from haleward.wording import default_wording
from tests.session.people import PLAIN
from tests.session.samples import SERVICE, TODAY, exercise, programme, protocol

AROUND = {"protocol": protocol(), "library": default_library(), "wording": default_wording()}
SIDED = exercise("single_leg_stance", "hand_supported", each_side=True, region="balance", sets=1, repetitions=1)
SHEET = compile_session(programme(exercise(), SIDED), "one", PLAIN, service=SERVICE, made_on=TODAY, **AROUND)


def whole(frames: list[list[Any]]) -> list[list[Any]]:
    """As the browser puts them together."""
    made: list[list[Any]] = [[]]
    for frame in frames:
        before = made[-1]
        made.append(
            [
                before[n]
                if each == 0
                else each
                if isinstance(each[0], str)
                else [went_on(before[n][0], each), *before[n][1:]]
                for n, each in enumerate(frame)
            ]
        )
    return made[1:]


@pytest.mark.parametrize("movement", SHEET.exercises, ids=lambda each: each.movement_id)
def test_every_frame_comes_back_as_it_was_drawn(movement: SheetExercise) -> None:
    drawn = figures_of(movement, PLAIN, default_library())
    carried = by_change(drawn)
    assert {side: whole(figure["frames"]) for side, figure in carried.items()} == {
        side: figure["frames"] for side, figure in drawn.items()
    }
    assert len(pack(carried)) < 0.85 * len(pack(drawn))


def test_a_shape_that_another_one_replaces_is_carried_whole() -> None:
    frames = [
        [["M0 0l5 5", 0, -1, 1.0]],
        [["M0 0l5 5", 1, -1, 1.0]],
        [["M0 0l5-5Z", 1, -1, 1.0]],
        [["M0 0l05 5", 1, 1, 1.0]],
    ]
    carried = by_change({"": {"frames": frames}})[""]["frames"]
    assert carried == frames
    assert whole(carried) == frames

"""A repetition drawn all at once is the same as each of its instants drawn alone."""

from __future__ import annotations

import numpy as np
import pytest

from haleward.movement.body import drawn_body
from haleward.movement.library import default_library
from haleward.movement.loads import KitKind
from haleward.movement.motion import Poser
from haleward.record import Posture
from haleward.render.draw_list import Shape
from haleward.render.figure import cycle_frames
from haleward.render.figure_frames import draw_lists, repetition
from haleward.render.figure_scene import Scene
from haleward.render.kit import form_kit
from haleward.render.looks import LOOKS

LEAST_PX = 1e-6
# Every way of drawing: free and holding, bands, machines, walking, a turning head, a lens, a wheelchair, a prosthesis.
CASES: list[tuple[str, Posture, KitKind, str]] = [
    ("biceps_curl", "standing", "bottle", "beard"),
    ("band_row", "seated", "band", "wheelchair"),
    ("chest_press", "standing", "band", "silver_bob"),
    ("side_leg_raise", "standing", "band", "dark_bun"),
    ("ankle_pumps", "seated", "own_weight", "scarf"),
    ("neck_turn", "seated", "own_weight", "brown_bun_glasses"),
    ("sit_to_stand", "hand_supported", "own_weight", "prosthesis"),
    ("static_cycle", "seated", "own_weight", "prosthesis_right"),
    ("rowing_machine", "seated", "own_weight", "bald_glasses"),
    ("arm_cycle", "seated", "own_weight", "silver"),
    ("walking", "standing", "own_weight", "dark_short"),
    ("step_up", "hand_supported", "own_weight", "wheelchair_bob"),
    ("heel_raise", "hand_supported", "own_weight", "brown_bob"),
]


def scene(name: str, posture: Posture, kit: KitKind, look: str) -> Scene:
    form = default_library().form(name, posture)
    poser = Poser(form, drawn_body(1.66, 90), wheelchair=LOOKS[look].wheelchair)
    return Scene(poser, form.cycle("right"), form_kit(form, kit), LOOKS[look], (700, 800), False)


def furthest_apart_px(one: list[Shape], two: list[Shape]) -> float:
    assert [(s.fill, s.stroke, s.width, len(s.outlines)) for s in one] == [
        (s.fill, s.stroke, s.width, len(s.outlines)) for s in two
    ]
    worst = 0.0
    for a, b in ((a, b) for s, t in zip(one, two, strict=True) for a, b in zip(s.outlines, t.outlines, strict=True)):
        assert (a.kind, a.rows.shape) == (b.kind, b.rows.shape)
        worst = max(worst, float(np.abs(a.rows - b.rows).max()))
    return worst


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case[0]}-{case[1]}")
def test_frames_drawn_together_are_the_frames_drawn_alone(case: tuple[str, Posture, KitKind, str]) -> None:
    drawn = scene(*case)
    instants = repetition(drawn, out=9, back=9, both=9).instants
    together = draw_lists(drawn, instants)
    for n in range(0, len(instants), 3):
        alone = draw_lists(scene(*case), [instants[n]])[0]
        assert furthest_apart_px(together[n], alone) < LEAST_PX, instants[n]


def test_a_repetition_has_as_many_frames_as_asked_and_comes_back_to_its_start() -> None:
    found = cycle_frames(
        "sit_to_stand", "standing", kit="own_weight", stature_m=1.7, mass_kg=70, look="", frames_each_way=12, arrow=True
    )
    assert (len(found.out), len(found.back)) == (12, 12)
    assert found.back[-1] is found.out[0]
    assert found.back[0] is found.out[-1]
    assert found.out[0] is not found.out[-1]
    assert found.arrow
    assert found.size == (700, 800)


def test_every_outline_lies_on_the_picture() -> None:
    found = cycle_frames(
        "lateral_raise", "standing", kit="hand_weight", stature_m=1.9, mass_kg=120, look="beard", frames_each_way=8
    )
    for outline in (outline for frame in found.out for shape in frame for outline in shape.outlines):
        reach = outline.rows[:, 2:3] if outline.kind == "arcs" else 0.0
        assert (outline.rows[:, :2] - reach > -1).all()
        assert (outline.rows[:, :2] + reach < np.array(found.size) + 1).all()

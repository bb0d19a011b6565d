"""How long a repetition takes to draw: at once, frame by frame, the slowest of the library; and the contact sheet.

Run from the root: python -m bench.figure [--no-sheet]. A full cycle is 50 frames out and 50 back, as draw lists
(geometry, no text), for a body and a scene not seen before. "Frame by frame" poses and draws each of the
100 by itself. Both must give the same pictures, or the run ends with status 1. Times are those of the processor, the
best of a few.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory
from time import perf_counter, process_time
from typing import TypeVar

import numpy as np

from haleward.cli.progress import progress_bar
from haleward.movement.body import drawn_body
from haleward.movement.library import default_library
from haleward.movement.loads import KitKind
from haleward.movement.motion import Poser
from haleward.record import Posture
from haleward.render.draw_list import Shape
from haleward.render.figure_frames import draw_lists, repetition
from haleward.render.figure_scene import Scene
from haleward.render.kit import form_kit
from haleward.render.looks import LOOKS
from haleward.render.movement_sheet import sheet_entries, sheet_pdf
from haleward.wording import default_wording

EACH_WAY, TIMES = 50, 8
LOOKED_CLOSER = 6  # of the library, those that a first look found slowest
SAME_PX = 1e-6
Case = tuple[str, Posture, KitKind]
CASES: tuple[Case, ...] = (
    ("biceps_curl", "standing", "bottle"),
    ("sit_to_stand", "standing", "own_weight"),
    ("band_row", "seated", "band"),
    ("step_up", "hand_supported", "own_weight"),
    ("neck_turn", "seated", "own_weight"),
    ("ankle_pumps", "seated", "own_weight"),
    ("static_cycle", "seated", "own_weight"),
    ("walking", "standing", "own_weight"),
)
Made = TypeVar("Made")
Frames = list[list[Shape]]


def main() -> int:
    """Tell each movement in one line, then the sheet; status 1 if the two ways ever differ."""
    same = True
    for case in CASES:
        at_once, fast_s = _best(partial(_at_once, case), TIMES)
        alone, slow_s = _best(partial(_frame_by_frame, case), 1)
        same &= _same(at_once, alone)
        _tell(
            f"{case[0]}, {case[1]}: {len(at_once)} frames in {fast_s * 1000:.0f} ms; "
            f"frame by frame {slow_s * 1000:.0f} ms, {slow_s / fast_s:.1f} times as long"
        )
    _time_library()
    if "--no-sheet" not in sys.argv[1:]:
        _time_sheet()
    if not same:
        sys.stderr.write("The two ways gave different pictures.\n")
    return 0 if same else 1


def _tell(line: str) -> None:
    sys.stdout.write(f"{line}\n")


def _scene(case: Case) -> Scene:
    name, posture, kit = case
    form = default_library().form(name, posture)
    return Scene(
        Poser(form, drawn_body(1.7, 80)), form.cycle(), form_kit(form, kit), LOOKS["beard"], (700, 800), arrow=False
    )


def _at_once(case: Case) -> Frames:
    scene = _scene(case)
    found = repetition(scene, out=EACH_WAY, back=EACH_WAY, both=EACH_WAY)
    lists = draw_lists(scene, found.instants)
    return [lists[n] for n in (*found.out, *found.back)]


def _frame_by_frame(case: Case) -> Frames:
    scene = _scene(case)
    found = repetition(scene, out=EACH_WAY, back=EACH_WAY, both=EACH_WAY)
    return [draw_lists(scene, [found.instants[n]])[0] for n in (*found.out, *found.back)]


def _best(make: Callable[[], Made], times: int) -> tuple[Made, float]:
    found: list[float] = []
    for _ in range(times):
        began = process_time()
        made = make()
        found.append(process_time() - began)
    return made, min(found)


def _same(one: Frames, two: Frames) -> bool:
    def numbers(frames: Frames) -> list[np.ndarray]:
        return [outline.rows for frame in frames for shape in frame for outline in shape.outlines]

    pairs = list(zip(numbers(one), numbers(two), strict=True))
    return all(a.shape == b.shape and float(np.abs(a - b).max()) < SAME_PX for a, b in pairs)


def _time_library() -> None:
    """The slowest of all movements and postures, each with its first kit."""
    cases: list[Case] = [
        (movement.id, posture, form.kits[0])
        for movement in default_library().movements.values()
        for posture, form in movement.postures.items()
    ]
    slow = sorted(cases, key=lambda case: _best(partial(_at_once, case), 1)[1], reverse=True)[:LOOKED_CLOSER]
    took_s, (name, posture, _) = max((_best(partial(_at_once, case), TIMES)[1], case) for case in slow)
    _tell(
        f"The slowest of all {len(cases)} movements and postures: {name}, {posture}: "
        f"{2 * EACH_WAY} frames in {took_s * 1000:.0f} ms (wanted: under 100 ms)"
    )


def _time_sheet() -> None:
    began, by_processor = perf_counter(), process_time()
    entries = sheet_entries(default_library(), default_wording(), progress=progress_bar("Drawing movements"))
    with TemporaryDirectory() as folder:
        (Path(folder) / "movements.pdf").write_bytes(sheet_pdf(entries))
    _tell(
        f"Contact sheet of {len(entries)} movements and postures: {perf_counter() - began:.1f} s, "
        f"of which the processor worked {process_time() - by_processor:.1f} s (wanted: under 30 s)"
    )


if __name__ == "__main__":
    sys.exit(main())

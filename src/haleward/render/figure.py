"""The drawn figure: one picture of a pose, or one repetition as frames, for one person with the kit prescribed."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Literal

from haleward.errors import HalewardError
from haleward.movement.body import drawn_body
from haleward.movement.library import Library, default_library
from haleward.movement.loads import KitKind
from haleward.movement.model import Form
from haleward.movement.motion import Poser
from haleward.record import Posture
from haleward.render.draw_list import Shape
from haleward.render.figure_frames import animation_frames, draw_lists, repetition
from haleward.render.figure_scene import Scene, moves
from haleward.render.figure_take import Shot
from haleward.render.kit import form_kit
from haleward.render.looks import LOOKS, look_for
from haleward.render.svg import svg_text

__all__ = ["LOOKS", "CycleFrames", "Looks", "animation", "cycle_frames", "gallery", "look_for", "still"]

Looks: tuple[str, ...] = tuple(LOOKS)
STILL_SIZE = (420, 480)
FRAME_SIZE = (700, 800)
HOLD_WORD, HOLD_WORDS = "hold", "The position is held."
POSTURE_WORDS = {"seated": "seated", "hand_supported": "with a support", "standing": "standing"}


def still(
    movement_id: str,
    posture: Posture,
    *,
    kit: KitKind,
    pose: Literal["start", "end"],
    stature_m: float | None,
    mass_kg: float | None,
    look: str,
    size: tuple[int, int] = STILL_SIZE,
    arrow: bool = True,
    side: str = "",
    title: str = "",
    library: Library | None = None,
) -> str:
    """One key pose as SVG text.

    ``title`` is the text alternative (the wording's own line); without one the movement, posture and pose are named.
    Size and mass unknown draw a 1.70 m, 70 kg figure. ``look`` "" takes the first look.
    """
    library = library or default_library()
    words = title or f"{library.movement(movement_id).name}, {POSTURE_WORDS[posture]}, {pose}"
    form = _checked(library, movement_id, posture, kit)
    return _still(_Key(form), kit, pose, stature_m, mass_kg, look, size, arrow, side, words)


def animation(
    movement_id: str,
    posture: Posture,
    *,
    kit: KitKind,
    stature_m: float | None,
    mass_kg: float | None,
    look: str,
    out_s: float,
    pause_s: float,
    back_s: float,
    side: str = "",
    library: Library | None = None,
) -> dict[str, Any]:
    """One repetition as frames, JSON-able.

    ``frames`` hold ``[path, fill, stroke, stroke width]`` with indices into ``palette`` (-1 for none), to be painted in
    order with round caps and joins. ``out`` and ``back`` list frame numbers at even steps of ``out_s`` and ``back_s``;
    ``start`` and ``end`` are the frames of the rest and the turning point. The result is shared: do not change it.
    """
    form = _checked(library or default_library(), movement_id, posture, kit)
    return _animation(_Key(form), kit, stature_m, mass_kg, look, (out_s, pause_s, back_s), side)


@dataclass(frozen=True)
class CycleFrames:
    """One repetition as draw lists, to be painted in order on a ``size`` picture (pixels, y pointing down).

    ``out`` leads from the start to the turning point and ``back`` from there to the start, each at even times: frame
    ``n`` of ``out`` belongs to the time ``out_s * n / (len(out) - 1)``. What is seen twice is the same object twice.
    ``arrow`` is painted on top of a frame of the way out; empty where the movement has none or none was asked for.
    """

    size: tuple[int, int]
    out: tuple[list[Shape], ...]
    back: tuple[list[Shape], ...]
    arrow: list[Shape]


def cycle_frames(
    movement_id: str,
    posture: Posture,
    *,
    kit: KitKind,
    stature_m: float | None,
    mass_kg: float | None,
    look: str,
    size: tuple[int, int] = FRAME_SIZE,
    frames_each_way: int = 50,
    arrow: bool = False,
    side: str = "",
    library: Library | None = None,
) -> CycleFrames:
    """One repetition as draw lists: geometry without text, for films and other painters.

    Size and mass unknown draw a 1.70 m, 70 kg figure. ``look`` "" takes the first look; ``side`` "" the first side.
    """
    key = _Key(_checked(library or default_library(), movement_id, posture, kit))
    poser = _poser(key, stature_m, mass_kg, LOOKS[look_for(None, look)].wheelchair)
    scene = _scene(key, kit, poser, look, size, arrow, side)
    found = repetition(scene, out=frames_each_way, back=frames_each_way, both=frames_each_way)
    lists = draw_lists(scene, found.instants)
    first, last = moves(scene.cycle)[0]
    return CycleFrames(
        size,
        tuple(lists[n] for n in found.out),
        tuple(lists[n] for n in found.back),
        scene.arrow_shapes(first, last) if arrow else [],
    )


def gallery(library: Library | None = None) -> list[tuple[str, Posture, KitKind]]:
    """Every movement, posture and kit that can be drawn."""
    return [
        (movement.id, posture, kit)
        for movement in (library or default_library()).movements.values()
        for posture, form in movement.postures.items()
        for kit in form.kits
    ]


class _Key:
    """A form as part of a cache key: the same object is the same key."""

    def __init__(self, form: Form) -> None:
        self.form = form

    def __hash__(self) -> int:
        return id(self.form)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Key) and other.form is self.form


def _checked(library: Library, movement_id: str, posture: Posture, kit: KitKind) -> Form:
    form = library.form(movement_id, posture)
    if kit not in form.kits:
        raise HalewardError(
            f'"{movement_id}" {posture} is not done with {kit}; it is done with {", ".join(form.kits)}.'
        )
    return form


@lru_cache(maxsize=64)
def _poser(key: _Key, stature_m: float | None, mass_kg: float | None, wheelchair: bool) -> Poser:
    return Poser(key.form, drawn_body(stature_m, mass_kg), wheelchair=wheelchair)


def _scene(key: _Key, kit: KitKind, poser: Poser, look: str, size: tuple[int, int], arrow: bool, side: str) -> Scene:
    chosen = LOOKS[look_for(None, look)]
    return Scene(poser, key.form.cycle(side), form_kit(key.form, kit), chosen, size, arrow)


@lru_cache(maxsize=512)
def _still(
    key: _Key,
    kit: KitKind,
    pose: str,
    stature_m: float | None,
    mass_kg: float | None,
    look: str,
    size: tuple[int, int],
    arrow: bool,
    side: str,
    title: str,
) -> str:
    poser = _poser(key, stature_m, mass_kg, LOOKS[look_for(None, look)].wheelchair)
    scene = _scene(key, kit, poser, look, size, arrow, side)
    cycle = scene.cycle
    name = cycle.start if pose == "start" else cycle.turning
    following = next(last for first, last in moves(cycle) if first == name)
    take = scene.take([Shot(poser.keys[name], name)])
    shapes = take.shapes(0, take.order(0))
    if arrow:
        shapes += scene.arrow_shapes(name, following)
    held = key.form.hold and pose == "end"
    words = f"{title.rstrip('.')}. {HOLD_WORDS}" if held else title
    return svg_text(shapes, width=size[0], height=size[1], title=words, word=HOLD_WORD if held else "")


@lru_cache(maxsize=128)
def _animation(
    key: _Key,
    kit: KitKind,
    stature_m: float | None,
    mass_kg: float | None,
    look: str,
    tempo_s: tuple[float, float, float],
    side: str,
) -> dict[str, Any]:
    poser = _poser(key, stature_m, mass_kg, LOOKS[look_for(None, look)].wheelchair)
    scene = _scene(key, kit, poser, look, FRAME_SIZE, False, side)
    return animation_frames(scene, out_s=tempo_s[0], back_s=tempo_s[2])

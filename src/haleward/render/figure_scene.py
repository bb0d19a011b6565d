"""A movement ready to draw for one person, one kit and one side: framed for the whole repetition, arrow included."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np

from haleward.movement.band_path import anchor_m
from haleward.movement.geometry import Vec
from haleward.movement.model import Cycle, KitUse, Prop
from haleward.movement.motion import Poser
from haleward.movement.stack import Stack
from haleward.record import Side
from haleward.render.draw import ARROW, Array, Unit, View
from haleward.render.draw_list import Shape
from haleward.render.figure_arrow import arrow_path, arrow_shapes
from haleward.render.figure_body import figure_units
from haleward.render.figure_closeup import ROOM, Lens
from haleward.render.figure_take import Shot, Stage, Take
from haleward.render.kit import kit_units
from haleward.render.looks import Look
from haleward.render.props import Setting, prop_units
from haleward.render.props_machines import MACHINES

MARGIN = 0.94
FLOOR_AT = 0.965
ARROW_ROOM_M = 0.04
LEAST_HEIGHT_M = 1.35  # a low scene is not drawn larger than this height would be


@dataclass
class Scene:
    """Figure, furniture, kit and floor in front of one camera."""

    poser: Poser
    cycle: Cycle
    use: KitUse
    look: Look
    size: tuple[int, int]
    arrow: bool
    view: View = field(init=False)
    lens: Lens | None = field(init=False)
    _furniture: dict[Prop, list[Unit]] = field(init=False, default_factory=dict)

    def __post_init__(self) -> None:
        self.view = self._fit()
        self.lens = Lens(self.view, self.size, self.poser.body) if self.poser.form.scene.closeup else None

    @property
    def working(self) -> Side:
        """The working side; left where both work."""
        return "right" if self.cycle.side == "right" else "left"

    def take(self, shots: Sequence[Shot]) -> Take:
        """Draw these instants together."""
        return Take(self._stage(self.view, self.lens), shots)

    def arrow_shapes(self, first: str, last: str) -> list[Shape]:
        """The arrow of the move from one key pose to the next; none where the movement has none."""
        path = arrow_path(self.poser, self.cycle, first, last)
        return arrow_shapes(self.view.project(np.array(path))[:, :2], self.view.scale, ARROW) if path else []

    # ---- what is in the scene -----------------------------------------------------------------------------------

    def _stage(self, view: View, lens: Lens | None = None) -> Stage:
        drawn = self.poser.form.scene
        treadmill = any(prop.kind == "treadmill" for prop in drawn.props)
        return Stage(
            view,
            self.size,
            self.look,
            moving=lambda stack, pose: self._moving(stack, pose, view),
            standing=self._standing,
            mirrored=self.poser.stage.mirrored,
            lens=lens,
            lens_side=self.working if self.cycle.side else drawn.near_side,
            floor_marks=drawn.belt > 0 and not treadmill,
        )

    def _props(self, pose: str) -> list[Prop]:
        stage = self.poser.stage
        anchor = [] if self.use.anchor is None else [stage.place(self.use.anchor, pose)]
        return [*stage.props(pose), *anchor]

    def _moving(self, stack: Stack, pose: str, view: View) -> list[Unit]:
        units = figure_units(stack, self.poser.body, self.look, view)
        for prop in self._props(pose):
            if prop.kind in MACHINES:
                units += prop_units(prop, Setting(self.poser, stack))
        return units + kit_units(self.poser, stack, self.use, self.working)

    def _standing(self, stack: Stack, pose: str) -> list[Unit]:
        """Furniture, built once."""
        units: list[Unit] = []
        anchor = None if self.use.anchor is None else anchor_m(self.use, self.poser.form, self.poser.body)
        for prop in self._props(pose):
            if prop.kind not in MACHINES:
                if prop not in self._furniture:
                    self._furniture[prop] = prop_units(prop, Setting(self.poser, stack, anchor))
                units += self._furniture[prop]
        return units

    # ---- camera -------------------------------------------------------------------------------------------------

    def _angles(self) -> tuple[float, float]:
        camera, flip = self.use.camera or self.poser.form.scene.camera, 1
        if self.poser.stage.mirrored(self.cycle.start):
            flip = -1
        return flip * camera.yaw, camera.pitch

    def _fit(self) -> View:
        """A view that keeps every key pose of the repetition, and its arrows, on the picture."""
        yaw, pitch = self._angles()
        flat = View(yaw, pitch)
        names = dict.fromkeys((*self.cycle.out_poses, *self.cycle.back_poses))
        take = Take(self._stage(flat), [Shot(self.poser.keys[name], name) for name in names])
        extents = [part.extent() for group in take.groups for part in (group.moving, group.standing) if part.units]
        path = [point for move in moves(self.cycle) for point in self._path(*move)]
        if path:
            extents.append(_room(flat.project(np.array(path))[:, :2]))
        (left, top), (right, bottom) = np.min(extents, axis=0)[:2].tolist(), np.max(extents, axis=0)[2:].tolist()
        w, h = self.size
        if self.poser.form.scene.closeup:
            w = round(w * (1 - ROOM))
        scale = min(w * MARGIN / (right - left), h * MARGIN / (bottom - top), h * 0.92 / LEAST_HEIGHT_M)
        scale *= min(self.poser.form.scene.camera.scale, 1.0)
        return View(yaw, pitch, scale, w / 2 - scale * (left + right) / 2, h * FLOOR_AT - scale * bottom)

    def _path(self, first: str, last: str) -> list[Vec]:
        return arrow_path(self.poser, self.cycle, first, last) if self.arrow else []


def _room(xy: Array) -> Array:
    return np.concatenate([xy.min(axis=0) - ARROW_ROOM_M, xy.max(axis=0) + ARROW_ROOM_M])


def moves(cycle: Cycle) -> list[tuple[str, str]]:
    """The moves of a repetition from key pose to key pose."""
    return [*pairwise(cycle.out_poses), *pairwise(cycle.back_poses)]

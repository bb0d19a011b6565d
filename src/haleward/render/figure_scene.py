"""One instant of a movement as shapes: figure, furniture, kit, floor and arrow, framed for the whole movement."""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise
from math import cos, pi, sin

import numpy as np

from haleward.movement.band_path import anchor_m
from haleward.movement.geometry import Vec, vec
from haleward.movement.model import SIDES, Cycle, KitUse, Prop
from haleward.movement.motion import Poser, State, ease
from haleward.record import Side
from haleward.render.draw import ARROW, FLOOR, OUTLINE_M, Piece, Unit, View
from haleward.render.draw_hull import Circle
from haleward.render.figure_arrow import arrow_path, arrow_shapes
from haleward.render.figure_body import figure_units
from haleward.render.figure_closeup import ROOM, Lens
from haleward.render.kit import kit_units
from haleward.render.looks import LINE, Look
from haleward.render.order import ordered
from haleward.render.props import Setting, prop_units
from haleward.render.props_machines import MACHINES
from haleward.render.svg import Pen, Shape

MARGIN = 0.94
FLOOR_AT = 0.965
ARROW_ROOM_M = 0.04
LEAST_HEIGHT_M = 1.35  # a low scene is not drawn larger than this height would be
FLOOR_MARK = "#B9C4C9"
FLOOR_MARK_PITCH_M = 0.30


@dataclass
class Scene:
    """A movement ready to draw for one person, one kit, one side."""

    poser: Poser
    cycle: Cycle
    use: KitUse
    look: Look
    size: tuple[int, int]
    arrow: bool
    pen: Pen
    view: View = field(init=False)
    lens: Lens | None = field(init=False)
    _furniture: dict[Prop, list[Unit]] = field(init=False, default_factory=dict)
    _fixed: dict[int, list[Shape]] = field(init=False, default_factory=dict)  # shapes of furniture, by unit

    def __post_init__(self) -> None:
        self.view = self._fit()
        self.lens = Lens(self.view, self.size, self.poser.body) if self.poser.form.scene.closeup else None

    @property
    def working(self) -> Side:
        """The working side; left where both work."""
        return "right" if self.cycle.side == "right" else "left"

    def units(self, state: State, pose: str, view: View) -> list[Unit]:
        """Everything in the scene."""
        poser = self.poser
        units = figure_units(state, poser.body, self.look, view)
        anchor = None if self.use.anchor is None else anchor_m(self.use, poser.form, poser.body)
        props = [*poser.stage.props(pose)]
        if self.use.anchor is not None:
            props.append(poser.stage.place(self.use.anchor, pose))
        for prop in props:
            if prop.kind in MACHINES:
                units += prop_units(prop, Setting(poser, state, anchor))
                continue
            if prop not in self._furniture:  # furniture stands still: build it once
                self._furniture[prop] = prop_units(prop, Setting(poser, state, anchor))
            units += self._furniture[prop]
        return units + kit_units(poser, state, self.use, self.working)

    def _angles(self) -> tuple[float, float]:
        camera, flip = self.use.camera or self.poser.form.scene.camera, 1
        if self.poser.stage.mirrored(self.cycle.start):
            flip = -1
        return flip * camera.yaw, camera.pitch

    def _fit(self) -> View:
        """A view that keeps every key pose of the repetition, and its arrows, on the picture."""
        yaw, pitch = self._angles()
        flat = View(yaw, pitch)
        points: list[Vec] = []
        radii: list[float] = []
        for name in dict.fromkeys((*self.cycle.out_poses, *self.cycle.back_poses)):
            for unit in self.units(self.poser.keys[name], name, flat):
                for piece in (p for batch in unit.batches for p in batch):
                    points += [point for point, _ in piece.balls]
                    radii += [max(r, piece.width / 2) + OUTLINE_M / 2 for _, r in piece.balls]
        if self.arrow:
            for move in moves(self.cycle):
                path = arrow_path(self.poser, self.cycle, *move)
                points += path
                radii += [ARROW_ROOM_M] * len(path)
        xy, r = flat.project(np.array(points))[:, :2], np.array(radii)[:, None]
        (left, top), (right, bottom) = (xy - r).min(axis=0), (xy + r).max(axis=0)
        w, h = self.size
        if self.poser.form.scene.closeup:
            w = round(w * (1 - ROOM))
        scale = min(w * MARGIN / (right - left), h * MARGIN / (bottom - top), h * 0.92 / LEAST_HEIGHT_M)
        scale *= min(self.poser.form.scene.camera.scale, 1.0)
        return View(yaw, pitch, scale, w / 2 - scale * (left + right) / 2, h * FLOOR_AT - scale * bottom)

    def order(self, state: State, pose: str) -> list[str]:
        """Depth order at one instant, back to front."""
        return ordered([unit for unit in self.units(state, pose, self.view) if unit.kind != "mat"], self.view, state)

    def shapes(self, state: State, pose: str, order: list[str], *, travelled_m: float = 0.0) -> list[Shape]:
        """The picture of one instant, given its depth order."""
        units = self.units(state, pose, self.view)
        fixed = {id(unit) for stood in self._furniture.values() for unit in stood}
        place = {name: i for i, name in enumerate(order)}
        shapes = [self._shadow(state)]
        for unit in units:
            if unit.kind == "mat":
                shapes += self._drawn(unit, fixed)
        if self.poser.form.scene.belt and self.poser.stage.prop(pose, "treadmill") is None:
            shapes += self._floor_marks(travelled_m)
        for unit in sorted((u for u in units if u.kind != "mat"), key=lambda u: place[u.name]):
            shapes += self._drawn(unit, fixed)
        return shapes + self._closeup(state)

    def _closeup(self, state: State) -> list[Shape]:
        """The working foot in a lens; nothing where the movement has none."""
        if self.lens is None:
            return []
        near = self.poser.form.scene.near_side
        side = self.working if self.cycle.side else near
        view = self.lens.view_of(state, side)
        shapes = self.lens.behind(state, side, self.pen)
        for batch in self.lens.pieces(state, self.look, side):
            shapes += self._batch(batch, outlined=True, view=view)
        return [*shapes, self.lens.rim(self.pen)]

    def arrow_shapes(self, first: str, last: str) -> list[Shape]:
        """The arrow of the move from one key pose to the next; none where the movement has none."""
        path = arrow_path(self.poser, self.cycle, first, last)
        return arrow_shapes([self.view.point(p) for p in path], self.view.scale, self.pen, ARROW) if path else []

    def _shadow(self, state: State) -> Shape:
        ankles = [state.joints[f"ankle_{side}"] for side in SIDES]
        x = float(ankles[0][0] + ankles[1][0]) * 0.25 + float(state.pelvis[0]) * 0.5 + 0.05
        y = float(ankles[0][1] + ankles[1][1]) / 2
        ring = np.array(
            [(x + 0.40 * cos(a), y + 0.32 * sin(a), 0.0) for a in np.linspace(0, 2 * pi, 24, endpoint=False)]
        )
        flat = self.view.project(ring)
        points = [(self._inside(float(px), 0), self._inside(float(py), 1)) for px, py in flat[:, :2]]
        return Shape(self.pen.polyline(points, closed=True), fill=FLOOR)

    def _inside(self, value: float, axis: int) -> float:
        return min(max(value, 0.0), float(self.size[axis]))

    def _floor_marks(self, travelled_m: float) -> list[Shape]:
        """Short marks that pass backwards under a figure that walks on the spot of the picture."""
        shapes = []
        span = 7 * FLOOR_MARK_PITCH_M
        for n in range(7):
            x = (n * FLOOR_MARK_PITCH_M - travelled_m) % span - span / 2
            if abs(x) < 0.45:
                for y in (0.22, -0.22):
                    ends = [self.view.point(vec(x, y, 0)), self.view.point(vec(x + 0.07, y, 0))]
                    path = self.pen.polyline(ends)
                    shapes.append(Shape(path, stroke=FLOOR_MARK, width=round(0.02 * self.view.scale, 1)))
        return shapes

    def _drawn(self, unit: Unit, fixed: set[int]) -> list[Shape]:
        if id(unit) not in fixed:
            return self._unit_shapes(unit)
        if id(unit) not in self._fixed:
            self._fixed[id(unit)] = self._unit_shapes(unit)
        return self._fixed[id(unit)]

    def _unit_shapes(self, unit: Unit) -> list[Shape]:
        """Each batch outlined as a whole and then filled, so that joins vanish."""
        shapes: list[Shape] = []
        for batch in unit.batches:
            shapes += self._batch(batch, outlined=unit.outline)
        for batch in unit.inside:
            shapes += self._batch(batch, outlined=False)
        return shapes

    def _batch(self, batch: list[Piece], *, outlined: bool, view: View | None = None) -> list[Shape]:
        view = view or self.view
        edge = round(OUTLINE_M * self.view.scale, 1)
        outline, fills, lines = "", dict[str, str](), list[Shape]()
        for piece in batch:
            flat = view.project(np.array([point for point, _ in piece.balls]))
            if piece.kind == "line":
                points = [(float(x), float(y)) for x, y in flat[:, :2]]
                width = round(piece.width * view.scale, 1)
                lines.append(Shape(self.pen.polyline(points), stroke=piece.fill, width=width))
                continue
            path = self.pen.hull(_circles(piece, flat, view.scale))
            if outlined or piece.kind == "outline":
                outline += path
            if piece.kind == "hull":
                fills[piece.fill] = fills.get(piece.fill, "") + path
        shapes = [Shape(outline, stroke=LINE, width=edge)] if outline else []
        return shapes + [Shape(path, fill=fill) for fill, path in fills.items()] + lines


def _circles(piece: Piece, flat: Vec, scale: float) -> list[Circle]:
    return [(float(x), float(y), r * scale) for (x, y, _), (_, r) in zip(flat, piece.balls, strict=True)]


def moves(cycle: Cycle) -> list[tuple[str, str]]:
    """The moves of a repetition from key pose to key pose."""
    return [*pairwise(cycle.out_poses), *pairwise(cycle.back_poses)]


def state_at(poser: Poser, first: str, last: str, share: float) -> State:
    """The instant at an uneased share of one move."""
    return poser.between(first, last, ease(share))

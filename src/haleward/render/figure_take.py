"""Many instants of a scene drawn at once: those that are built alike share their arrays."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import cos, pi, sin

import numpy as np

from haleward.movement.geometry import points
from haleward.movement.model import SIDES
from haleward.movement.stack import Stack, State, stacked
from haleward.render.draw import FLOOR, OUTLINE_M, Array, Unit, View
from haleward.render.draw_list import Outline, Shape, line
from haleward.render.draw_rows import Drawn, wrap
from haleward.render.figure_closeup import Lens
from haleward.render.head import sights
from haleward.render.looks import Look
from haleward.render.order import Depths, Sampled

FLOOR_MARK = "#B9C4C9"
FLOOR_MARK_PITCH_M = 0.30
FLOOR_MARKS = 7
SHADOW_RING = [(0.40 * cos(a), 0.32 * sin(a)) for a in np.linspace(0, 2 * pi, 24, endpoint=False)]


@dataclass(frozen=True)
class Shot:
    """An instant to draw: the key pose nearest to it, and how far the figure has walked past the floor's marks.

    What is not ``painted`` is only asked for its depth order.
    """

    state: State
    pose: str
    travelled_m: float = 0.0
    painted: bool = True


@dataclass(frozen=True)
class Stage:
    """What a take is taken of: what moves and what stands still at a pose, seen by one camera."""

    view: View
    size: tuple[int, int]
    look: Look
    moving: Callable[[Stack, str], list[Unit]]
    standing: Callable[[Stack, str], list[Unit]]
    mirrored: Callable[[str], bool]
    lens: Lens | None = None
    lens_side: str = "left"
    floor_marks: bool = False


class Group:
    """The instants of a take that are built alike, those that are painted first."""

    def __init__(self, stage: Stage, shots: Sequence[Shot]) -> None:
        self._stage, self.shots = stage, shots
        stack, pose = stacked([shot.state for shot in shots]), shots[0].pose
        edge_px = round(OUTLINE_M * stage.view.scale, 1)
        painted = sum(shot.painted for shot in shots)
        self.moving = Drawn(stage.moving(stack, pose), stage.view, len(shots), edge_px=edge_px, painted=painted)
        self.standing = Drawn(stage.standing(stack, pose), stage.view, 1, edge_px=edge_px)
        self._stack, self._edge_px = stack, edge_px

    def order(self, instant: int) -> list[str]:
        """Depth order at one instant, back to front."""
        return self._depths.order(instant, self.shots[instant].state.angles)

    def shapes(self, instant: int, order: Sequence[str]) -> list[Shape]:
        """The draw list of one instant."""
        shapes = [Shape((Outline("ring", self._shadows[instant]),), fill=FLOOR)]
        units = self.moving.shapes(instant) | self._still
        for unit in (*self.moving.units, *self.standing.units):
            if unit.kind == "mat":
                shapes += units[unit.name]
        if self._stage.floor_marks:
            shapes += floor_marks(self._stage.view, self.shots[instant].travelled_m)
        for name in order:
            shapes += units[name]
        return shapes + (self._lens_shapes[instant] if self._stage.lens else [])

    @cached_property
    def _still(self) -> dict[str, tuple[Shape, ...]]:
        return self.standing.shapes(0)

    @cached_property
    def _depths(self) -> Depths:
        scale = self._stage.view.scale
        return Depths(Sampled(self.moving, scale), Sampled(self.standing, scale), self._stack.hands)

    @cached_property
    def _shadows(self) -> Array:
        """A soft oval on the floor under each instant's figure, within the picture."""
        ankles = [self._stack.joints[f"ankle_{side}"] for side in SIDES]
        x = (ankles[0] + ankles[1])[:, :1] * 0.25 + self._stack.pelvis[:, :1] * 0.5 + 0.05
        y = (ankles[0] + ankles[1])[:, 1:2] / 2
        ring = np.array(SHADOW_RING)
        flat = self._stage.view.project(points(x + ring[:, 0], y + ring[:, 1], 0.0))[..., :2]
        shadows: Array = np.clip(flat, 0.0, np.array(self._stage.size, dtype=np.float64))
        return shadows

    @cached_property
    def _lens_shapes(self) -> list[list[Shape]]:
        """The working foot in a lens, at each instant."""
        lens, side = self._stage.lens, SIDES[self._stage.lens_side == "right"]
        if lens is None:
            return [[] for _ in self.shots]
        unit = Unit("lens", "lens", lens.pieces(self._stack, self._stage.look, side))
        drawn = Drawn([unit], lens.view_of(self._stack, side), len(self.shots), edge_px=self._edge_px)
        behind = lens.behind(self._stack, side)
        return [[*back, *drawn.shapes(n)["lens"], lens.rim()] for n, back in enumerate(behind)]


class Take:
    """A number of shots; orders and draw lists are asked for by the shot's number."""

    def __init__(self, stage: Stage, shots: Sequence[Shot]) -> None:
        heads = np.array([shot.state.joints.frame["head"] for shot in shots])
        seen = sights(heads, stage.look, stage.view)
        alike: dict[object, list[int]] = {}
        for n, shot in enumerate(shots):
            key = (tuple(shot.state.hands.values()), stage.mirrored(shot.pose), seen[n].tobytes())
            alike.setdefault(key, []).append(n)
        self.groups = [Group(stage, [shots[n] for n in numbers]) for numbers in alike.values()]
        self._wrapped = False
        self._places = {
            n: (group, row)
            for group, numbers in zip(self.groups, alike.values(), strict=True)
            for row, n in enumerate(numbers)
        }

    def order(self, number: int) -> list[str]:
        """Depth order of a shot, back to front."""
        group, instant = self._places[number]
        return group.order(instant)

    def shapes(self, number: int, order: Sequence[str]) -> list[Shape]:
        """Draw list of a painted shot, given its depth order."""
        if not self._wrapped:
            wrap([drawn for group in self.groups for drawn in (group.moving, group.standing)])
            self._wrapped = True
        group, instant = self._places[number]
        return group.shapes(instant, order)


def floor_marks(view: View, travelled_m: float) -> list[Shape]:
    """Short marks that pass backwards under a figure that walks on the spot of the picture."""
    shapes = []
    span = FLOOR_MARKS * FLOOR_MARK_PITCH_M
    for n in range(FLOOR_MARKS):
        x = (n * FLOOR_MARK_PITCH_M - travelled_m) % span - span / 2
        if abs(x) < 0.45:
            for y in (0.22, -0.22):
                ends = view.project(points(np.array((x, x + 0.07)), y, 0.0))[:, :2]
                shapes.append(Shape(line(ends), stroke=FLOOR_MARK, width=round(0.02 * view.scale, 1)))
    return shapes

"""A close-up of the working foot in a lens beside the figure, for movements that are small beside a whole person."""

from __future__ import annotations

import numpy as np

from haleward.movement.body import Body
from haleward.movement.geometry import Vec, mix, vec
from haleward.movement.stack import Stack
from haleward.record import Side
from haleward.render.draw import FLOOR, Array, Piece, View, rod
from haleward.render.draw_list import Shape, line
from haleward.render.figure_body import STEEL, shoe_pieces
from haleward.render.looks import LINE, Look

ROOM = 0.40  # share of the picture's width kept free for the lens
RADIUS_OF_ROOM = 0.47
ACROSS_M = 0.46  # what the lens shows, at 1.70 m
HEIGHT_OF_PICTURE = 0.34
GROUND = "#F6F3EC"
SHANK_SHARES = (0.15, 0.75)  # of the shank that is drawn, from the ankle up: as much as the lens has room for
CORNERS = 40


class Lens:
    """The lens of one picture: where it sits, and the view through it."""

    def __init__(self, view: View, size: tuple[int, int], body: Body) -> None:
        self.radius = size[0] * ROOM * RADIUS_OF_ROOM
        self.centre = (size[0] - self.radius - 3, size[1] * HEIGHT_OF_PICTURE)
        self._view = view
        self._scale = 2 * self.radius / (ACROSS_M * body.scale)
        self._body = body

    def view_of(self, stack: Stack, side: Side) -> View:
        """The camera of the picture, nearer, on the foot; a foot that stays on the floor moves in a still lens."""
        foot = stack.feet[side]
        middle = mix(stack.joints[f"ankle_{side}"], stack.joints[f"ball_{side}"], 0.45)
        still = foot.origin + vec(0.45 * self._body.ball, 0, 0.075 * self._body.scale)
        middle = np.where(foot.planted[:, None], still, middle)
        at = View(self._view.yaw, self._view.pitch, self._scale).project(middle)
        x, y = self.centre
        return View(self._view.yaw, self._view.pitch, self._scale, x - at[:, :1], y - at[:, 1:2])

    def pieces(self, stack: Stack, look: Look, side: Side) -> list[list[Piece]]:
        """Shoe, ankle and the end of the shank, or the tube of a prosthesis."""
        ankle, knee = stack.joints[f"ankle_{side}"], stack.joints[f"knee_{side}"]
        k = self._body.scale
        wide = 0.044 * k * self._body.girth**0.4
        hem, cut = mix(ankle, knee, 0.09), self._cut(stack, side, wide)
        if look.prosthesis == side:
            return [[rod(ankle, cut, 0.020 * k, STEEL)], shoe_pieces(stack, self._body, look, side)]
        bare = rod(ankle, hem, 0.035 * k, look.skin)
        return [[bare, *shoe_pieces(stack, self._body, look, side)], [rod(hem, cut, wide, look.trousers, wide * 1.08)]]

    def _cut(self, stack: Stack, side: Side, wide_m: float) -> Vec:
        """The point of the shank at which its drawing ends, just inside the rim."""
        ankle, knee = stack.joints[f"ankle_{side}"], stack.joints[f"knee_{side}"]
        shares = np.linspace(*SHANK_SHARES, 25)
        points = ankle[:, None] + (knee - ankle)[:, None] * shares[:, None]
        flat = self.view_of(stack, side).project(points)[..., :2] - np.array(self.centre)
        fits = np.hypot(flat[..., 0], flat[..., 1]) < self.radius - 1.15 * wide_m * self._scale
        outside = ~fits
        last = np.where(outside.any(axis=1), np.maximum(outside.argmax(axis=1) - 1, 0), -1)
        cut: Vec = points[np.arange(len(points)), last]
        return cut

    def behind(self, stack: Stack, side: Side) -> list[list[Shape]]:
        """For each instant the disc, with the floor in it while the foot is on the floor."""
        disc, foot = Shape(line(self._ring(), closed=True), fill=GROUND), stack.feet[side]
        floors = self.view_of(stack, side).project((foot.origin * vec(1, 1, 0))[:, None])[:, 0, 1] - self.centre[1]
        return [
            [disc, *(self._floor(floor) if planted else [])]
            for floor, planted in zip(floors.tolist(), foot.planted.tolist(), strict=True)
        ]

    def _floor(self, below_px: float) -> list[Shape]:
        if abs(below_px) >= self.radius:
            return []
        start = float(np.arcsin(below_px / self.radius))
        turns = np.linspace(start, np.pi - start, CORNERS // 2)
        return [Shape(line(self._ring(turns), closed=True), fill=FLOOR)]

    def rim(self) -> Shape:
        """The ring around the lens."""
        return Shape(line(self._ring(), closed=True), stroke=LINE, width=round(self.radius * 0.03, 1))

    def _ring(self, turns: Array | None = None) -> Array:
        turns = np.linspace(0, 2 * np.pi, CORNERS, endpoint=False) if turns is None else turns
        return np.array(self.centre) + self.radius * np.column_stack([np.cos(turns), np.sin(turns)])

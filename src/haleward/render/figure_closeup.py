"""A close-up of the working foot in a lens beside the figure, for movements that are small beside a whole person."""

from __future__ import annotations

import numpy as np

from haleward.movement.body import Body
from haleward.movement.geometry import Vec, mix, vec
from haleward.movement.motion import State
from haleward.record import Side
from haleward.render.draw import FLOOR, Array, Piece, View, rod
from haleward.render.figure_body import shoe_pieces
from haleward.render.looks import LINE, Look
from haleward.render.svg import Pen, Point, Shape

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
        self.centre: Point = (size[0] - self.radius - 3, size[1] * HEIGHT_OF_PICTURE)
        self._view = view
        self._scale = 2 * self.radius / (ACROSS_M * body.scale)
        self._body = body

    def view_of(self, state: State, side: Side) -> View:
        """The camera of the picture, nearer, on the foot; a foot that stays on the floor moves in a still lens."""
        foot = state.feet[side]
        middle = mix(state.joints[f"ankle_{side}"], state.joints[f"ball_{side}"], 0.45)
        if foot.planted:
            middle = foot.origin + vec(0.45 * self._body.ball, 0, 0.075 * self._body.scale)
        near = View(self._view.yaw, self._view.pitch, self._scale)
        x, y = near.point(middle)
        return View(near.yaw, near.pitch, self._scale, self.centre[0] - x, self.centre[1] - y)

    def pieces(self, state: State, look: Look, side: Side) -> list[list[Piece]]:
        """Shoe, ankle and the end of the shank."""
        ankle, knee = state.joints[f"ankle_{side}"], state.joints[f"knee_{side}"]
        k = self._body.scale
        wide = 0.044 * k * self._body.girth**0.4
        hem, cut = mix(ankle, knee, 0.09), self._cut(state, side, wide)
        bare = rod(ankle, hem, 0.035 * k, look.skin)
        return [[bare, *shoe_pieces(state, self._body, look, side)], [rod(hem, cut, wide, look.trousers, wide * 1.08)]]

    def _cut(self, state: State, side: Side, wide_m: float) -> Vec:
        """The point of the shank at which its drawing ends, just inside the rim."""
        ankle, knee = state.joints[f"ankle_{side}"], state.joints[f"knee_{side}"]
        shares = np.linspace(*SHANK_SHARES, 25)
        points = ankle + (knee - ankle) * shares[:, None]
        flat = self.view_of(state, side).project(points)[:, :2] - np.array(self.centre)
        fits = np.hypot(flat[:, 0], flat[:, 1]) < self.radius - 1.15 * wide_m * self._scale
        cut: Vec = points[int(np.argmin(fits)) - 1 if not fits.all() else -1]
        return cut if fits[0] else points[0]

    def behind(self, state: State, side: Side, pen: Pen) -> list[Shape]:
        """The disc, with the floor in it while the foot is on the floor."""
        shapes = [Shape(pen.polyline(self._ring(), closed=True), fill=GROUND)]
        floor = self.view_of(state, side).point(state.feet[side].origin * vec(1, 1, 0))[1] - self.centre[1]
        if state.feet[side].planted and abs(floor) < self.radius:
            start = float(np.arcsin(floor / self.radius))
            turns = np.linspace(start, np.pi - start, CORNERS // 2)
            shapes.append(Shape(pen.polyline(self._ring(turns), closed=True), fill=FLOOR))
        return shapes

    def rim(self, pen: Pen) -> Shape:
        """The ring around the lens."""
        return Shape(pen.polyline(self._ring(), closed=True), stroke=LINE, width=round(self.radius * 0.03, 1))

    def _ring(self, turns: Array | None = None) -> list[Point]:
        turns = np.linspace(0, 2 * np.pi, CORNERS, endpoint=False) if turns is None else turns
        x, y = self.centre
        return [(x + self.radius * float(np.cos(a)), y + self.radius * float(np.sin(a))) for a in turns]

"""Units on the picture at several instants: where every ball is, and the outline of every piece, for all at once."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from haleward.movement.geometry import Vec
from haleward.render.draw import OUTLINE_M, Array, Piece, Unit, View
from haleward.render.draw_hull import hulls_arcs
from haleward.render.draw_list import Outline, Shape
from haleward.render.looks import LINE


@dataclass(frozen=True)
class Paint:
    """One shape of a unit: the pieces whose outlines it joins, and how they are painted."""

    pieces: tuple[int, ...]
    fill: str = ""
    stroke: str = ""
    width: float = 0.0


class Drawn:
    """Units seen by a camera, at ``instants`` instants (1 for what stands still)."""

    def __init__(
        self, units: Sequence[Unit], view: View, instants: int, *, edge_px: float, painted: int | None = None
    ) -> None:
        """``edge_px`` is the width of the dark edge round every outlined batch.

        Only the first ``painted`` instants are wrapped and painted, all if it is None.
        """
        self.units, self.instants = units, instants
        self.painted = instants if painted is None else painted
        self._view, self._edge_px = view, edge_px
        self.pieces: list[Piece] = []
        self.balls_of: list[range] = []
        balls_seen: dict[int, range] = {}  # a piece and its edge share their balls
        points: list[Vec] = []
        radii: list[float] = []
        for unit in units:
            for piece in (piece for batch in (*unit.batches, *unit.inside) for piece in batch):
                balls = balls_seen.get(id(piece.balls))
                if balls is None:
                    balls = balls_seen[id(piece.balls)] = range(len(points), len(points) + len(piece.balls))
                    points += [point for point, _ in piece.balls]
                    radii += [max(radius, piece.width / 2) for _, radius in piece.balls]
                self.pieces.append(piece)
                self.balls_of.append(balls)
        world = np.empty((instants, len(points), 3))
        for n, point in enumerate(points):
            world[:, n] = point
        self.flat = view.project(world)
        self.radii = np.array(radii)
        self.outlines: list[list[Outline]] = []  # of each piece, one row an instant, once it is wrapped

    @property
    def pieces_of(self) -> Iterator[tuple[Unit, range]]:
        """Each unit with the numbers of its pieces: those of its batches first, then those inside."""
        number = 0
        for unit in self.units:
            many = sum(map(len, (*unit.batches, *unit.inside)))
            yield unit, range(number, number + many)
            number += many

    def extent(self) -> Array:
        """Left, top, right and bottom of every unit over all instants, its edges included."""
        outside = [n for unit, pieces in self.pieces_of for n in pieces[: sum(map(len, unit.batches))]]
        columns = np.unique(np.concatenate([self.balls_of[n] for n in outside]))
        xy, r = self.flat[:, columns, :2], (self.radii[columns] + OUTLINE_M / 2)[:, None] * self._view.scale
        return np.concatenate([(xy - r).min(axis=(0, 1)), (xy + r).max(axis=(0, 1))])

    @property
    def hulls(self) -> Iterable[range]:
        """The balls of each hull, once where a piece and its edge share them."""
        pairs = zip(self.pieces, self.balls_of, strict=True)
        return dict.fromkeys(balls for piece, balls in pairs if piece.kind != "line")

    def circles(self, balls: range) -> Array:
        """Centre x, centre y and radius of balls in pixels: three arrays with one row an instant."""
        flat = self.flat[: self.painted, balls.start : balls.stop]
        radii = np.broadcast_to(self.radii[balls.start : balls.stop] * self._view.scale, flat.shape[:2])
        return np.stack([flat[..., 0], flat[..., 1], radii])

    def lines(self, balls: range) -> list[Outline]:
        """A line through the middle of balls, one an instant."""
        return [Outline("line", rows) for rows in self.flat[: self.painted, balls.start : balls.stop, :2]]

    def shapes(self, instant: int) -> dict[str, tuple[Shape, ...]]:
        """The shapes of each unit at one instant, by the unit's name."""
        row = instant if self.instants > 1 else 0
        return {name: shapes[row] for name, shapes in self._shapes.items()}

    @cached_property
    def _shapes(self) -> dict[str, list[tuple[Shape, ...]]]:
        """The shapes of each unit, one row an instant."""
        if not self.outlines:
            wrap([self])
        found = {}
        for unit, paints in zip(self.units, self._paints, strict=True):
            columns = []
            for paint in paints:
                each_row = zip(*[self.outlines[n] for n in paint.pieces], strict=True)
                columns.append([Shape(row, paint.fill, paint.stroke, paint.width) for row in each_row])
            found[unit.name] = list(zip(*columns, strict=True))
        return found

    @cached_property
    def _paints(self) -> list[list[Paint]]:
        """What is painted of each unit: each batch outlined as a whole and then filled, so that joins vanish."""
        paints = []
        for unit, pieces in self.pieces_of:
            mine: list[Paint] = []
            number = pieces.start
            for outlined, batch in [(unit.outline, b) for b in unit.batches] + [(False, b) for b in unit.inside]:
                mine += self._painted(batch, number, outlined=outlined)
                number += len(batch)
            paints.append(mine)
        return paints

    def _painted(self, batch: list[Piece], number: int, *, outlined: bool) -> list[Paint]:
        edges: list[int] = []
        fills: dict[str, list[int]] = {}
        lines: list[Paint] = []
        for n, piece in enumerate(batch, start=number):
            if piece.kind == "line":
                width = round(piece.width * self._view.scale, 1)
                lines.append(Paint((n,), stroke=piece.fill, width=width))
                continue
            if outlined or piece.kind == "outline":
                edges.append(n)
            if piece.kind == "hull":
                fills.setdefault(piece.fill, []).append(n)
        edge = [Paint(tuple(edges), stroke=LINE, width=self._edge_px)] if edges else []
        return edge + [Paint(tuple(pieces), fill=fill) for fill, pieces in fills.items()] + lines


def wrap(every: Sequence[Drawn]) -> None:
    """Find the outlines of all pieces of these; hulls of equally many circles are wrapped together."""
    alike: dict[int, list[tuple[Drawn, range]]] = {}
    for drawn in every:
        for balls in drawn.hulls:
            alike.setdefault(len(balls), []).append((drawn, balls))
    found: dict[tuple[Drawn, range], list[Outline]] = {}
    for hulls in alike.values():
        circles = [drawn.circles(balls) for drawn, balls in hulls]
        arcs = iter(hulls_arcs(*np.concatenate(circles, axis=1)))
        for hull, (x, _, _) in zip(hulls, circles, strict=True):
            found[hull] = [Outline("arcs", next(arcs)) for _ in x]
    for drawn in every:
        drawn.outlines = [
            drawn.lines(balls) if piece.kind == "line" else found[drawn, balls]
            for piece, balls in zip(drawn.pieces, drawn.balls_of, strict=True)
        ]

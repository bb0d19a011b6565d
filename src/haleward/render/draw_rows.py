"""Units on the picture at several instants: where every ball is, and the outline of every piece, for all at once."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
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

    def __init__(self, units: Sequence[Unit], view: View, instants: int, *, edge_px: float) -> None:
        """``edge_px`` is the width of the dark edge round every outlined batch."""
        self.units, self.instants = units, instants
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

    def shapes(self, instant: int) -> dict[str, list[Shape]]:
        """The shapes of each unit at one instant, by the unit's name."""
        row = instant if self.instants > 1 else 0
        return {
            unit.name: [
                Shape(tuple([self._outlines[n][row] for n in paint.pieces]), paint.fill, paint.stroke, paint.width)
                for paint in paints
            ]
            for unit, paints in zip(self.units, self._paints, strict=True)
        }

    @cached_property
    def _outlines(self) -> list[list[Outline]]:
        """The outlines of each piece, one an instant."""
        found: dict[range, list[Outline]] = {}
        hulls: dict[int, list[range]] = {}
        for piece, balls in zip(self.pieces, self.balls_of, strict=True):
            if piece.kind == "line":
                found[balls] = [Outline("line", rows) for rows in self.flat[:, balls.start : balls.stop, :2]]
            elif balls not in hulls.setdefault(len(balls), []):
                hulls[len(balls)].append(balls)
        for many, wanted in hulls.items():
            columns = np.array(wanted).ravel()
            x, y = (self.flat[:, columns, axis].reshape(-1, many) for axis in (0, 1))
            r = np.tile(self.radii[columns] * self._view.scale, self.instants).reshape(-1, many)
            outlines = [Outline("arcs", arcs) for arcs in hulls_arcs(x, y, r)]
            for n, balls in enumerate(wanted):
                found[balls] = outlines[n :: len(wanted)]
        return [found[balls] for balls in self.balls_of]

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

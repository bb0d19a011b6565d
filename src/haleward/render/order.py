"""Depth order. Where two units overlap on the picture, the nearer one wins; a few fixed rules settle what a point's
depth would get wrong, such as a body on its seat."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise, permutations

import numpy as np
from numpy.typing import NDArray

from haleward.movement.hands import FREE
from haleward.movement.model import Angles
from haleward.record import Side
from haleward.render.draw import Array, Unit
from haleward.render.draw_rows import Drawn

SAMPLE_SPACING_M = 0.06
FEW_BALLS, MANY_BALLS = 4, 8
LEAST_RADIUS_M = 0.006
RULED = 1e3
STANDING_HIP_MOST_DEG = 50
LIES_UNDER = ("seat", "saddle", "step", "deck", "mat")
BODY = ("leg", "hips", "torso", "arm", "head")


@dataclass(frozen=True)
class Cloud:
    """Sample balls in metres (x, y, depth, radius), and the number of the unit that each belongs to."""

    samples: NDArray[np.float32]
    owners: NDArray[np.intp]
    units: int

    def depths(self) -> list[float]:
        """The mean depth of each unit."""
        each = np.bincount(self.owners, weights=self.samples[:, 2], minlength=self.units)
        depths: list[float] = (each / np.bincount(self.owners, minlength=self.units)).tolist()
        return depths


class Sampled:
    """Sample balls along the pieces of drawn units, close enough together to find overlaps."""

    def __init__(self, drawn: Drawn, scale: float) -> None:
        self.units = [unit for unit in drawn.units if unit.kind != "mat"]  # a mat lies under everything
        self._drawn, self._scale = drawn, scale
        balls: list[int] = []
        pairs: list[tuple[int, int, float]] = []
        owners: list[int] = []  # of the balls, then of the pairs
        pair_owners: list[int] = []
        rated = [(unit, pieces) for unit, pieces in drawn.pieces_of if unit.kind != "mat"]
        for owner, (unit, pieces) in enumerate(rated):
            for n in pieces[: sum(map(len, unit.batches))]:
                mine = drawn.balls_of[n]
                found = _pairs(drawn.pieces[n].kind == "line", mine)
                balls += mine
                owners += [owner] * len(mine)
                pairs += found
                pair_owners += [owner] * len(found)
        self._balls, self._owners = np.array(balls, dtype=np.intp), np.array(owners, dtype=np.intp)
        self._pairs = np.array([pair[:2] for pair in pairs], dtype=np.intp).reshape(-1, 2)
        self._spacing, self._pair_owners = np.array([pair[2] for pair in pairs]), np.array(pair_owners, dtype=np.intp)
        self._bias = np.array([unit.bias for unit in self.units], dtype=np.float64)

    def at(self, instant: int) -> Cloud:
        """The samples of one instant."""
        flat = self._drawn.flat[instant if self._drawn.instants > 1 else 0] / np.array((self._scale, self._scale, 1))
        every = np.column_stack([flat, self._drawn.radii])
        own = every[self._balls]
        fresh = np.ones(len(own), dtype=bool)  # an outline may name one ball several times, one after the other
        fresh[1:] = (own[1:] != own[:-1]).any(axis=1)
        first, last = every[self._pairs[:, 0]], every[self._pairs[:, 1]]
        steps = (np.sqrt(((last - first)[:, :3] ** 2).sum(axis=1)) / self._spacing).astype(np.intp)
        inner = np.maximum(steps - 1, 0)
        which = np.repeat(np.arange(len(inner)), inner)
        place = np.arange(len(which)) - np.repeat(np.cumsum(inner) - inner, inner) + 1
        between = first[which] + (last - first)[which] * (place / steps[which])[:, None]
        samples = np.vstack([own[fresh], between])
        owners = np.concatenate([self._owners[fresh], self._pair_owners[which]])
        samples[:, 3] = np.maximum(samples[:, 3], LEAST_RADIUS_M)
        samples[:, 2] += self._bias[owners]
        return Cloud(samples.astype(np.float32), owners, len(self.units))


def _pairs(is_line: bool, balls: range) -> list[tuple[int, int, float]]:
    """The balls between which samples are needed, and how far apart these may be."""
    if is_line:
        return [(a, b, SAMPLE_SPACING_M) for a, b in pairwise(balls)]
    if len(balls) > MANY_BALLS:
        return []
    spacing = SAMPLE_SPACING_M if len(balls) <= FEW_BALLS else 2 * SAMPLE_SPACING_M  # boards and boxes are large
    return [(a, b, spacing) for a, b in combinations(balls, 2)]


class Depths:
    """Finds depth orders of what moves in front of what stands still; the latter is compared with itself once."""

    def __init__(self, moving: Sampled, standing: Sampled, hands: Mapping[Side, str]) -> None:
        """``hands`` is what the hands touch at every instant."""
        self._moving, self._standing = moving, standing
        self._units = [*moving.units, *standing.units]
        self._still = standing.at(0)
        self._still_over = _votes(self._still, self._still)
        pairs = list(permutations(enumerate(self._units), 2))
        self._ruled = [(i, j) for (i, front), (j, back) in pairs if _rule(front, back, hands)]
        # A shirt hangs over standing thighs.
        self._hangs = [
            (i, j, f"hip_flexion_{back.side}")
            for (i, front), (j, back) in pairs
            if (front.kind, back.kind) == ("torso", "leg")
        ]

    def order(self, instant: int, angles: Angles) -> list[str]:
        """Names of all units from back to front; a circle of overlaps is broken where it is weakest."""
        cloud = self._moving.at(instant)
        aside = _votes(cloud, self._still)
        over = np.maximum(0.0, np.block([[_votes(cloud, cloud), aside], [-aside.T, self._still_over]]))
        hanging = [(i, j) for i, j, hip in self._hangs if angles[hip] < STANDING_HIP_MOST_DEG]
        for i, j in (*self._ruled, *hanging):
            over[i, j], over[j, i] = RULED, 0.0
        np.fill_diagonal(over, 0.0)
        depth = [*cloud.depths(), *self._still.depths()]
        return [self._units[n].name for n in _back_to_front(over, depth)]


def _back_to_front(over: Array, depth: Sequence[float]) -> list[int]:
    """Take away, again and again, what hides least of the rest; the furthest where several hide nothing."""
    left = list(range(len(depth)))
    cost = over.sum(axis=1)
    found = []
    while left:
        pick = min(left, key=lambda n: (cost[n], depth[n]))
        left.remove(pick)
        found.append(pick)
        cost = over[:, left].sum(axis=1)
    return found


def _votes(one: Cloud, two: Cloud) -> Array:
    """``v[i, j]`` > 0: unit i of one lies in front of unit j of the other, weighted by how much they overlap."""
    near = _near(one, two)
    (x, y, z, r), (x2, y2, z2, r2), owners2 = one.samples.T, two.samples[near].T, two.owners[near]
    apart = np.square(x[:, None] - x2) + np.square(y[:, None] - y2)
    a, b = np.nonzero(apart < np.square(r[:, None] + r2))
    overlap = r[a] + r2[b] - np.sqrt(apart[a, b])
    weight = overlap * overlap * (z[a] - z2[b])
    pairs = one.owners[a] * two.units + owners2[b]
    votes = np.bincount(pairs, weights=weight, minlength=one.units * two.units)
    return votes.astype(np.float64).reshape(one.units, two.units)


def _near(one: Cloud, two: Cloud) -> NDArray[np.bool_]:
    """Which samples of two are within the rectangle round one."""
    xy, r, xy2, r2 = one.samples[:, :2], one.samples[:, 3:], two.samples[:, :2], two.samples[:, 3:]
    low, high = (xy - r).min(axis=0, initial=np.inf), (xy + r).max(axis=0, initial=-np.inf)
    inside: NDArray[np.bool_] = ((xy2 + r2 > low) & (xy2 - r2 < high)).all(axis=1)
    return inside


def _rule(front: Unit, back: Unit, hands: Mapping[Side, str]) -> bool:
    """Whether ``front`` is painted over ``back`` in every pose."""
    if back.kind in LIES_UNDER:
        return front.kind in BODY
    match front.kind, back.kind:
        case ("torso", "hips") | ("head", "torso") | ("leg", "hips"):
            return True
        case "grip", "arm":
            return front.side == back.side
        case "arm", "support":
            return hands["left" if front.side == "left" else "right"] != FREE
    return False

"""The instants of one move for one body as arrays, so that checks look at all of them at once."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from haleward.movement.model import Form
from haleward.movement.motion import Poser
from haleward.movement.stack import State

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Track:
    """A move from one key pose to another. Positions are rows of x, y, z in metres, one row an instant."""

    poser: Poser
    first: str
    last: str
    states: tuple[State, ...]

    def point(self, joint: str) -> Array:
        """Where a joint is at each instant."""
        found = self._points.get(joint)
        if found is None:
            found = self._points[joint] = np.array([state.joints[joint] for state in self.states])
        return found

    def angle(self, name: str) -> Array:
        """A joint angle at each instant, in degrees."""
        return np.array([state.angles[name] for state in self.states])

    def in_trunk(self, joint: str) -> Array:
        """Where a joint is in the trunk's own axes, from the pelvis."""
        local: Array = np.einsum("nji,nj->ni", self._trunks, self.point(joint) - self.point("pelvis"))
        return local

    @cached_property
    def _points(self) -> dict[str, Array]:
        return {}

    @cached_property
    def _trunks(self) -> Array:
        return np.array([state.joints.frame["trunk"] for state in self.states])


def track(poser: Poser, first: str, last: str, instants: int) -> Track:
    """``instants`` of one move at even steps of its path, both ends included."""
    shares = np.linspace(0, 1, instants)
    return Track(poser, first, last, tuple(poser.along(first, last, shares.tolist())))


def all_moves(form: Form) -> list[tuple[str, str]]:
    """Every move of a form's cycles, each once."""
    paths = (poses for cycle in form.cycles for poses in (cycle.out_poses, cycle.back_poses))
    return [move for move in dict.fromkeys(m for poses in paths for m in pairwise(poses)) if move[0] != move[1]]

"""Posed instants: one by itself, or several with the same hand contacts as arrays with one row an instant."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from haleward.movement.feet import Foot, FootRows, foot_rows
from haleward.movement.geometry import Vec
from haleward.movement.model import SIDES, Angles
from haleward.movement.skeleton import Joints
from haleward.record import Side


@dataclass
class State:
    """One solved instant. ``miss_m`` is the worst contact error in metres."""

    angles: Angles
    pelvis: Vec
    feet: dict[Side, Foot]
    hands: dict[Side, str]
    joints: Joints
    miss_m: float


@dataclass(frozen=True)
class Stack:
    """Instants alike in what the hands touch: every array of a :class:`State` with one row an instant."""

    angles: dict[str, NDArray[np.float64]]
    pelvis: Vec
    feet: dict[Side, FootRows]
    hands: dict[Side, str]
    joints: Joints
    miss_m: NDArray[np.float64]

    def states(self) -> list[State]:
        """Each instant by itself."""
        angles = np.array(list(self.angles.values())).T.tolist()
        return [
            State(
                dict(zip(self.angles, angles[row], strict=True)),
                self.pelvis[row],
                {side: self.feet[side][row] for side in SIDES},
                dict(self.hands),
                Joints(
                    {name: point[row] for name, point in self.joints.p.items()},
                    {name: frame[row] for name, frame in self.joints.frame.items()},
                ),
                miss_m,
            )
            for row, miss_m in enumerate(self.miss_m.tolist())
        ]


Posed = State | Stack


def stacked(states: Sequence[State]) -> Stack:
    """Instants with the same hand contacts as one."""
    first = states[0]
    points = np.array([[state.joints.p[name] for name in first.joints.p] for state in states])
    frames = np.array([[state.joints.frame[name] for name in first.joints.frame] for state in states])
    angles = np.array([[state.angles[name] for name in first.angles] for state in states])
    return Stack(
        angles={name: angles[:, n] for n, name in enumerate(first.angles)},
        pelvis=np.array([state.pelvis for state in states]),
        feet={side: foot_rows([state.feet[side] for state in states]) for side in SIDES},
        hands=first.hands,
        joints=Joints(
            {name: points[:, n] for n, name in enumerate(first.joints.p)},
            {name: frames[:, n] for n, name in enumerate(first.joints.frame)},
        ),
        miss_m=np.array([state.miss_m for state in states]),
    )

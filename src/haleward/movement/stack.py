"""Several instants with the same hand contacts as arrays, one row an instant, so that all are drawn at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from haleward.movement.feet import Foot
from haleward.movement.geometry import Vec
from haleward.movement.model import SIDES
from haleward.movement.motion import State
from haleward.movement.skeleton import Joints
from haleward.record import Side


@dataclass(frozen=True)
class FootRows:
    """One foot's contact at each instant: which kinds it is (columns of yes and no), and its origin."""

    planted: NDArray[np.bool_]
    flat: NDArray[np.bool_]
    on_ball: NDArray[np.bool_]
    origin: Vec


@dataclass(frozen=True)
class Stack:
    """Instants alike in what the hands touch: every array of a :class:`State` with one row an instant."""

    angles: dict[str, NDArray[np.float64]]
    pelvis: Vec
    feet: dict[Side, FootRows]
    hands: dict[Side, str]
    joints: Joints


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
        feet={side: _foot_rows([state.feet[side] for state in states]) for side in SIDES},
        hands=first.hands,
        joints=Joints(
            {name: points[:, n] for n, name in enumerate(first.joints.p)},
            {name: frames[:, n] for n, name in enumerate(first.joints.frame)},
        ),
    )


def _foot_rows(feet: Sequence[Foot]) -> FootRows:
    def are(found: Sequence[bool]) -> NDArray[np.bool_]:
        return np.array(found)[:, None]

    return FootRows(
        planted=are([foot.planted for foot in feet]),
        flat=are([foot.kind == "flat" for foot in feet]),
        on_ball=are([foot.kind == "ball" for foot in feet]),
        origin=np.array([foot.origin for foot in feet]),
    )

"""Several instants with the same contacts as arrays, one row an instant, so that all are drawn at once."""

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
class Stack:
    """Instants alike in what feet and hands touch: every array of a :class:`State` with one row an instant.

    A foot's ``origin`` has rows as well; its pitch is that of the first instant.
    """

    angles: dict[str, NDArray[np.float64]]
    pelvis: Vec
    feet: dict[Side, Foot]
    hands: dict[Side, str]
    joints: Joints


Posed = State | Stack


def contacts(state: State) -> tuple[str, ...]:
    """What must be the same for instants to be stacked."""
    return (*(state.feet[side].kind for side in SIDES), *(state.hands[side] for side in SIDES))


def stacked(states: Sequence[State]) -> Stack:
    """Instants with the same :func:`contacts` as one."""
    first = states[0]
    points = np.array([list(state.joints.p.values()) for state in states])
    frames = np.array([list(state.joints.frame.values()) for state in states])
    angles = np.array([list(state.angles.values()) for state in states])
    feet = {
        side: Foot(
            first.feet[side].kind,
            first.feet[side].pitch_deg,
            np.array([state.feet[side].origin for state in states]),
        )
        for side in SIDES
    }
    return Stack(
        angles={name: angles[:, n] for n, name in enumerate(first.angles)},
        pelvis=np.array([state.pelvis for state in states]),
        feet=feet,
        hands=first.hands,
        joints=Joints(
            {name: points[:, n] for n, name in enumerate(first.joints.p)},
            {name: frames[:, n] for n, name in enumerate(first.joints.frame)},
        ),
    )

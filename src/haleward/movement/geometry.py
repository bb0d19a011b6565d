"""Vectors and rotations: x forward, y left, z up; metres and degrees."""

from __future__ import annotations

from math import cos, radians, sin

import numpy as np
from numpy.typing import NDArray

from haleward.record import Side

Vec = NDArray[np.float64]
Mat = NDArray[np.float64]


def sign(side: Side) -> int:
    """+1 for the figure's left, -1 for its right."""
    return 1 if side == "left" else -1


def other(side: Side) -> Side:
    """The other side."""
    return "right" if side == "left" else "left"


def vec(x: float, y: float, z: float) -> Vec:
    """A point or direction."""
    return np.array((x, y, z), dtype=np.float64)


def points(x: Vec | float, y: Vec | float, z: Vec | float) -> Vec:
    """Points from their coordinates, each a number or one number a row."""
    found = np.empty((*np.broadcast(x, y, z).shape, 3))
    found[..., 0], found[..., 1], found[..., 2] = x, y, z
    return found


def rot_x(deg: float) -> Mat:
    """Rotation about x."""
    c, s = cos(radians(deg)), sin(radians(deg))
    return np.array(((1.0, 0.0, 0.0), (0.0, c, -s), (0.0, s, c)))


def rot_y(deg: float) -> Mat:
    """Rotation about y; positive turns z towards x (a trunk leans forward)."""
    c, s = cos(radians(deg)), sin(radians(deg))
    return np.array(((c, 0.0, s), (0.0, 1.0, 0.0), (-s, 0.0, c)))


def rot_z(deg: float) -> Mat:
    """Rotation about z; positive turns to the left."""
    c, s = cos(radians(deg)), sin(radians(deg))
    return np.array(((c, -s, 0.0), (s, c, 0.0), (0.0, 0.0, 1.0)))


def limb(flexion: float, abduction: float, axial: float, side: Side) -> Mat:
    """Frame of a thigh or upper arm in its parent's frame: Ry(-flexion) Rx(abduction) Rz(axial rotation)."""
    s = sign(side)
    cf, sf = cos(radians(flexion)), sin(radians(flexion))
    ca, sa = cos(radians(s * abduction)), sin(radians(s * abduction))
    cr, sr = cos(radians(s * axial)), sin(radians(s * axial))
    return np.array(  # written out: this is the innermost step of posing
        (
            (cf * cr - sf * sa * sr, -cf * sr - sf * sa * cr, -sf * ca),
            (ca * sr, ca * cr, -sa),
            (sf * cr + cf * sa * sr, -sf * sr + cf * sa * cr, cf * ca),
        )
    )


def mix(a: Vec, b: Vec, share: float) -> Vec:
    """The point a share of the way from ``a`` to ``b``."""
    return a + (b - a) * share


def directions(v: Vec) -> Vec:
    """The direction of each row, as unit vectors."""
    found: Vec = v / np.linalg.norm(v, axis=-1, keepdims=True)
    return found


def length(v: Vec) -> float:
    """Euclidean length."""
    return float(np.sqrt(v @ v))

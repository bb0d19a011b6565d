"""Vectors and rotations: x forward, y left, z up; metres and degrees.

A number may be one for each instant, and a point or frame a row of it for each instant: every function takes both.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from haleward.record import Side

Numbers = NDArray[np.float64]
Number = float | NDArray[np.floating[Any]]
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


def points(x: Number, y: Number, z: Number) -> Vec:
    """Points from their coordinates, each a number or one number a row."""
    found = np.empty((*np.broadcast(x, y, z).shape, 3))
    found[..., 0], found[..., 1], found[..., 2] = x, y, z
    return found


def cos_sin(deg: Number) -> tuple[Numbers, Numbers]:
    """Cosine and sine."""
    turn = np.radians(deg)
    return np.cos(turn), np.sin(turn)


def rot_x(deg: Number) -> Mat:
    """Rotation about x."""
    return _about(deg, 1, 2)


def rot_y(deg: Number) -> Mat:
    """Rotation about y; positive turns z towards x (a trunk leans forward)."""
    return _about(deg, 2, 0)


def rot_z(deg: Number) -> Mat:
    """Rotation about z; positive turns to the left."""
    return _about(deg, 0, 1)


def _about(deg: Number, one: int, two: int) -> Mat:
    """Rotation that turns the first axis towards the second."""
    c, s = cos_sin(deg)
    found = np.zeros((*c.shape, 3, 3))
    found[..., 3 - one - two, 3 - one - two] = 1.0
    found[..., one, one] = found[..., two, two] = c
    found[..., one, two], found[..., two, one] = -s, s
    return found


def limb(flexion: Number, abduction: Number, axial: Number, side: Side) -> Mat:
    """Frame of a thigh or upper arm in its parent's frame: Ry(-flexion) Rx(abduction) Rz(axial rotation)."""
    g = sign(side)
    (cf, ca, cr), (sf, sa, sr) = cos_sin(np.array([flexion, g * abduction, g * axial]))
    found = np.empty((*cf.shape, 3, 3))  # written out: this is the innermost step of posing
    sfa, cfa = sf * sa, cf * sa
    found[..., 0, 0], found[..., 0, 1], found[..., 0, 2] = cf * cr - sfa * sr, -cf * sr - sfa * cr, -sf * ca
    found[..., 1, 0], found[..., 1, 1], found[..., 1, 2] = ca * sr, ca * cr, -sa
    found[..., 2, 0], found[..., 2, 1], found[..., 2, 2] = sf * cr + cfa * sr, cfa * cr - sf * sr, cf * ca
    return found


def turned(frame: Mat, v: Vec) -> Vec:
    """A direction of a frame's own axes in the world."""
    found: Vec = (frame @ v[..., None])[..., 0]
    return found


def in_frame(frame: Mat, v: Vec) -> Vec:
    """A direction of the world in a frame's own axes."""
    found: Vec = (v[..., None, :] @ frame)[..., 0, :]
    return found


def mix(a: Vec, b: Vec, share: Number) -> Vec:
    """The point a share of the way from ``a`` to ``b``."""
    return a + (b - a) * (share[..., None] if isinstance(share, np.ndarray) else share)


def directions(v: Vec) -> Vec:
    """The direction of each row, as unit vectors."""
    found: Vec = v / np.linalg.norm(v, axis=-1, keepdims=True)
    return found


def lengths(v: Vec) -> Numbers:
    """Euclidean length of each row."""
    found: Numbers = np.sqrt(np.einsum("...i,...i->...", v, v))
    return found


def length(v: Vec) -> float:
    """Euclidean length."""
    return float(np.sqrt(v @ v))

"""Outline of the hull of circles, exactly: arcs joined by common tangents, clockwise on the picture.

Many hulls are wrapped at once: one row a hull, one column a circle.
"""

from __future__ import annotations

from math import pi

import numpy as np

from haleward.render.draw import Array

FULL_TURN = 2 * pi


def hulls_arcs(x: Array, y: Array, r: Array) -> list[Array]:
    """The arcs of each hull in order, as rows of centre x, centre y, radius, first angle and sweep (radians).

    A circle that holds all the others is one full turn.
    """
    count, circles = x.shape
    tangents = _tangents(x, y, r)
    row = np.arange(count)
    first = np.argmax(x + r, axis=1)
    now, angle, going = first, np.zeros(count), np.ones(count, dtype=bool)
    owners, starts, sweeps, lengths = [], [], [], np.zeros(count, dtype=np.intp)
    for _ in range(4 * circles):
        turns = (tangents[row, now] - angle[:, None]) % FULL_TURN
        turns[turns > FULL_TURN - 1e-9] = 0.0
        turns[np.isnan(turns)] = np.inf  # a circle that never reaches further out
        following = np.argmin(turns, axis=1)
        step = turns[row, following]
        ends = angle + step >= FULL_TURN
        owners.append(now)
        starts.append(angle)
        sweeps.append(np.where(ends, FULL_TURN - angle, step))
        lengths += going
        going = going & ~ends
        if not going.any():
            break
        now, angle = np.where(going, following, now), np.where(going, angle + step, angle)
    who = np.stack(owners, axis=1)
    centre = [np.take_along_axis(values, who, axis=1) for values in (x, y, r)]
    arcs = np.stack([*centre, np.stack(starts, axis=1), np.stack(sweeps, axis=1)], axis=2)
    seam = (lengths > 1) & (who[row, lengths - 1] == first)  # the first circle is met again: one arc over the seam
    arcs[row[seam], lengths[seam] - 1, 4] += arcs[seam, 0, 4]
    return [found[int(begin) : stop] for found, begin, stop in zip(arcs, seam, lengths.tolist(), strict=True)]


def _tangents(x: Array, y: Array, r: Array) -> Array:
    """The angle at which the way round circle i leaves it for circle j; not a number where it never does."""
    dx, dy = x[:, :, None] - x[:, None, :], y[:, :, None] - y[:, None, :]
    apart = np.hypot(dx, dy)
    wider = r[:, None, :] - r[:, :, None]
    inside = apart <= np.abs(wider) + 1e-9
    apart[inside], wider[inside] = 1.0, 0.0
    angles: Array = np.arctan2(dy, dx) + np.arccos(wider / apart)
    angles[inside] = np.nan
    return angles

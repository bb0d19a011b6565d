"""The head: skull, hair, face. Features are left out where they face away, or they would wrap round the outline."""

from __future__ import annotations

from functools import cache
from math import cos, pi, sin

import numpy as np
from numpy.typing import NDArray

from haleward.movement.body import Body
from haleward.movement.geometry import Vec, vec
from haleward.movement.skeleton import Joints
from haleward.render.draw import Array, Ball, Piece, Unit, View, hull, line
from haleward.render.looks import Look, shade

GLASSES = "#33383D"
FACE_SIDES = (1, -1)
OUTLINE_DIRECTIONS = 28
FURTHER_THAN_ANY = 10.0  # of directions, whose length is 1
HAIR_FACING_LEAST = -0.12
MOUTH = tuple(float(u) for u in np.linspace(-1, 1, 9))
# What is seen, the direction of the head it faces, and the least share of that direction towards the viewer.
FACING: dict[str, tuple[tuple[float, float, float], float]] = {
    "not behind": ((1, 0, 0), -0.25),
    "nose on the outline": ((1, 0, 0), -0.75),
    "beard": ((1, 0, -0.3), -0.2),
    "nose": ((1, 0, 0), 0.2),
    **{f"bob {s}": ((0, s, 0), -0.2) for s in FACE_SIDES},
    **{f"ear {s}": ((0, s, 0), 0.15) for s in FACE_SIDES},
    **{f"cheek {s}": ((0.8, 0.6 * s, 0), 0.35) for s in FACE_SIDES},
    **{f"eye {s}": ((0.93, 0.34 * s, 0.1), 0.12) for s in FACE_SIDES},
    **{f"mouth {u}": ((0.9, 0.45 * u, 0), 0.33) for u in MOUTH},
}
SIGHTS = (*FACING, "well aside", "not in profile", "to the right", "hair")
_DIRECTIONS = np.array([direction for direction, _ in FACING.values()])
_LEAST = np.array([least for _, least in FACING.values()])


def sights(frames: Array, look: Look, view: View) -> Array:
    """For each instant, what of the head can be seen: one column of yes and no for each name of ``SIGHTS``.

    Instants that agree in every column are built together.
    """
    towards = np.einsum("nji,j->ni", frames, view.towards)
    sideways = frames[:, :, 0] @ view.right
    seen = towards @ _DIRECTIONS.T > _LEAST
    hair = ((towards @ _covered(look.hair_style == "scarf").T) > HAIR_FACING_LEAST).sum(axis=1) > 2
    nose = np.abs(sideways)
    rest = np.stack([nose > 0.42, nose < 0.75, sideways >= 0, hair], axis=1)
    return np.concatenate([seen, rest], axis=1)


class Head:
    """Builds the head of instants that agree in their :func:`sights`: features that face away are left out."""

    def __init__(self, joints: Joints, body: Body, look: Look, view: View) -> None:
        self.joints, self.body, self.look, self.view = joints, body, look, view
        self.size = body.scale**0.5
        self.frame, self.centre = joints.frame["head"], joints["head"]
        self.skin_dark = shade(look.skin)
        self._sees = dict(zip(SIGHTS, sights(self.frame, look, view)[0].tolist(), strict=True))
        self.from_behind = not self._sees["not behind"]

    def _at(self, x: float, y: float, z: float) -> Vec:
        placed: Vec = self.centre + self.frame @ (vec(x, y, z) * self.size)
        return placed

    def unit(self) -> Unit:
        """The batches from back to front; from behind, the hair covers everything."""
        if self.from_behind:
            batches = [self._neck(), self._skull(), self._ears(), self._hair_behind() + self._hair_patch()]
            return Unit("head", "head", [batch for batch in batches if batch])
        batches = [self._neck(), self._hair_behind(), self._skull()]
        soft = [self._cheeks(), self._beard(), self._nose()]
        outlined = [self._hair_patch(), self._ears()]
        face = [self._eyes(), self._mouth()]
        return Unit(
            *("head", "head", [batch for batch in batches if batch]),
            inside=[*(b for b in soft if b), *(_edged(b) for b in outlined if b), *(b for b in face if b)],
        )

    def _neck(self) -> list[Piece]:
        low = self.joints["neck"] + vec(0, 0, 0.012 if self.from_behind else -0.030)
        return [
            hull(
                [
                    (low, 0.050 * self.body.scale * self.body.girth**0.4),
                    (self._at(-0.016, 0, -0.055), 0.047 * self.size),
                ],
                self.skin_dark,
            )
        ]

    def _skull(self) -> list[Piece]:
        k = self.size
        balls = [(self._at(-0.012, 0, 0.028), 0.098 * k), (self._at(0.022, 0, -0.030), 0.078 * k)]
        pieces = [hull([*balls, (self._at(0.035, 0, -0.062), 0.052 * k)], self.look.skin)]
        if self._sees["well aside"] and self._sees["nose on the outline"]:
            nose = [(self._at(0.100, 0, -0.014), 0.0145 * k), (self._at(0.091, 0, 0.006), 0.010 * k)]
            pieces.append(hull(nose, self.look.skin))
        return pieces

    def _hair_behind(self) -> list[Piece]:
        k, style, hair = self.size, self.look.hair_style, self.look.hair
        if style == "bald":
            return []
        if style == "bob":
            lobes = [(self._at(-0.035, 0.05 * s, -0.075), 0.050 * k) for s in FACE_SIDES]
            return [hull([(self._at(-0.030, 0, 0.030), 0.104 * k), *lobes], hair)]
        if style == "scarf":
            return [hull([(self._at(-0.028, 0, 0.030), 0.107 * k), (self._at(-0.03, 0, -0.075), 0.075 * k)], hair)]
        pieces = [hull([(self._at(-0.030, 0, 0.030), 0.099 * k)], hair)]
        if style == "bun":
            pieces.append(hull([(self._at(-0.115, 0, 0.055), 0.045 * k)], hair))
        return pieces

    def _hair_patch(self) -> list[Piece]:
        """The part of a ball's surface that faces up and back and can be seen."""
        style, k = self.look.hair_style, self.size
        if style == "bald":
            return []
        pieces: list[Piece] = []
        if self._sees["hair"]:
            radius = (0.103 if style == "scarf" else 0.098) * k
            pieces.append(hull(self._outermost(_covered(style == "scarf"), radius, 0.012 * k), self.look.hair))
        if style == "bob":
            for s in FACE_SIDES:
                if self._sees[f"bob {s}"]:
                    top, low = self._at(-0.030, 0.085 * s, 0.02), self._at(-0.028, 0.078 * s, -0.07)
                    pieces.append(hull([(top, 0.032 * k), (low, 0.034 * k)], self.look.hair))
        return pieces

    def _outermost(self, covered: Array, radius: float, ball_radius: float) -> list[Ball]:
        """Only the balls that make the outline of what is seen, found in evenly spread directions of the picture."""
        turns = np.linspace(0, 2 * pi, OUTLINE_DIRECTIONS, endpoint=False)
        outward = np.outer(np.cos(turns), self.view.right) - np.outer(np.sin(turns), self.view.up)
        hidden = (self.view.towards @ self.frame) @ covered.T <= HAIR_FACING_LEAST
        reach = (outward @ self.frame) @ covered.T - FURTHER_THAN_ANY * hidden[:, None]
        outermost = _each_once(np.argmax(reach, axis=2))
        points = self._at(-0.016, 0, 0.030)[:, None] + covered[outermost] @ self.frame.swapaxes(1, 2) * radius
        return [(points[:, i], ball_radius) for i in range(points.shape[1])]

    def _ears(self) -> list[Piece]:
        if self.look.hair_style in ("bob", "scarf"):
            return []
        k = self.size
        return [
            hull(
                [(self._at(-0.008, 0.088 * s, -0.008), 0.022 * k), (self._at(-0.002, 0.086 * s, -0.030), 0.013 * k)],
                self.skin_dark,
            )
            for s in FACE_SIDES
            if self._sees[f"ear {s}"]
        ]

    def _cheeks(self) -> list[Piece]:
        return [
            hull([(self._at(0.068, 0.052 * s, -0.024), 0.014 * self.size)], self.look.cheek)
            for s in FACE_SIDES
            if self._sees[f"cheek {s}"]
        ]

    def _beard(self) -> list[Piece]:
        if not self.look.beard or not self._sees["beard"]:
            return []
        r = 0.034 * self.size
        chin = [(0.052, 0.035, -0.062), (0.052, -0.035, -0.062), (0.055, 0.0, -0.085)]
        return [hull([(self._at(*point), r) for point in chin], self.look.hair)]

    def _nose(self) -> list[Piece]:
        if not (self._sees["not in profile"] and self._sees["nose"]):
            return []
        s = 1 if self._sees["to the right"] else -1
        bridge = [
            (0.100, 0.0, 0.004),
            (0.112, s * 0.004, -0.010),
            (0.114, s * 0.003, -0.017),
            (0.104, -s * 0.008, -0.020),
        ]
        return [line([self._at(*point) for point in bridge], self.skin_dark, 0.0095)]

    def _eyes(self) -> list[Piece]:
        pieces: list[Piece] = []
        for s in FACE_SIDES:
            if not self._sees[f"eye {s}"]:
                continue
            pieces.append(hull([(self._at(0.083, 0.036 * s, 0.012), 0.0100 * self.size)], self.look.eye))
            brow = [(0.092, 0.018 * s, 0.040), (0.084, 0.038 * s, 0.046), (0.070, 0.055 * s, 0.038)]
            pieces.append(line([self._at(*point) for point in brow], self.look.brow, 0.0100))
            if self.look.glasses:
                turns = np.linspace(0, 2 * pi, 13)
                ring = [self._at(0.092, 0.036 * s + 0.024 * cos(a), 0.010 + 0.024 * sin(a)) for a in turns]
                pieces.append(line(ring, GLASSES, 0.006))
        return pieces

    def _mouth(self) -> list[Piece]:
        smile = [
            self._at(0.078 - 0.018 * u * u, 0.036 * u, -0.047 - 0.012 * (1 - u * u))
            for u in MOUTH
            if self._sees[f"mouth {u}"]
        ]
        return [line(smile, self.look.mouth, 0.0105)] if len(smile) > 2 else []


def _edged(batch: list[Piece]) -> list[Piece]:
    """The batch with its outline first, for parts drawn inside the head."""
    return [Piece("outline", piece.balls, piece.fill) for piece in batch] + batch


@cache
def _covered(scarf: bool) -> Array:
    """Directions of the head that hair, or a scarf, covers."""
    found = []
    for tilt in np.linspace(0, pi, 15):
        for turn in np.linspace(0, 2 * pi, 30, endpoint=False):
            x, y, z = sin(tilt) * sin(turn), sin(tilt) * cos(turn), cos(tilt)
            if z * 0.80 - x * 0.62 > (0.12 if scarf else 0.30) or (z > 0.62 and x < 0.60):
                found.append((x, y, z))
    return np.array(found)


def _each_once(found: NDArray[np.intp]) -> NDArray[np.intp]:
    """Neighbours that are the same as one; rows with fewer different ones than others are filled with repeats."""
    fresh = found != np.roll(found, 1, axis=1)
    fresh[:, 0] |= ~fresh.any(axis=1)
    first = np.argsort(~fresh, axis=1, kind="stable")[:, : int(fresh.sum(axis=1).max())]
    return np.take_along_axis(found, first, axis=1)

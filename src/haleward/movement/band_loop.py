"""A band tied in a loop: round both legs, or from one ankle to a post or a chair leg.

Geometry. The loop runs round two round things (a leg just above the knee, a leg just above the ankle, a post) like a
belt round two wheels, in the plane of their centres. With centres ``d`` apart and radii ``r1`` and ``r2`` its way round
is 2 sqrt(d^2 - (r1 - r2)^2) + r1 (pi + 2a) + r2 (pi - 2a), where sin a = (r1 - r2) / d. It slides freely, so both
strands between the two pull alike, and the leg feels twice the force of one strand. What is measured is half the way
round: the length of the loop laid flat on a table, knot at one end. Radii are those of the drawn figure, so they grow
with the person's girth.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import asin, pi, sqrt

from haleward.movement.body import Body
from haleward.movement.geometry import Vec, length, mix, other, sign, vec
from haleward.movement.model import Form, KitUse
from haleward.movement.stack import State
from haleward.record import Side

LOOPS = ("band_thighs", "band_ankles", "band_low", "band_chair_leg")
ROUND_BOTH_LEGS = ("band_thighs", "band_ankles")
THIGH_ALONG, ANKLE_ALONG = 0.84, 0.86  # where the loop lies, from the upper joint to the lower
THIGH_RADIUS_M, ANKLE_RADIUS_M, POST_RADIUS_M = 0.067, 0.050, 0.020  # at the reference figure
CHAIR_LEG = (
    0.19,
    0.215,
    0.16,
)  # of the rear leg that is used: ahead of the seat's middle, to the side, above the floor


@dataclass(frozen=True)
class Ring:
    """What the loop runs round: a centre and a radius, in metres."""

    centre: Vec
    radius_m: float


def way_round_m(one: Ring, two: Ring) -> float:
    """The whole length of a loop round two rings; rings inside each other leave only the way round the larger."""
    apart, wider = length(two.centre - one.centre), one.radius_m - two.radius_m
    if apart <= abs(wider):
        return 2 * pi * max(one.radius_m, two.radius_m)
    lean = asin(wider / apart)
    straight = 2 * sqrt(apart**2 - wider**2)
    return straight + one.radius_m * (pi + 2 * lean) + two.radius_m * (pi - 2 * lean)


def rings(use: KitUse, form: Form, state: State, body: Body, working: Side, post: Vec | None) -> tuple[Ring, Ring]:
    """The working leg's ring and the one it is tied to. ``post`` is the anchor of a loop that has one."""
    if use.drawn in ROUND_BOTH_LEGS:
        return _leg(use, state, body, working), _leg(use, state, body, other(working))
    if use.drawn == "band_chair_leg":
        chair = next((prop for prop in form.scene.props if prop.kind == "chair"), None)
        ahead, aside, up = CHAIR_LEG
        x = (chair.x if chair else 0.0) * body.stature_m + ahead
        return _leg(use, state, body, working), Ring(vec(x, sign(working) * aside, up), POST_RADIUS_M)
    if post is None:
        raise ValueError(f'"{use.drawn}" has no anchor in the movement file')
    return _leg(use, state, body, working), Ring(post, POST_RADIUS_M)


def flat_length_m(use: KitUse, form: Form, state: State, body: Body, working: Side, post: Vec | None) -> float:
    """Half the way round at one instant: what the flat length of the loop is stretched to."""
    return way_round_m(*rings(use, form, state, body, working, post)) / 2


def _leg(use: KitUse, state: State, body: Body, side: Side) -> Ring:
    joints = state.joints
    if use.drawn == "band_thighs":
        centre = mix(joints[f"hip_{side}"], joints[f"knee_{side}"], THIGH_ALONG)
        return Ring(centre, THIGH_RADIUS_M * body.scale * body.girth**0.6)
    centre = mix(joints[f"knee_{side}"], joints[f"ankle_{side}"], ANKLE_ALONG)
    return Ring(centre, ANKLE_RADIUS_M * body.scale * body.girth**0.4)

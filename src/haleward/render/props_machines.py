"""Machines of a gym or hall: cycle, arm crank, rower, treadmill. They follow the hands and feet that move them."""

from __future__ import annotations

from collections.abc import Callable

from haleward.movement.furniture import TREADMILL_RAIL_TOP_M
from haleward.movement.geometry import Vec, points, sign, vec
from haleward.movement.model import SIDES
from haleward.movement.motion import Poser
from haleward.movement.stack import Posed, Stack
from haleward.render.draw import Placer, Unit, hull, line, rod
from haleward.render.looks import LINE

METAL, METAL_DARK, FRAME, RUBBER = "#AEB8BD", "#7C888E", "#D8DEE1", "#39434A"


def _middle(stack: Posed, name: str) -> Vec:
    joints = stack.joints
    return (joints[f"{name}_left"] + joints[f"{name}_right"]) / 2


def _pedal_axle(poser: Poser, stack: Posed) -> Vec:
    feet = stack.feet
    axle = (feet["left"].origin + feet["right"].origin) / 2 + vec(poser.body.ball, 0, 0)
    return points(axle[..., 0], 0, axle[..., 2])


def cycle(poser: Poser, stack: Stack, at: Placer) -> list[Unit]:
    """A static cycle under the rider; the pedals follow the feet."""
    del at
    key = next(iter(poser.keys.values()))
    axle, hip, bar = _pedal_axle(poser, key), key.pelvis, _middle(key, "hand")
    x, z = float(axle[0]), float(axle[2])
    seat = vec(hip[0] - 0.06, 0, hip[2] - 0.105 * poser.body.scale - 0.02)
    saddle = hull([(seat + vec(-0.08, y, 0), 0.03) for y in (0.07, -0.07)] + [(seat + vec(0.14, 0, 0), 0.025)], RUBBER)
    tubes = [
        rod(vec(x - 0.02, 0, z), seat + vec(0, 0, -0.03), 0.03, FRAME, 0.022),
        rod(vec(x, 0, z), vec(bar[0] - 0.02, 0, bar[2] - 0.05), 0.03, FRAME, 0.024),
        rod(vec(x - 0.42, 0, 0.03), vec(x, 0, z - 0.02), 0.025, FRAME, 0.028),
        rod(vec(x + 0.30, 0, 0.03), vec(x, 0, z - 0.02), 0.025, FRAME, 0.028),
    ]
    handlebar = [
        rod(vec(bar[0], 0.19, bar[2]), vec(bar[0], -0.19, bar[2]), 0.016, RUBBER),
        hull([(vec(bar[0] + 0.03, 0, bar[2] + 0.10), 0.05)], RUBBER),
    ]
    units = [
        Unit("saddle", "saddle", [[saddle]]),
        Unit("cycle_frame", "frame", [tubes, [hull([(vec(x + 0.20, 0, z + 0.04), 0.15)], METAL)]]),
        Unit("cycle_bar", "bar", [handlebar]),
    ]
    for i, base in enumerate((-0.42, 0.30)):
        foot = rod(vec(x + base, 0.2, 0.025), vec(x + base, -0.2, 0.025), 0.022, METAL_DARK)
        units.append(Unit(f"cycle_foot_{i}", "frame", [[foot]]))
    return units + _pedals(poser, stack)


def _pedals(poser: Poser, stack: Stack) -> list[Unit]:
    axle, units = _pedal_axle(poser, stack), []
    for side in SIDES:
        p = stack.feet[side].origin + vec(poser.body.ball, 0, 0)
        crank = rod(
            points(axle[..., 0], sign(side) * 0.035, axle[..., 2]),
            points(p[..., 0], sign(side) * 0.05, p[..., 2] - 0.015),
            0.018,
            METAL_DARK,
            0.014,
        )
        plate = rod(p + vec(-0.04, 0, -0.018), p + vec(0.04, 0, -0.018), 0.014, RUBBER)
        units.append(Unit(f"crank_{side}", "crank", [[crank, plate]]))
    return units


def arm_crank(poser: Poser, stack: Stack, at: Placer) -> list[Unit]:
    """An arm crank on a post; the cranks follow the hands."""
    del poser, at
    c = _middle(stack, "hand")
    x, z = c[..., 0], c[..., 2]
    post = [
        rod(points(x + 0.30, 0, 0.03), points(x + 0.02, 0, z - 0.02), 0.03, METAL, 0.035),
        hull([(points(x + a, y, 0.025), 0.022) for a, y in ((0.05, 0.22), (0.55, 0.0), (0.05, -0.22))], METAL_DARK),
    ]
    units = [Unit("crank_post", "frame", [post, [rod(c + vec(0, 0.03, 0), c + vec(0, -0.03, 0), 0.075, METAL)]])]
    for side in SIDES:
        g, hand = sign(side), stack.joints[f"hand_{side}"]
        to = points(hand[..., 0], g * 0.075, hand[..., 2])
        arm = rod(points(x, g * 0.06, z), to, 0.016, METAL_DARK, 0.013)
        grip = rod(to + vec(0, g * 0.005, 0), hand + vec(0, g * 0.05, 0), 0.016, RUBBER)
        units.append(Unit(f"arm_crank_{side}", "crank", [[arm, grip]]))
    return units


def rower(poser: Poser, stack: Stack, at: Placer) -> list[Unit]:
    """A rowing machine; seat, handle and chain follow the rower."""
    del at
    key = next(iter(poser.keys.values()))
    body, hip = poser.body, stack.pelvis
    z = hip[..., 2] - 0.095 * body.scale * body.girth
    back = min(float(each.pelvis[0]) for each in poser.keys.values()) - 0.30
    front = float(key.joints["ankle_left"][0]) + 0.18
    wheel = [(vec(front + 0.24, y, 0.24), 0.21) for y in (0.05, -0.05)]
    seat = [(points(hip[..., 0] + x, y, z - 0.018), 0.018) for x in (-0.10, 0.08) for y in (0.10, -0.10)]
    end = [(vec(back, 0.12, 0.02), 0.02), (vec(back, -0.12, 0.02), 0.02), (points(back, 0, z - 0.06), 0.02)]
    hands = _middle(stack, "hand")
    chain = [hands, vec(front + 0.12, 0, 0.33)]
    units = [
        Unit(
            "deck",
            "deck",
            [[rod(points(back, 0, z - 0.055), points(front + 0.1, 0, z - 0.055), 0.024, METAL)]],
            bias=-0.1,
        ),
        Unit("seat", "seat", [[hull(seat, RUBBER)]]),
        Unit("rower_end", "frame", [[hull(end, METAL_DARK)]]),
        Unit("flywheel", "frame", [[hull(wheel, METAL)], [hull([(vec(front + 0.24, 0.06, 0.24), 0.09)], METAL_DARK)]]),
        Unit(
            *("grip_rower", "grip", [[rod(hands + vec(0, 0.20, 0), hands + vec(0, -0.20, 0), 0.014, RUBBER)]]),
            bias=-0.01,
            side="left",
        ),
        Unit("chain", "chain", [[line(chain, LINE, 0.012), line(chain, METAL, 0.005)]]),
    ]
    return units + [_foot_plate(poser, stack, i) for i in range(len(SIDES))]


def _foot_plate(poser: Poser, stack: Stack, i: int) -> Unit:
    side, body = SIDES[i], poser.body
    frame, ankle = stack.joints.frame[f"foot_{side}"], stack.joints[f"ankle_{side}"]
    heel, toe = (ankle + frame @ vec(x, 0, -body.ankle_height - 0.012) for x in (-body.heel, body.toe))
    return Unit(f"plate_{side}", "plate", [[rod(heel, toe, 0.015, METAL_DARK)]])


def treadmill(poser: Poser, stack: Stack, at: Placer) -> list[Unit]:
    """A treadmill with side rails."""
    del poser, stack
    top = TREADMILL_RAIL_TOP_M
    deck = at.slab((-0.62, 0.58), (-0.27, 0.27), (-0.07, -0.030), 0.012, "#5B666C")
    belt = at.slab((-0.58, 0.56), (-0.20, 0.20), (-0.020, -0.020), 0.010, "#3D464B")
    units = [Unit("deck", "mat", [[deck], [belt]], bias=-0.3)]
    for i, y in enumerate((-0.30, 0.30)):
        post = rod(at(0.46, y, 0.0), at(0.46, y, top), 0.016, METAL)
        units.append(
            Unit(f"tread_rail_{i}", "rail", [[post, rod(at(-0.05, y, top), at(0.50, y, top), 0.018, METAL_DARK)]])
        )
    screen = at.slab((0.50, 0.52), (-0.24, 0.24), (top, top + 0.17), 0.02, RUBBER)
    return [*units, Unit("console", "frame", [[screen]])]


MACHINES: dict[str, Callable[[Poser, Stack, Placer], list[Unit]]] = {
    "cycle": cycle,
    "arm_crank": arm_crank,
    "rower": rower,
    "treadmill": treadmill,
}

"""A wheelchair, drawn in place of the chair for those who use one: wheels beside the seat, plates under the feet."""

from __future__ import annotations

from math import cos, pi, sin

import numpy as np

from haleward.movement.geometry import Vec, vec
from haleward.movement.model import SIDES
from haleward.movement.motion import Poser
from haleward.render.draw import Placer, Unit, hull, line, rod
from haleward.render.looks import LINE
from haleward.render.props_machines import METAL, METAL_DARK, RUBBER

HALF_WIDTH = 0.23
WHEEL_RADIUS, WHEEL_BEHIND = 0.29, -0.10
SPOKES = 8
RIM_CORNERS = 33


def wheelchair_units(at: Placer, poser: Poser) -> list[Unit]:
    """Seat, backrest, and on each side a wheel, a caster, the frame and a footplate."""
    top = poser.stage.seat_top_m
    board = at.slab((-0.2, 0.2), (-HALF_WIDTH, HALF_WIDTH), (top - 0.022, top - 0.022), 0.020, RUBBER)
    rest = at.slab((-0.25, -0.25), (-HALF_WIDTH, HALF_WIDTH), (top + 0.02, 0.86), 0.018, RUBBER)
    units = [Unit("seat", "seat", [[board]], bias=-0.02), Unit("back", "back", [[rest]])]
    for side in SIDES:
        out = 1 if side == "left" else -1
        units += _side(at, top, out, side)
    return units + _footplates(poser)


def _side(at: Placer, seat_top: float, out: int, side: str) -> list[Unit]:
    y = out * (HALF_WIDTH + 0.04)
    hub = (WHEEL_BEHIND, y, WHEEL_RADIUS + 0.01)

    def rim(turn: float, radius: float) -> Vec:
        return at(hub[0] + radius * cos(turn), y, hub[2] + radius * sin(turn))

    spokes = [
        line([at(*hub), rim(turn, WHEEL_RADIUS)], METAL, 0.006)
        for turn in np.linspace(0, 2 * pi, SPOKES, endpoint=False)
    ]
    ring = [rim(float(turn), WHEEL_RADIUS) for turn in np.linspace(0, 2 * pi, RIM_CORNERS)]
    wheel = [*spokes, line(ring, LINE, 0.034), line(ring, METAL_DARK, 0.016)]
    caster = at(0.33, y * 0.8, 0.06)
    frame = rod(at(0.18, y * 0.86, seat_top - 0.03), at(0.40, y * 0.70, 0.06), 0.013, METAL)
    return [
        Unit(f"wheel_{side}", "wheel", [wheel], outline=False),
        Unit(f"caster_{side}", "wheel", [[hull([(caster, 0.055)], RUBBER)], [hull([(caster, 0.02)], METAL)]]),
        Unit(f"frame_{side}", "wheel", [[frame]]),
    ]


def _footplates(poser: Poser) -> list[Unit]:
    """A plate under each foot that rests."""
    units = []
    start = next(iter(poser.keys.values()))
    for side in SIDES:
        foot = start.feet[side]
        if foot.planted:
            heel, toe = (foot.origin + vec(x, 0, -0.010) for x in (-0.06, 0.17))
            units.append(Unit(f"footplate_{side}", "step", [[rod(heel, toe, 0.012, METAL_DARK)]]))
    return units

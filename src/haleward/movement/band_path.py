"""How long a band is along a movement, and the holds that make useful rungs of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from weakref import ReferenceType, ref

from haleward.movement.band_loop import LOOPS, flat_length_m, rings
from haleward.movement.bands import LONGEST_STRETCH, easier_cm, force_n
from haleward.movement.body import Body
from haleward.movement.furniture import HIGH_ANCHOR_M, SEATED_HIP_OF_STATURE, STANDING_HIP_OF_STATURE
from haleward.movement.geometry import Vec, length, other, sign, vec
from haleward.movement.loads import LoadSpec
from haleward.movement.model import SIDES, Cycle, Form, KitUse
from haleward.movement.motion import Poser
from haleward.movement.stack import Posed, State
from haleward.physiology.tables import settings
from haleward.record import Band, Side

PRETENSIONS = (
    0.0,
    0.075,
    0.15,
)  # elongation at the start pose; 0 to 15 % keeps the first part loaded (common practice)
GRIP_M = 0.10  # band wrapped in each hand
COMPUTED = (
    "band_under_feet",
    "band_under_seat",
    "band_front",
    "band_above",
    "band_between",
    "band_behind",
    "band_foot",
    *LOOPS,
)
HAND_TO_HAND = ("band_between", "band_behind")
BEHIND_BACK_OF_SCALE_M = 0.36
BETWEEN = (0.125, 0.25, 0.375, 0.625, 0.75, 0.875)


@dataclass(frozen=True)
class BandPath:
    """Shortest (start) and longest length of one strand, and how much band the fixed middle takes up, in metres.

    For a tied loop the strand is half the way round, and the two strands pull on the same leg (``together`` 2).
    """

    start_m: float
    longest_m: float
    strands: int
    middle_m: float
    end_m: float = GRIP_M  # band taken up by each end: wrapped round a hand, or tied
    together: int = 1  # strands that pull on the limb side by side


def anchor_m(use: KitUse, form: Form, body: Body) -> Vec:
    """Where a band is fixed: about elbow height, the top of a door, or low by the floor."""
    if use.anchor is None:
        raise ValueError(f'"{use.drawn}" has no anchor in the movement file')
    x = use.anchor.x * body.stature_m
    if use.anchor.kind == "door_high":
        return vec(x, 0, HIGH_ANCHOR_M)
    if use.anchor.kind == "post_low":
        return vec(x, 0, 0.10)
    seated = any(pose.seated for pose in form.poses.values())
    hip = SEATED_HIP_OF_STATURE if seated else STANDING_HIP_OF_STATURE
    return vec(x, 0, (hip + 0.115) * body.stature_m + (0.04 if seated else 0.0))


def foot_loop_m(state: Posed, body: Body, side: Side) -> Vec:
    """Where a band under both feet comes up beside one foot."""
    return state.feet[side].origin + vec(body.ball * 0.55, sign(side) * 0.055, 0.012)


def sole_m(state: Posed, body: Body, side: Side) -> Vec:
    """Where a band round one foot crosses its sole."""
    frame = state.joints.frame[f"foot_{side}"]
    return state.joints[f"ankle_{side}"] + frame @ vec(body.ball * 0.75, 0, -body.ankle_height - 0.006)


def under_arm_m(state: Posed, body: Body, side: Side) -> Vec:
    """Where a band behind the back comes forward under one arm."""
    local = vec(0.02, sign(side) * 0.155 * body.scale, 0.693 * body.trunk)
    return state.pelvis + state.joints.frame["trunk"] @ local


def seat_side_m(state: Posed, side: Side) -> Vec:
    """Where a band one sits on comes up beside the seat."""
    return state.pelvis + vec(0.06, sign(side) * 0.20, -0.06)


def strand_ends_m(
    use: KitUse, form: Form, state: State, body: Body, side: Side, working: Side
) -> tuple[Vec, Vec, float]:
    """The hand's end of one strand, the place it is pulled towards, and the whole length of the strand."""
    hand = state.joints[f"hand_{side}"]
    match use.drawn:
        case "band_under_feet":
            away = foot_loop_m(state, body, side)
        case "band_under_seat":
            away = seat_side_m(state, side)
        case "band_behind":  # the band slides round the back, so it is one strand from hand to hand
            ends = (length(state.joints[f"hand_{s}"] - under_arm_m(state, body, s)) for s in SIDES)
            return hand, under_arm_m(state, body, side), sum(ends) + BEHIND_BACK_OF_SCALE_M * body.scale
        case "band_between":
            away = state.joints[f"hand_{other(side)}"]
        case "band_foot":
            away = sole_m(state, body, working)
        case _:
            away = anchor_m(use, form, body)
    return hand, away, length(hand - away)


_FOUND: dict[tuple[int, Body], tuple[ReferenceType[Form], BandPath | None]] = {}
MOST_KEPT = 512


def band_path(form: Form, body: Body) -> BandPath | None:
    """The band's path over the first repetition; None when the form has no band whose pull can be worked out.

    Posing a body takes some milliseconds, so the last paths are kept.
    """
    key = (id(form), body)
    kept = _FOUND.get(key)
    if kept is not None and kept[0]() is form:
        return kept[1]
    found = _worked_out(form, body)
    if len(_FOUND) >= MOST_KEPT:
        _FOUND.clear()
    _FOUND[key] = (ref(form), found)
    return found


def _worked_out(form: Form, body: Body) -> BandPath | None:
    use = form.kit_use.get("band")
    if use is None or use.drawn not in COMPUTED:
        return None
    cycle = form.cycles[0]
    working: Side = "right" if cycle.side == "right" else "left"
    poser = Poser(form, body)
    if use.drawn in LOOPS:
        post = anchor_m(use, form, body) if use.anchor else None
        start, longest = _longest(poser, cycle, lambda state: flat_length_m(use, form, state, body, working, post))
        return BandPath(start, longest, 2, 0.0, settings("band_rules")["loop_knot_m"] / 2, together=2)
    sides = (working,) if use.held == "working_hand" else SIDES
    start, longest = _longest(
        poser, cycle, lambda state: max(strand_ends_m(use, form, state, body, side, working)[2] for side in sides)
    )
    first = poser.keys[cycle.start]
    middle = {
        "band_under_feet": length(foot_loop_m(first, body, "left") - foot_loop_m(first, body, "right")),
        "band_under_seat": 0.40,
        "band_foot": 0.10,
    }.get(use.drawn, 0.0)
    strands = 1 if use.drawn in HAND_TO_HAND or use.held == "working_hand" else 2
    return BandPath(start, longest, strands, middle)


def loop_pull(use: KitUse, form: Form, state: State, body: Body, working: Side) -> tuple[Vec, Vec, float]:
    """Where a loop pulls on the working leg, the direction towards the other ring, and its flat length just then."""
    post = anchor_m(use, form, body) if use.anchor else None
    leg, tied_to = rings(use, form, state, body, working, post)
    towards = tied_to.centre - leg.centre
    return leg.centre, towards / length(towards), flat_length_m(use, form, state, body, working, post)


def _longest(poser: Poser, cycle: Cycle, length_m: Callable[[State], float]) -> tuple[float, float]:
    """Length at the start, and the longest on the way out: between two key poses only if it is longer half-way."""
    found = [length_m(poser.keys[name]) for name in cycle.out_poses]
    longest = max(found)
    for (first, one), (last, two) in pairwise(zip(cycle.out_poses, found, strict=True)):
        if first == last:
            continue
        half = length_m(poser.between(first, last, 0.5))
        longest = max(longest, half)
        if half > max(one, two):
            longest = max(longest, *(length_m(state) for state in poser.along(first, last, BETWEEN)))
    return found[0], longest


def hold_lengths_m(path: BandPath) -> tuple[float, ...]:
    """Unstretched lengths of one strand, longest (easiest) first, none stretched beyond the working limit.

    Each is a whole number of centimetres, the longer one.

    From just tight at the start to 15 % stretched there. Where the path is longer than the limit allows from a tight
    start, the band starts slack and the holds are those that reach 100, 150 and 200 % at the longest point.
    """
    tight = [path.start_m / (1 + share) for share in PRETENSIONS]
    allowed = [hold for hold in tight if path.longest_m / hold <= LONGEST_STRETCH]
    holds = allowed or [path.longest_m / stretch for stretch in (2.0, 2.5, 3.0)]
    return tuple(dict.fromkeys(easier_cm(hold) for hold in holds))


def band_loads(form: Form, band: Band, body: Body) -> list[LoadSpec]:
    """Rungs of one measured band: hold length of a strand and the peak force on the limb, easiest first.

    A hold is left out when the whole band is not long enough for it, or when the band stays slack (peak force 0).
    """
    path = band_path(form, body)
    if path is None:
        return []
    loads = []
    for hold in hold_lengths_m(path):
        peak = path.together * force_n(stiffness_n=band.stiffness_n, hold_length_m=hold, length_m=path.longest_m)
        if needed_m(path, hold) <= band.rest_length_m and peak > 0:
            loads.append(LoadSpec("band", band=band.name, hold_length_m=hold, peak_n=round(peak, 1)))
    return loads


def needed_m(path: BandPath, hold_length_m: float) -> float:
    """How much band a hold takes up in all: strands, grips or knot, and what lies under the feet or the seat."""
    return path.strands * (hold_length_m + path.end_m) + path.middle_m

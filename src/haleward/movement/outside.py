"""Forces from outside the body at one instant: weights, bands, and the floor under the feet. Newtons and metres."""

from __future__ import annotations

from dataclasses import dataclass

from haleward.movement.band_loop import LOOPS, ROUND_BOTH_LEGS
from haleward.movement.band_path import loop_pull, strand_ends_m
from haleward.movement.bands import STANDARD_GRAVITY_M_PER_S2, force_n
from haleward.movement.body import Body
from haleward.movement.geometry import Vec, length, other, vec
from haleward.movement.loads import LoadSpec
from haleward.movement.model import SIDES, Form, KitUse
from haleward.movement.segments import Mass, Scheme, all_masses, centre_of_mass
from haleward.movement.stack import State
from haleward.record import Band, Side

DOWN = vec(0, 0, -STANDARD_GRAVITY_M_PER_S2)


@dataclass(frozen=True)
class Force:
    """A force and the point it acts at; ``on`` is the end of the limb that feels it, e.g. "hand_left"."""

    newtons: Vec
    at: Vec
    on: str


def weight_of(mass: Mass, on: str = "") -> Force:
    """The weight of a mass."""
    return Force(DOWN * mass.mass_kg, mass.at, on)


def kit_forces(
    form: Form, load: LoadSpec, state: State, body: Body, *, working: Side, band: Band | None = None
) -> tuple[Force, ...]:
    """What the kit does to hands and feet; nothing for own weight. ``band`` is the measured band of a band load."""
    use = form.kit_use.get(load.kit)
    if use is None or load.kit == "own_weight":
        return ()
    if load.kit == "band":
        return () if band is None else _band_forces(use, form, load, band, state, body, working)
    return tuple(
        weight_of(Mass(load.mass_kg * share, state.joints[end]), end)
        for end, share in _held(use, working)
        if load.mass_kg is not None
    )


def _held(use: KitUse, working: Side) -> tuple[tuple[str, float], ...]:
    """Which ends carry the item, and what share of it."""
    match use.held:
        case "each_hand":
            return ("hand_left", 1.0), ("hand_right", 1.0)
        case "both_hands":
            return ("hand_left", 0.5), ("hand_right", 0.5)
        case "each_ankle":
            return ("ankle_left", 1.0), ("ankle_right", 1.0)
        case "left_hand":
            return (("hand_left", 1.0),)
        case _:
            return ((f"hand_{working}", 1.0),)


def _band_forces(
    use: KitUse, form: Form, load: LoadSpec, band: Band, state: State, body: Body, working: Side
) -> tuple[Force, ...]:
    if load.hold_length_m is None:
        return ()
    return tuple(
        Force(
            pull.direction
            * force_n(stiffness_n=band.stiffness_n, hold_length_m=load.hold_length_m, length_m=pull.strand_m),
            pull.at,
            pull.on,
        )
        for pull in band_pulls(use, form, state, body, working=working)
    )


@dataclass(frozen=True)
class Pull:
    """Where one end of a strand pulls, which way (a unit vector), and how long the strand is just then."""

    direction: Vec
    at: Vec
    on: str
    strand_m: float


def band_pulls(use: KitUse, form: Form, state: State, body: Body, *, working: Side) -> tuple[Pull, ...]:
    """Every end of a band that pulls on a limb at one instant."""
    if use.drawn in LOOPS:
        return _loop_pulls(use, form, state, body, working)
    pulls = []
    for side in (working,) if use.held == "working_hand" else SIDES:
        hand, away, strand_m = strand_ends_m(use, form, state, body, side, working)
        towards = (away - hand) / length(away - hand)
        pulls.append(Pull(towards, hand, f"hand_{side}", strand_m))
        if use.drawn == "band_foot":
            pulls.append(Pull(-towards, away, f"ankle_{working}", strand_m))
    return tuple(pulls)


def _loop_pulls(use: KitUse, form: Form, state: State, body: Body, working: Side) -> tuple[Pull, ...]:
    """Both strands of a loop on the working leg, and on the other leg when the loop is round both."""
    pulls = []
    for side in (working, other(working)) if use.drawn in ROUND_BOTH_LEGS else (working,):
        at, towards, flat_m = loop_pull(use, form, state, body, side)
        pulls += [Pull(towards, at, f"ankle_{side}", flat_m)] * 2
    return tuple(pulls)


@dataclass(frozen=True)
class Floor:
    """What the floor gives a standing body: each foot that bears it has a share of all weight.

    The share follows from where the centre of all mass lies between the feet, and each push aims at that centre. How
    hard feet set apart push against each other cannot be known from a picture; aimed so, they hold the body in balance.
    """

    state: State
    body: Body
    scheme: Scheme
    carried: tuple[Force, ...]
    standing_on: tuple[Side, ...]

    def on_foot(self, side: Side, *, exact_contact: bool) -> Force:
        """The push on one foot that bears weight.

        With ``exact_contact`` it goes straight up inside the foot's own contact (the ball of a foot with the heel up),
        which is what an ankle feels. Without it, it may lie outside, as in the moment of leaving a seat, when momentum
        carries what the static picture cannot.
        """
        masses = all_masses(self.state.joints, self.body, scheme=self.scheme)
        loads = [Mass(-float(one.newtons[2]) / STANDARD_GRAVITY_M_PER_S2, one.at) for one in self.carried]
        everything = (*masses, *loads)
        weight_n = sum(one.mass_kg for one in everything) * STANDARD_GRAVITY_M_PER_S2
        centre = centre_of_mass(everything)
        points = {one: _foot_on_floor(self.state, one) for one in self.standing_on}
        share, at = _push(points, centre, side)
        if exact_contact:
            return Force(vec(0, 0, weight_n * share), _inside_contact(self.state, side, at), f"ankle_{side}")
        aim = centre - at
        return Force(aim * (weight_n * share / float(aim[2])), at, f"ankle_{side}")


def _foot_on_floor(state: State, side: Side) -> Vec:
    if state.feet[side].kind == "ball":
        return state.joints[f"ball_{side}"]
    return (state.joints[f"heel_{side}"] + state.joints[f"ball_{side}"]) / 2


def _push(points: dict[Side, Vec], centre: Vec, side: Side) -> tuple[float, Vec]:
    """This foot's share of the weight, and where the push must act so that the body neither tips nor turns."""
    here = points[side]
    if len(points) == 1:
        return 1.0, vec(float(centre[0]), float(centre[1]), float(here[2]))
    other = next(point for one, point in points.items() if one != side)
    apart = (other - here)[:2]
    nearer_other = float((centre - here)[:2] @ apart) / float(apart @ apart)
    nearer_other = min(max(nearer_other, 0.0), 1.0)
    rest = (centre - here)[:2] - apart * nearer_other
    # A foot on a step is nearer to the centre of mass and aims less steeply; the shares allow for it.
    up, up_other = (float(centre[2] - point[2]) for point in (here, other))
    share = (1 - nearer_other) * up / ((1 - nearer_other) * up + nearer_other * up_other)
    return share, here + vec(float(rest[0]), float(rest[1]), 0)


def _inside_contact(state: State, side: Side, at: Vec) -> Vec:
    heel, ball, toe = (state.joints[f"{end}_{side}"] for end in ("heel", "ball", "toe"))
    kind = state.feet[side].kind
    if kind == "ball" or state.feet[side].pitch_deg < 0:
        return ball
    if kind == "heel" or state.feet[side].pitch_deg > 0:
        return heel
    along = toe - heel
    share = float((at - heel)[:2] @ along[:2]) / float(along[:2] @ along[:2])
    return heel + along * min(max(share, 0.0), 1.0)

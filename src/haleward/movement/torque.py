"""The load on a movement's working joint over its whole path, held still at each instant (quasi-static).

At each instant the moment of everything beyond the joint is taken about it: the limb's own weight, the kit, and for a
leg that is stood on the push of the floor. Of that moment the part about the joint's own axis of movement counts (for
the shoulder and the hip the axis about which the limb is turning just then); the rest is carried by the seat, the
other joints or the body's hold on itself. Speed is left out: at the tempo of the library it adds at most a tenth
(reference: resistance, section f). Sources of masses: ``data/tables/segments.csv``.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from math import degrees

import numpy as np

from haleward.movement.body import Body
from haleward.movement.geometry import Mat, Vec, length, vec
from haleward.movement.loads import OWN_WEIGHT, LoadSpec
from haleward.movement.model import SIDES, Cycle, Form, Joint
from haleward.movement.motion import Poser
from haleward.movement.outside import Floor, Force, kit_forces, weight_of
from haleward.movement.segments import Scheme, masses_below, upper_masses
from haleward.movement.skeleton import Joints
from haleward.movement.stack import State
from haleward.record import Band, Side

# The frames on both sides of a joint: the limb that moves and what it moves against.
FRAMES: dict[str, tuple[str, str]] = {
    "shoulder": ("arm", "trunk"),
    "elbow": ("forearm", "arm"),
    "hip": ("thigh", "pelvis"),
    "knee": ("shank", "thigh"),
    "ankle": ("foot", "shank"),
}
HINGES = ("elbow", "knee", "ankle")
LEG_JOINTS = ("hip", "knee", "ankle")
INSTANTS = 25  # of each move from one key pose to the next
STEP_LEAST_M = 0.06  # a planted foot that ends further away than this was lifted on the way
STILL_DEG = 0.02  # turning less than this between instants gives no axis


@dataclass(frozen=True)
class LoadPoint:
    """The load at one instant: share of the path (0 to 1), torque that resists the effort, and the joint turned so far.

    A negative torque helps the joint along on its way and has to be held back. ``moment_nm`` is the whole moment of
    everything outside about the joint, of which ``torque_nm`` is the part about its axis of movement.
    """

    share: float
    torque_nm: float
    turned_deg: float
    moment_nm: Vec
    state: State


@dataclass(frozen=True)
class LoadPath:
    """The load over the way out of one repetition of one side."""

    joint: Joint
    side: Side
    scheme: Scheme
    points: tuple[LoadPoint, ...]

    @property
    def peak(self) -> LoadPoint:
        """The hardest instant, whichever way the load pulls."""
        return max(self.points, key=lambda point: abs(point.torque_nm))

    @property
    def mean_nm(self) -> float:
        """Mean size of the torque over the joint's own turn: what the muscle holds on average, in newton metres."""
        turned = np.array([point.turned_deg for point in self.points])
        torque = np.abs([point.torque_nm for point in self.points])
        if turned[-1] <= STILL_DEG:
            return float(torque.mean())
        return float(np.trapezoid(torque, turned) / turned[-1])


@dataclass(frozen=True)
class Instant:
    """One instant of the path: whether the seat carries the body, and the feet that stand on the floor."""

    state: State
    sits: bool
    standing_on: tuple[Side, ...]


def path_states(poser: Poser, cycle: Cycle) -> tuple[Instant, ...]:
    """The way out in equal steps between its key poses, each instant once."""
    found: list[Instant] = []
    for first, last in pairwise(cycle.out_poses):
        if first == last:
            continue
        sits = [poser.form.poses[name].seated for name in (first, last)]
        steps = [side for side in SIDES if _steps(poser, first, last, side)]
        shares = [i / (INSTANTS - 1) for i in range(1 if found else 0, INSTANTS)]
        for share, state in zip(shares, poser.along(first, last, shares), strict=True):
            # A rise is off the seat from its first instant, a descent on it from its last.
            seated = all(sits) or (share == 0 and sits[0]) or (share == 1 and sits[1])
            lifted = steps if 0 < share < 1 else []
            feet = tuple(side for side in SIDES if state.feet[side].planted and side not in lifted)
            found.append(Instant(state, seated, feet))
    return tuple(found)


def _steps(poser: Poser, first: str, last: str, side: Side) -> bool:
    """Whether a foot planted at both ends of a move is lifted and set down elsewhere in between."""
    feet = [poser.keys[name].feet[side] for name in (first, last)]
    return all(foot.planted for foot in feet) and length(feet[0].origin - feet[1].origin) > STEP_LEAST_M


@dataclass(frozen=True)
class WorkingPath:
    """One movement of one body seen from its working joint: posed once, then loaded as often as wanted."""

    form: Form
    body: Body
    joint: Joint
    scheme: Scheme
    side: Side

    @cached_property
    def cycle(self) -> Cycle:
        """The repetition of this side, or the one of both."""
        return self.form.cycle(self.side)

    @property
    def working(self) -> Side:
        """The side that works."""
        return self.cycle.side or self.side

    @cached_property
    def instants(self) -> tuple[Instant, ...]:
        """The way out, posed."""
        return path_states(Poser(self.form, self.body), self.cycle)

    @cached_property
    def turns(self) -> list[tuple[Vec | None, float]]:
        """For each instant the joint's axis of movement (None: it does not turn) and the degrees turned so far."""
        steps = _axes([one.state for one in self.instants], self.joint, self.working)
        turned = np.cumsum([0.0, *(step for _, step in steps[1:])])
        return [(axis, float(deg)) for (axis, _), deg in zip(steps, turned, strict=True)]

    def about_axis(self, index: int, moment: Vec) -> float:
        """The part of a moment that resists the effort at one instant."""
        axis = self.turns[index][0]
        effort = 1.0 if self.form.effort == "to_end" else -1.0
        return length(moment) if axis is None else -float(moment @ axis) * effort

    def loaded(self, load: LoadSpec = OWN_WEIGHT, band: Band | None = None) -> LoadPath:
        """The load over the path with this kit; ``band`` is the measured band behind a band load."""
        points = []
        for index, instant in enumerate(self.instants):
            moment = _moment(self.form, self.body, instant, self.joint, self.working, self.scheme, load, band)
            share, turned = index / (len(self.instants) - 1), self.turns[index][1]
            points.append(LoadPoint(share, self.about_axis(index, moment), turned, moment, instant.state))
        return LoadPath(self.joint, self.working, self.scheme, tuple(points))


def load_path(
    form: Form,
    body: Body,
    *,
    joint: Joint,
    scheme: Scheme,
    load: LoadSpec = OWN_WEIGHT,
    band: Band | None = None,
    side: Side = "left",
) -> LoadPath:
    """The load on ``joint`` over the way out of a repetition of ``side``, with this kit on this body."""
    return WorkingPath(form, body, joint, scheme, side).loaded(load, band)


def moment_about(
    joints: Joints, body: Body, *, joint: Joint, side: Side, scheme: Scheme, forces: tuple[Force, ...] = ()
) -> Vec:
    """Moment of the limb below a joint and of the outside ``forces`` on it, about the joint, in newton metres."""
    own = (weight_of(one) for one in masses_below(joints, body, joint=joint, side=side, scheme=scheme))
    about = joints[f"{joint}_{side}"]
    return sum((np.cross(force.at - about, force.newtons) for force in (*own, *forces)), start=vec(0, 0, 0))


def _moment(
    form: Form,
    body: Body,
    instant: Instant,
    joint: Joint,
    side: Side,
    scheme: Scheme,
    load: LoadSpec,
    band: Band | None,
) -> Vec:
    state = instant.state
    end = ("hand", "ankle")[joint in LEG_JOINTS]
    kit = kit_forces(form, load, state, body, working=side, band=band)
    forces = tuple(force for force in kit if force.on == f"{end}_{side}")
    if instant.sits and side in instant.standing_on and joint in ("hip", "knee"):
        return _on_the_seat(state, body, joint, side, scheme, kit, forces)
    if joint in LEG_JOINTS:
        forces += _from_the_floor(body, instant, joint, side, scheme, kit, load)
    return moment_about(state.joints, body, joint=joint, side=side, scheme=scheme, forces=forces)


def _on_the_seat(
    state: State,
    body: Body,
    joint: Joint,
    side: Side,
    scheme: Scheme,
    kit: tuple[Force, ...],
    on_leg: tuple[Force, ...],
) -> Vec:
    """A leg at rest on seat and floor has only kit to hold; its hip, half of what leans over it."""
    about = state.joints[f"{joint}_{side}"]
    moment = sum((np.cross(force.at - about, force.newtons) for force in on_leg), start=vec(0, 0, 0))
    if joint == "hip":
        above = [weight_of(one) for one in upper_masses(state.joints, body, scheme=scheme)]
        above += [force for force in kit if force.on.startswith("hand")]
        middle = (state.joints["hip_left"] + state.joints["hip_right"]) / 2  # leaning sideways is the seat's to carry
        moment = moment - sum((np.cross(force.at - middle, force.newtons) for force in above), start=vec(0, 0, 0)) / 2
    return moment


def _from_the_floor(
    body: Body,
    instant: Instant,
    joint: Joint,
    side: Side,
    scheme: Scheme,
    kit: tuple[Force, ...],
    load: LoadSpec,
) -> tuple[Force, ...]:
    carried = kit if load.kit != "band" else ()
    if not instant.sits:
        if side not in instant.standing_on:
            return ()
        push = Floor(instant.state, body, scheme, carried, instant.standing_on)
        return (push.on_foot(side, exact_contact=joint == "ankle"),)
    if joint == "ankle" and instant.state.feet[side].kind in ("ball", "heel"):
        return (_seated_foot(body, instant.state, side, scheme),)
    return ()


def _seated_foot(body: Body, state: State, side: Side, scheme: Scheme) -> Force:
    """The floor's push on the ball or heel of a seated person's foot: it holds up the leg, which turns at the hip."""
    hip = state.joints[f"hip_{side}"]
    at = state.joints[f"{'ball' if state.feet[side].kind == 'ball' else 'heel'}_{side}"]
    moment = sum(
        -weight.newtons[2] * (weight.at[0] - hip[0])
        for weight in map(weight_of, masses_below(state.joints, body, joint="hip", side=side, scheme=scheme))
    )
    return Force(vec(0, 0, float(moment) / float(at[0] - hip[0])), at, f"ankle_{side}")


def _axes(states: list[State], joint: Joint, side: Side) -> list[tuple[Vec | None, float]]:
    """For each instant the joint's axis of movement in the room (None: it does not turn) and the step turned."""
    moving, against = FRAMES[joint]
    moving = f"{moving}_{side}"
    against = against if against in ("trunk", "pelvis") else f"{against}_{side}"
    frames = [(state.joints.frame[moving], state.joints.frame[against]) for state in states]
    relative = [base.T @ limb for limb, base in frames]
    last = len(states) - 1
    found: list[tuple[Vec | None, float]] = []
    for index, (_, base) in enumerate(frames):
        before, after = max(index - 1, 0), min(index + 1, last)
        axis, turn = _rotation(relative[after] @ relative[before].T)
        _, step = _rotation(relative[index] @ relative[before].T)
        found.append((None if turn < STILL_DEG else base @ axis, step))
    return _with_neighbours(found)


def _with_neighbours(found: list[tuple[Vec | None, float]]) -> list[tuple[Vec | None, float]]:
    """A joint that rests for an instant keeps the axis of the instant before, or of the first that has one."""
    first = next((axis for axis, _ in found if axis is not None), None)
    filled, axis = [], first
    for own, step in found:
        axis = axis if own is None else own
        filled.append((axis, step))
    return filled


def _rotation(matrix: Mat) -> tuple[Vec, float]:
    """Axis and angle in degrees of a rotation matrix; a half turn does not occur between neighbouring instants."""
    twice_sine = vec(
        float(matrix[2, 1] - matrix[1, 2]), float(matrix[0, 2] - matrix[2, 0]), float(matrix[1, 0] - matrix[0, 1])
    )
    size = length(twice_sine)
    angle = degrees(float(np.arctan2(size, np.trace(matrix) - 1)))
    return (twice_sine / size if size > 0 else twice_sine), angle

"""A tied loop: its geometry, the pull on the leg, and its energy against the law of the strip."""

from __future__ import annotations

from itertools import pairwise
from math import pi

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from haleward.movement.band_loop import LOOPS, Ring, flat_length_m, rings, way_round_m
from haleward.movement.band_path import anchor_m, band_loads, band_path, needed_m
from haleward.movement.bands import LONGEST_STRETCH
from haleward.movement.body import Body
from haleward.movement.equivalence import Lever, Match, mass_like
from haleward.movement.geometry import vec
from haleward.movement.library import default_library
from haleward.movement.loads import LoadSpec
from haleward.movement.model import SIDES, Form
from haleward.movement.motion import Poser
from haleward.movement.outside import Force, kit_forces
from haleward.movement.stack import State
from haleward.movement.torque import WorkingPath
from haleward.record import Band, Posture

BODY = Body(stature_m=1.68, mass_kg=82)
BAND = Band("loop", 13.0, 3.0)
FORMS = [
    (movement.id, posture)
    for movement in default_library().movements.values()
    for posture, form in movement.postures.items()
    if "band" in form.kit_use and form.kit_use["band"].drawn in LOOPS
]
STEPS = 60


def strip_energy_j(stiffness_n: float, rest_m: float, length_m: float) -> float:
    """Energy in a strip pulled to a length: the integral of GA (s - 1/s^2) over the length, in closed form."""
    s = max(length_m / rest_m, 1.0)
    return stiffness_n * rest_m * (s * s / 2 + 1 / s - 1.5)


def test_the_way_round_two_equal_rings_is_two_straights_and_a_circle() -> None:
    one, two = Ring(vec(0, 0, 0), 0.05), Ring(vec(0, 0.3, 0), 0.05)
    assert way_round_m(one, two) == pytest.approx(0.6 + 2 * pi * 0.05)


@given(st.floats(0.02, 0.1), st.floats(0.02, 0.1), st.floats(0.0, 0.6))
def test_the_way_round_is_the_edge_of_the_hull_of_both_rings(one_m: float, two_m: float, apart_m: float) -> None:
    """Independent: the mean width of a convex shape times pi is its edge (Cauchy), here summed over directions."""
    turns = np.linspace(0, 2 * pi, 4001)[:-1]
    reach = np.maximum(one_m, apart_m * np.cos(turns) + two_m)  # support function of the hull
    edge = float(reach.mean()) * 2 * pi
    found = way_round_m(Ring(vec(0, 0, 0), one_m), Ring(vec(apart_m, 0, 0), two_m))
    assert found == pytest.approx(edge, rel=1e-4)


def ways(form: Form) -> list[tuple[State, str]]:
    poser, cycle = Poser(form, BODY), form.cycles[0]
    first, last = next(pair for pair in pairwise(cycle.out_poses) if pair[0] != pair[1])
    return [(poser.between(first, last, i / STEPS), cycle.side or "left") for i in range(STEPS + 1)]


@pytest.mark.parametrize(("movement", "posture"), FORMS)
def test_the_work_of_the_pulls_is_the_energy_of_the_strip(movement: str, posture: Posture) -> None:
    """Force times path, summed along the posed way, against the closed form of the strip's energy."""
    form = default_library().form(movement, posture)
    use = form.kit_use["band"]
    post = anchor_m(use, form, BODY) if use.anchor else None
    states = ways(form)
    working = "right" if states[0][1] == "right" else "left"
    flat = [flat_length_m(use, form, state, BODY, working, post) for state, _ in states]
    hold = max(flat) / 2.5
    load = LoadSpec("band", band="loop", hold_length_m=hold)
    forces: list[dict[str, list[Force]]] = []
    for state, _ in states:
        found: dict[str, list[Force]] = {}
        for force in kit_forces(form, load, state, BODY, working=working, band=BAND):
            found.setdefault(force.on, []).append(force)
        forces.append(found)
    work = 0.0
    for before, after in pairwise(forces):
        for end in before:
            mean = sum((f.newtons for f in (*before[end], *after[end])), start=vec(0, 0, 0)) / 2
            work -= float(mean @ (after[end][0].at - before[end][0].at))
    stored = [strip_energy_j(BAND.stiffness_n, 2 * hold, 2 * length_m) for length_m in (flat[0], flat[-1])]
    one, two = rings(use, form, states[0][0], BODY, working, post)
    equal = abs(one.radius_m - two.radius_m) < 1e-9
    assert work == pytest.approx(stored[1] - stored[0], rel=0.01 if equal else 0.03)


@pytest.mark.parametrize(("movement", "posture"), FORMS)
def test_every_loop_has_rungs_within_its_safe_stretch(movement: str, posture: Posture) -> None:
    form = default_library().form(movement, posture)
    path = band_path(form, BODY)
    assert path is not None
    loads = band_loads(form, BAND, BODY)
    assert loads
    for load in loads:
        assert load.hold_length_m is not None
        assert path.longest_m / load.hold_length_m <= LONGEST_STRETCH + 1e-9
        assert needed_m(path, load.hold_length_m) <= BAND.rest_length_m
        assert load.hold_length_m * 100 == pytest.approx(round(load.hold_length_m * 100))


@settings(max_examples=20, deadline=None)
@given(st.sampled_from(FORMS), st.floats(1.45, 2.0), st.floats(45, 150))
def test_no_body_gets_a_loop_past_its_safe_stretch(form: tuple[str, Posture], stature_m: float, mass_kg: float) -> None:
    found = default_library().form(*form)
    body = Body(stature_m=stature_m, mass_kg=mass_kg)
    path = band_path(found, body)
    assert path is not None
    for load in band_loads(found, BAND, body):
        assert load.hold_length_m is not None
        assert path.longest_m / load.hold_length_m <= LONGEST_STRETCH + 1e-9


def test_a_loop_at_the_ankles_is_weighed_against_ankle_weights() -> None:
    form = default_library().form("hip_extension", "standing")
    lever = Lever(WorkingPath(form, BODY, "hip", "winter", "left"))
    match = mass_like(lever, LoadSpec("band", band="loop", hold_length_m=0.45), "ankle_weight", band=BAND)
    assert isinstance(match, Match)
    assert 0 < match.used < 10


def test_both_legs_feel_a_loop_round_both() -> None:
    form = default_library().form("side_leg_raise", "standing")
    state, _ = ways(form)[-1]
    load = LoadSpec("band", band="loop", hold_length_m=0.36)
    forces = kit_forces(form, load, state, BODY, working="left", band=BAND)
    assert {force.on for force in forces} == {f"ankle_{side}" for side in SIDES}
    total = sum((force.newtons for force in forces), start=vec(0, 0, 0))
    assert np.linalg.norm(total) == pytest.approx(0, abs=1e-9)

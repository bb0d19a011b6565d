"""Loads on working joints: published and worked figures, the floor's push in balance, and the shape of a load path."""

import csv
import json
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from haleward.movement.body import Body
from haleward.movement.geometry import vec
from haleward.movement.library import default_library
from haleward.movement.loads import LoadSpec
from haleward.movement.model import ARM_JOINTS, LEG_JOINTS, NECK_JOINTS, SIDES, TRUNK_JOINTS
from haleward.movement.motion import Poser
from haleward.movement.outside import Floor, Force, weight_of
from haleward.movement.segments import Mass, all_masses, centre_of_mass, scheme_for
from haleward.movement.skeleton import forward
from haleward.movement.torque import load_path, moment_about, path_states
from haleward.physiology.segments import segment

ROWS = list(csv.DictReader((Path(__file__).parents[1] / "checks" / "movement_torque.csv").read_text().splitlines()))
BODY = Body(stature_m=1.70, mass_kg=80)


def upright(body, **left):
    names = [*TRUNK_JOINTS, *NECK_JOINTS, *(f"{one}_{side}" for one in (*ARM_JOINTS, *LEG_JOINTS) for side in SIDES)]
    angles = dict.fromkeys(names, 0.0) | {f"{name}_left": float(value) for name, value in left.items()}
    return forward(body, angles, vec(0, 0, 0.53 * body.stature_m))


@pytest.mark.parametrize("row", ROWS, ids=[row["case"] for row in ROWS])
def test_a_held_pose_loads_the_joint_as_worked_out(row):
    body = Body(stature_m=float(row["stature_m"]), mass_kg=float(row["mass_kg"]))
    joints = upright(body, **json.loads(row["angles"]))
    held = [(end, kg) for end, kg in json.loads(row["extra"]).items()]
    forces = tuple(weight_of(Mass(kg, joints[f"{end.removesuffix('_kg')}_left"])) for end, kg in held)
    moment = moment_about(joints, body, joint=row["joint"], side="left", scheme=row["scheme"], forces=forces)
    assert np.linalg.norm(moment) == pytest.approx(float(row["expected_nm"]), abs=float(row["tolerance"]))


def test_leaving_a_seat_takes_what_was_published():
    """Hip and knee of one leg together: about 1.53 N m/kg (Yoshioka 2007), 1.6 N m/kg (minimum of 1993)."""
    form = default_library().form("sit_to_stand", "standing")
    paths = [load_path(form, BODY, joint=joint, scheme="winter") for joint in ("hip", "knee")]
    together = max(
        abs(hip.torque_nm) + abs(knee.torque_nm) for hip, knee in zip(*(one.points for one in paths), strict=True)
    )
    assert together / BODY.mass_kg == pytest.approx(1.55, abs=0.12)


@pytest.mark.parametrize("scheme", ["winter", "de_leva_female", "de_leva_male"])
def test_the_segments_of_a_scheme_make_one_whole_body(scheme):
    masses = all_masses(upright(BODY), BODY, scheme=scheme)
    assert sum(one.mass_kg for one in masses) == pytest.approx(BODY.mass_kg)
    trunk = {"winter": ("trunk_head_neck",)}.get(scheme, ("trunk", "head"))
    assert masses[-1].mass_kg / BODY.mass_kg == pytest.approx(
        sum(segment(scheme, one).mass_fraction for one in trunk), abs=2e-4
    )
    height = centre_of_mass(masses)[2] / BODY.stature_m
    assert 0.53 < height < 0.60  # published standing centre of mass: about 0.55 to 0.57 of stature


def test_the_scheme_follows_sex_and_is_the_general_one_when_it_is_unknown():
    assert [scheme_for(sex) for sex in ("female", "male", None)] == ["de_leva_female", "de_leva_male", "winter"]


STANDING = [
    (movement.id, posture)
    for movement in default_library().movements.values()
    for posture, form in movement.postures.items()
    if movement.working_joint in ("hip", "knee", "ankle") and not any(pose.seated for pose in form.poses.values())
]


@pytest.mark.parametrize(("movement", "posture"), STANDING)
def test_the_floor_holds_a_standing_body_in_balance(movement, posture):
    form = default_library().form(movement, posture)
    for instant in path_states(Poser(form, BODY), form.cycles[0])[::6]:
        masses = all_masses(instant.state.joints, BODY, scheme="winter")
        centre = centre_of_mass(masses)
        floor = Floor(instant.state, BODY, "winter", (), instant.standing_on)
        pushes = [floor.on_foot(side, exact_contact=False) for side in instant.standing_on]
        everything = [*pushes, *(weight_of(one) for one in masses)]
        assert sum(force.newtons for force in everything) == pytest.approx(np.zeros(3), abs=1e-6)
        turning = sum(np.cross(force.at - centre, force.newtons) for force in everything)
        assert turning == pytest.approx(np.zeros(3), abs=1e-6)


def test_an_ankle_feels_the_push_under_its_own_foot_only():
    form = default_library().form("heel_raise", "standing")
    path = load_path(form, BODY, joint="ankle", scheme="winter")
    # Worked for one of two legs: 46.6 N m with the foot flat, 27.8 N m with the heel 30 degrees up.
    assert path.peak.torque_nm == pytest.approx(46.6, abs=1.0)
    assert path.points[-1].torque_nm == pytest.approx(30, abs=4)


@given(kg=st.floats(0.25, 10), more=st.floats(0.1, 5))
@settings(max_examples=12, deadline=None)
def test_a_heavier_weight_never_lightens_the_peak(kg, more):
    form = default_library().form("lateral_raise", "standing")
    light, heavy = (
        load_path(form, BODY, joint="shoulder", scheme="winter", load=LoadSpec("hand_weight", mass_kg=one))
        for one in (kg, kg + more)
    )
    assert abs(heavy.peak.torque_nm) > abs(light.peak.torque_nm)
    assert heavy.mean_nm > light.mean_nm


@pytest.mark.parametrize(
    "movement", [one for one in default_library().movements.values() if one.working_joint], ids=lambda m: m.id
)
def test_every_movement_with_a_working_joint_has_a_finite_load_in_every_posture(movement):
    for form in movement.postures.values():
        path = load_path(form, BODY, joint=movement.working_joint, scheme="winter")
        values = [point.torque_nm for point in path.points]
        assert np.isfinite(values).all()
        assert max(map(abs, values)) < 3 * BODY.mass_kg  # N m; no static load of this library nears it


def test_a_seated_leg_turning_outward_on_the_seat_has_nothing_to_hold_against_its_weight():
    form = default_library().form("side_leg_raise", "seated")
    path = load_path(form, BODY, joint="hip", scheme="winter")
    assert abs(path.peak.torque_nm) < 5


def test_a_push_outside_the_body_changes_the_moment_by_its_lever():
    joints = upright(BODY, elbow_flexion=90)
    push = Force(vec(0, 0, 10), joints["hand_left"], "hand_left")
    with_it, without = (
        moment_about(joints, BODY, joint="elbow", side="left", scheme="winter", forces=forces)
        for forces in ((push,), ())
    )
    assert np.linalg.norm(with_it - without) == pytest.approx(10 * (BODY.forearm + BODY.grip), rel=1e-6)

"""Poses of many bodies: contacts are met, joints stay in range, planted feet stay where they are."""

from itertools import pairwise

import numpy as np
import pytest

from haleward.movement.body import Body
from haleward.movement.feet import ankle_over
from haleward.movement.library import default_library
from haleward.movement.model import SIDES, Form
from haleward.movement.motion import Poser, ease
from haleward.movement.stack import State

# (stature in m, body mass index) spread over 1.60 to 1.80 m and 22 to 34.
BODIES = [(1.60, 22.0), (1.60, 34.0), (1.70, 28.0), (1.80, 22.0), (1.80, 34.0)]
SHARES = (0.0, 0.2, 0.4, 0.6, 0.8, 1.0)
CONTACT_MOST_M = 0.010
# Working limits of the range-of-motion table, with the play that a limb solved onto its support may use.
SOLVED_LIMITS_DEG = {
    "hip_flexion": (-17, 132),
    "hip_abduction": (-22, 45),
    "knee_flexion": (0, 130),
    "ankle_plantarflexion": (-22, 50),
    "shoulder_flexion": (-62, 168),
    "shoulder_abduction": (-40, 168),
    "elbow_flexion": (0, 145),
}
FORMS = [
    pytest.param(form, id=f"{movement.id}-{posture}")
    for movement in default_library().movements.values()
    for posture, form in movement.postures.items()
]


def moves(form: Form) -> list[tuple[str, str]]:
    found = [m for cycle in form.cycles for poses in (cycle.out_poses, cycle.back_poses) for m in pairwise(poses)]
    return list(dict.fromkeys(found))


def faults(state: State) -> list[str]:
    found = [f"contact missed by {state.miss_m * 1000:.0f} mm"] if state.miss_m > CONTACT_MOST_M else []
    for side in SIDES:
        for name, (low, high) in SOLVED_LIMITS_DEG.items():
            angle = state.angles[f"{name}_{side}"]
            if not low - 1 <= angle <= high + 1:
                found.append(f"{name} {side} {angle:.0f} degrees")
        lowest = min(float(state.joints[f"{part}_{side}"][2]) for part in ("heel", "ball"))
        if lowest < -0.012:
            found.append(f"{side} foot {-lowest * 1000:.0f} mm under the floor")
    return found


@pytest.mark.parametrize("form", FORMS)
def test_contacts_are_met_and_joints_stay_in_range_in_every_body(form: Form) -> None:
    for stature_m, bmi in BODIES:
        poser = Poser(form, Body(stature_m=stature_m, mass_kg=bmi * stature_m**2))
        for first, last in moves(form):
            for share, state in zip(SHARES, poser.along(first, last, SHARES), strict=True):
                assert faults(state) == [], (stature_m, bmi, first, last, share)


@pytest.mark.parametrize("form", FORMS)
def test_a_foot_planted_in_one_place_does_not_slide(form: Form) -> None:
    poser = Poser(form, Body(stature_m=1.72, mass_kg=80))
    for first, last in moves(form):
        a, b = poser.keys[first], poser.keys[last]
        states = poser.along(first, last, SHARES)
        for side in SIDES:
            start, stop = a.feet[side], b.feet[side]
            if not (start.planted and stop.planted) or start.kind not in ("flat", "ball", "heel"):
                continue
            if np.linalg.norm(start.origin - stop.origin) > 0.012:
                continue
            for state in states:
                slip = np.linalg.norm((state.feet[side].origin - start.origin)[:2])
                slip += np.linalg.norm(state.joints[f"ankle_{side}"] - ankle_over(poser.body, state.feet[side]))
                assert slip < 0.010


@pytest.mark.parametrize("form", FORMS)
def test_no_joint_jumps_between_frames(form: Form) -> None:
    poser = Poser(form, Body(stature_m=1.66, mass_kg=72))
    for first, last in moves(form):
        states = poser.along(first, last, np.linspace(0, 1, 21).tolist())
        for number, (before, state) in enumerate(pairwise(states)):
            change = max(abs(angle - before.angles[name]) for name, angle in state.angles.items())
            assert change < 22, (first, last, number)


def test_a_hand_on_a_chair_back_is_on_the_chair_back() -> None:
    form = default_library().form("heel_raise", "hand_supported")
    for stature_m in (1.60, 1.80):
        poser = Poser(form, Body(stature_m=stature_m, mass_kg=80))
        chair = poser.stage.prop("start", "chair_back")
        assert chair is not None
        for pose in ("start", "end"):
            for side in SIDES:
                hand = poser.keys[pose].joints[f"hand_{side}"]
                assert hand[0] == pytest.approx(chair.x * stature_m, abs=0.01)
                assert hand[2] == pytest.approx(0.926, abs=0.01)


def test_the_turning_pose_of_a_heel_raise_lifts_the_heel() -> None:
    for posture in ("seated", "hand_supported", "standing"):
        poser = Poser(default_library().form("heel_raise", posture), Body(stature_m=1.7, mass_kg=70))
        for side in SIDES:
            rise = poser.keys["end"].joints[f"heel_{side}"][2] - poser.keys["start"].joints[f"heel_{side}"][2]
            assert rise > 0.03


def test_the_ease_starts_and_ends_at_rest() -> None:
    assert (ease(0), ease(0.5), ease(1)) == (0, 0.5, 1)
    assert ease(0.01) < 0.0001
    assert 1 - ease(0.99) < 0.0001

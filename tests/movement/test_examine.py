"""Every movement on bodies of 1.45 to 2.00 m, slim and wide: contacts kept, joints in range, limbs clear of things."""

from dataclasses import replace

import pytest

from haleward.movement.body import Body
from haleward.movement.checking import THOROUGH
from haleward.movement.examine import examine
from haleward.movement.library import default_library
from haleward.movement.model import Arrow, Form, KeyPose, Prop
from haleward.record import Posture

FORMS = [(movement.id, posture) for movement in default_library().movements.values() for posture in movement.postures]
SIZES = sorted(THOROUGH.sizes, key=lambda size: (size[1], size[0]))
INSTANTS = 6
BODIES_EACH = 2
STRIDE = 7  # shares no factor with the number of bodies, so that forms go round all of them


def body(size: tuple[float, float]) -> Body:
    return Body(stature_m=size[0], mass_kg=size[1] * size[0] ** 2)


@pytest.mark.parametrize(("number", "form"), list(enumerate(FORMS)), ids=lambda value: str(value))
def test_nothing_is_found_on_bodies_that_take_turns(number: int, form: tuple[str, Posture]) -> None:
    for turn in range(BODIES_EACH):
        size = SIZES[(number * STRIDE + turn * len(SIZES) // BODIES_EACH) % len(SIZES)]
        assert examine(default_library().form(*form), body(size), instants=INSTANTS) == [], size


def test_the_smallest_and_the_largest_bodies_take_their_turn() -> None:
    turns = {
        SIZES[(number * STRIDE + turn * len(SIZES) // BODIES_EACH) % len(SIZES)]
        for number in range(len(FORMS))
        for turn in range(BODIES_EACH)
    }
    assert turns == set(SIZES)
    assert {(1.45, 20), (1.45, 42), (2.00, 20), (2.00, 42)} <= turns


def posed(form: Form, pose: str, **angles: float) -> Form:
    changed: KeyPose = replace(form.poses[pose], angles=form.poses[pose].angles | angles)
    return replace(form, poses=form.poses | {pose: changed})


def found(form: Form) -> str:
    return "\n".join(finding.text for finding in examine(form, Body(), instants=21))


def test_an_arm_through_the_trunk_is_found() -> None:
    form = default_library().form("biceps_curl", "standing")
    bad = posed(form, "end", shoulder_flexion_left=0, elbow_flexion_left=120, shoulder_external_rotation_left=-72)
    assert "the left hand goes into the trunk by" in found(bad)
    assert found(form) == ""


def test_a_joint_that_goes_too_far_and_a_jump_are_found() -> None:
    form = default_library().form("knee_extension", "seated")
    cycle = form.cycles[0]
    assert "knee flexion is 135 degrees; it must be from 0 to 130" in found(
        posed(form, cycle.start, knee_flexion_left=170, hip_flexion_left=120)
    )
    form = default_library().form("neck_turn", "seated")
    assert "the neck rotation jumps by" in found(posed(form, form.cycles[0].out[0].pose, neck_rotation=-3000))


def test_a_knee_in_a_worktop_is_found() -> None:
    form = default_library().form("heel_raise", "hand_supported")
    near = replace(form.scene, props=(Prop("wall", 0.0, 0.0, 0.0),), arrow=Arrow("none", (0, 0, 0)))
    free = {name: replace(pose, hands={"left": "free", "right": "free"}) for name, pose in form.poses.items()}
    assert "goes into the wall by" in found(replace(form, scene=near, poses=free))


def test_a_lean_that_would_topple_is_found() -> None:
    form = default_library().form("heel_raise", "standing")
    assert "the centre of mass leaves the feet by" in found(posed(form, "start", trunk_flexion=55))


def test_both_feet_in_the_air_are_found() -> None:
    form = default_library().form("knee_lift", "standing")
    pose = form.cycles[0].turning
    feet = form.poses[pose].feet
    air = next(foot for foot in feet.values() if foot.kind == "air")
    flying = replace(form.poses[pose], feet={"left": air, "right": air})
    assert "both feet are in the air" in found(replace(form, poses=form.poses | {pose: flying}))

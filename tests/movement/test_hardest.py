"""Where a movement is hardest, in words a person can check on themselves."""

import pytest

from haleward.movement.body import Body
from haleward.movement.hardest import hardest_key, hardest_words
from haleward.movement.library import default_library
from haleward.movement.loads import LoadSpec
from haleward.movement.torque import load_path
from haleward.physiology.tables import texts
from haleward.record import Posture

BODY = Body(stature_m=1.70, mass_kg=80)
WORKING = [
    (movement, posture)
    for movement in default_library().movements.values()
    for posture in movement.postures
    if movement.working_joint
]


@pytest.mark.parametrize(
    ("movement_id", "posture", "load", "key"),
    [
        ("biceps_curl", "standing", LoadSpec("hand_weight", mass_kg=1.0), "forearm_level"),
        ("lateral_raise", "standing", LoadSpec("own_weight"), "hand_shoulder"),
        ("front_raise", "seated", LoadSpec("bottle", mass_kg=0.5), "hand_shoulder"),
        ("sit_to_stand", "standing", LoadSpec("own_weight"), "leaving_seat"),
        ("split_squat", "standing", LoadSpec("own_weight"), "lowest"),
        ("mini_squat", "standing", LoadSpec("own_weight"), "lowest"),
        ("hip_hinge_lift", "standing", LoadSpec("own_weight"), "leaning"),
        ("side_leg_raise", "standing", LoadSpec("ankle_weight", mass_kg=1.0), "leg_out"),
        ("knee_extension", "seated", LoadSpec("own_weight"), "knee_straight"),
        ("step_up", "standing", LoadSpec("own_weight"), "stepping"),
        ("heel_raise", "standing", LoadSpec("own_weight"), "heel_low"),
        ("toe_raise", "seated", LoadSpec("own_weight"), "toes_up"),
        ("sit_to_stand", "seated", LoadSpec("own_weight"), "none"),
        ("side_leg_raise", "seated", LoadSpec("own_weight"), "none"),
    ],
)
def test_a_movement_is_hardest_where_one_would_feel_it(
    movement_id: str, posture: Posture, load: LoadSpec, key: str
) -> None:
    movement = default_library().movements[movement_id]
    assert movement.working_joint is not None
    form = movement.postures[posture]
    assert hardest_key(load_path(form, BODY, joint=movement.working_joint, scheme="winter", load=load)) == key


@pytest.mark.parametrize(("movement", "posture"), WORKING, ids=lambda one: getattr(one, "id", one))
def test_there_are_words_for_every_movement_on_small_and_large_bodies(movement, posture) -> None:
    for body in (Body(stature_m=1.50, mass_kg=48), Body(stature_m=1.92, mass_kg=120)):
        path = load_path(movement.postures[posture], body, joint=movement.working_joint, scheme="winter")
        assert hardest_words(path) in texts("hardest_words").values()

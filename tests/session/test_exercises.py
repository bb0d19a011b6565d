"""What page and print say about one exercise fits its dose."""

import pytest

from haleward.dose.model import Dose, Exercise, Load
from haleward.movement.library import default_library
from haleward.session.exercises import planned_exercise
from haleward.wording import default_wording


def setup_words(movement_id: str, posture: str, load: Load) -> str:
    dose = Dose(sets=2, repetitions=10, load=load, out_s=2, pause_s=0, back_s=3, rest_s=90)
    exercise = Exercise(movement_id, posture, dose, each_side=True, region="pull")
    planned = planned_exercise(0, exercise, library=default_library(), wording=default_wording())
    return " ".join((*planned.sheet.setup, planned.sheet.kit_line))


def test_the_set_up_names_no_other_load_than_the_dose() -> None:
    said = setup_words("single_arm_row", "hand_supported", Load("hand_weight", mass_kg=1.0))
    assert "Hold one hand weight in your hanging hand." in said
    assert "bag" not in said


@pytest.mark.parametrize(
    ("movement_id", "posture", "support"),
    [
        ("wall_press", "standing", "Choose a wall with nothing hanging on it."),
        ("step_up", "standing", "Choose a step that does not slide."),
        ("tandem_stance", "hand_supported", "Choose a worktop that cannot move."),
    ],
)
def test_the_set_up_says_how_to_choose_the_support(movement_id: str, posture: str, support: str) -> None:
    assert support in setup_words(movement_id, posture, Load("own_weight"))

"""What the person's page says of today's walk, or of the march in its place."""

import pytest

from haleward.dose.model import MARCH, Walking
from haleward.web.delivery.landing_words import Words, walk_words
from haleward.wording import default_wording

SAY = Words({}, default_wording())


@pytest.mark.parametrize(
    ("movement_id", "posture", "begins"),
    [
        ("walking", "standing", "Walk for 5 minutes today"),
        (MARCH, "seated", "March sitting down for 5 minutes today"),
        (MARCH, "hand_supported", "March on the spot for 5 minutes today"),
        (MARCH, "standing", "March on the spot for 5 minutes today"),
    ],
)
def test_the_line_of_today_says_a_march_as_it_is_done(movement_id, posture, begins):
    once = Walking((), 1, 5, 0, movement_id=movement_id, posture=posture)
    bouts = Walking((), 3, 5, 2, movement_id=movement_id, posture=posture)
    assert walk_words(once, SAY)["line"] == f"{begins}."
    assert walk_words(bouts, SAY)["line"] == f"{begins}, 3 times. Rest for 2 minutes in between."
    assert walk_words(once, SAY)["button"] == f"Start the {'walk' if movement_id == 'walking' else 'march'}"

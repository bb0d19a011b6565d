"""The form of one dose: its limits are those of the person."""

from __future__ import annotations

from typing import Any

import pytest

from haleward.dose.programme import draft_programme
from haleward.movement.library import default_library
from haleward.record import Record
from haleward.safety.protocol import default_protocol
from haleward.web.prescription.forms import DoseForm
from haleward.web.prescription.ground import Ground
from tests.dose.people import TODAY, WELL
from tests.dose.test_scenarios_frail import WEAK_HEART

PROTOCOL, LIBRARY = default_protocol(), default_library()


def form_of(record: Record, **data: Any) -> DoseForm:
    """The form of the row of this person's draft, filled in."""
    ground = Ground(None, record, PROTOCOL, LIBRARY, TODAY)  # type: ignore[arg-type]
    plan = draft_programme(record, ground.prescription, protocol=PROTOCOL, library=LIBRARY, today=TODAY, version=1)
    exercise = plan.parts[0].exercises[0]
    option = ground.options.find(exercise.movement_id)
    assert option is not None
    filled = {"choice": option.choices.index(option.start), "sets": 2, "rest_s": 90, **data}
    return DoseForm(filled, exercise=exercise, option=option, ground=ground, by="Lead")


@pytest.mark.django_db
@pytest.mark.parametrize(("record", "told"), [(WELL, "8 to 15"), (WEAK_HEART, "8 to 20")])
def test_the_range_of_repetitions_is_the_persons_own(record: Record, told: str) -> None:
    form = form_of(record, repetitions=18)
    assert form.fields["repetitions"].help_text == told
    assert form.is_valid() is told.endswith("20")
    if not form.is_valid():
        assert f"the protocol allows {told}" in str(form.errors)

"""Every rule's inputs can be answered on some screen, or stand in a list of what no screen asks yet."""

from __future__ import annotations

import pytest

from haleward.safety.conditions import inputs_of
from haleward.safety.protocol import Protocol, default_protocol
from haleward.web.assessment.questions import COMPUTED, asked_names, further_questions, recorded_elsewhere
from haleward.web.prescription.forms import by_exception, day_inputs

# A supervised session is not written down reading by reading yet, nor the room of a class; loads are chosen by the
# plan, which asks the resistance rules itself; a home plan does not ask for a blood pressure.
NOT_ASKED_YET = {
    "R068", "R069", "R070", "R071", "R075", "R076", "R077", "R078", "R079", "R080", "R081", "R082", "R086", "R087",
    "R089", "R099", "R100", "R101", "R102", "R104", "R120", "R122", "R123",
}  # fmt: skip


def asked_somewhere(protocol: Protocol) -> set[str]:
    """Every input that the assessment, the check of the day or the person's own check can answer."""
    checks = {
        name for check in protocol.checks for name in (*check.answers_yes, *check.answers_no, check.input) if name
    }
    day = {*day_inputs({}, protocol), *by_exception({}, protocol)}
    return {*asked_names(further_questions(protocol)), *recorded_elsewhere(), *COMPUTED, *day, *checks}


@pytest.mark.parametrize("country", ["UK", "US", "EU"])
def test_every_rule_can_be_answered_on_a_screen_or_is_listed_as_not_yet_asked(country: str) -> None:
    protocol = default_protocol(country)  # type: ignore[arg-type]
    asked = asked_somewhere(protocol)
    reported = {rule_id for symptom in protocol.concerns.symptoms for rule_id in symptom.ids}
    dead = {rule.id for rule in protocol.rules if set(inputs_of(rule.condition)) - asked and rule.id not in reported}
    assert dead == NOT_ASKED_YET & {rule.id for rule in protocol.rules}

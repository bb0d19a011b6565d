"""Every missing input has a question to ask, in words that exist."""

from haleward.safety.inputs import default_inputs
from haleward.web.assessment.questions import WORDING, asked_for


def test_every_input_has_a_question() -> None:
    names = (*default_inputs(), *WORDING)
    questions = asked_for(names)
    assert questions
    assert [question for question in questions if not question.rstrip(".").strip()] == []
    assert [question for question in questions if "{" in question] == []

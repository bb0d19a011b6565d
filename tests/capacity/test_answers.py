"""Whatever is told with a number stays as it was read: words, working, source, caution, question."""

from __future__ import annotations

import pytest

from tests.capacity.answers import answer, cases, held

CASES, HELD = cases(), held()


@pytest.mark.parametrize("name", CASES)
def test_an_answer_in_full_is_the_one_that_was_read(name: str) -> None:
    assert answer(CASES[name]).strip() == HELD[name].strip(), "read tests/capacity/answers.py on what to do"


def test_no_answer_is_held_for_a_case_that_is_gone() -> None:
    assert list(HELD) == list(CASES)

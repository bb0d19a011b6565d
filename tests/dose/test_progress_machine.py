"""The decision behind every proposal, over every set of signals there can be."""

from __future__ import annotations

from itertools import combinations
from pathlib import Path
from runpy import run_path
from typing import get_args

from haleward.dose.progress_machine import ROWS, Signal, decide, standing

SIGNALS: tuple[Signal, ...] = get_args(Signal)
EASIER = ("swap", "step_back", "ease")
RANK = {row.signal: place for place, row in enumerate(ROWS)}
PAGE = Path(__file__).parents[2] / "docs" / "progression.md"
# What the logs or the record can undo, and how; nothing may be missing here, or it would hold for ever.
WAY_ON = {
    "movement_gone": "a swap, a release or kit",
    "posture_gone": "a swap or a new assessment",
    "load_gone": "the lighter load",
    "paused": "a session",
    "ill": "the step back, or sessions that go well",
    "medicine": "the step back, or sessions that go well",
    "restricted": "the step back, or sessions that go well",
    "hard_early": "the easier dose, or a session that is not",
    "hard_often": "the easier dose, or sessions that are not",
    "sore": "a session without soreness",
    "thin": "a session",
    "effort_missing": "sessions with efforts",
    "felt_hard": "sessions that do not",
    "not_done": "sessions done in full",
    "effort_high": "sessions that are easier",
    "top": "kit or a wider limit; until then the aim is reached",
    "small_step": "a smaller load at home",
    "large_step": "a smaller load at home",
    "self_report": "a session seen by staff",
    "obstacle": "what each obstacle says of itself",
    "easing": "the other line's step",
    "unsettled": "a session",
    "not_first": "the other line's raise",
}


class FromHere:
    """Every set of signals whose first is ``signal``: the later ones are unknown; asking for one is an error."""

    def __init__(self, signal: Signal) -> None:
        self.place = RANK[signal]

    def __contains__(self, other: object) -> bool:
        if RANK[other] > self.place:  # type: ignore[index]
            raise AssertionError(f"The decision looks at {other} although an earlier signal is present.")
        return RANK[other] == self.place  # type: ignore[index]


def test_every_set_of_signals_is_decided_by_its_first_and_only_the_empty_one_raises() -> None:
    """All sets there are: each has a first signal, and the decision is shown to look at nothing after it."""
    assert decide(()).verdict == "raise"
    for signal in SIGNALS:
        found = decide(FromHere(signal))  # type: ignore[arg-type]
        assert found.signal == signal
        assert found.verdict != "raise"


def test_the_rows_are_the_signals_each_once_and_the_raise_comes_last() -> None:
    assert tuple(row.signal for row in ROWS) == (*SIGNALS, None)
    assert [row.verdict for row in ROWS].count("raise") == 1
    assert ROWS[-1].verdict == "raise"


def test_one_more_signal_never_leads_from_an_easier_dose_to_a_raise_or_from_a_hold_to_a_raise() -> None:
    for one in SIGNALS:
        for other in SIGNALS:
            assert RANK[decide({one, other}).signal] <= RANK[decide({one}).signal]
            if decide({one}).verdict in EASIER:
                assert decide({one, other}).verdict in EASIER


def test_whatever_eases_comes_before_whatever_holds() -> None:
    verdicts = [row.verdict for row in ROWS]
    last_ease = max(place for place, verdict in enumerate(verdicts) if verdict in EASIER)
    assert "hold" not in verdicts[:last_ease]


def test_every_signal_has_a_way_on() -> None:
    assert set(WAY_ON) == set(SIGNALS)


def test_what_stands_against_a_raise_is_told_in_full_and_in_order() -> None:
    for one, other in combinations(SIGNALS, 2):
        assert standing({other, one}) == (one, other)


def test_the_page_on_progression_draws_these_states() -> None:
    assert PAGE.read_text(encoding="utf-8") == run_path(str(PAGE.with_name("build_progression.py")))["page"]()

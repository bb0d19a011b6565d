"""The decision behind every proposal: an ordered list of what may stand against a raise, and what follows from each.

A line is one exercise or the walking. Whatever is true of it is a set of signals; the first row whose signal is in the
set decides, and a line without any signal is raised. So a raise needs every signal to be absent, and a row that eases
comes before all that hold. The list is the state machine: docs/progression.md draws it, and the tests go through every
set of signals.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from typing import Literal

Verdict = Literal["swap", "step_back", "ease", "hold", "raise"]
Signal = Literal[
    "movement_gone",
    "posture_gone",
    "load_gone",
    "paused",
    "ill",
    "medicine",
    "restricted",
    "hard_early",
    "hard_often",
    "sore",
    "thin",
    "effort_missing",
    "felt_hard",
    "not_done",
    "effort_high",
    "top",
    "small_step",
    "large_step",
    "self_report",
    "obstacle",
    "easing",
    "unsettled",
    "not_first",
]


@dataclass(frozen=True)
class Row:
    """One signal: what follows from it, the rule behind it, and what it means in words (docs/progression.md)."""

    signal: Signal | None  # None: the last row, nothing stands against a raise
    verdict: Verdict
    rule_id: str
    meaning: str


ROWS: tuple[Row, ...] = (
    Row("movement_gone", "swap", "progression.swap", "the movement can no longer be used"),
    Row("posture_gone", "swap", "progression.swap", "the posture can no longer be used"),
    Row("load_gone", "ease", "progression.limits", "the load is no longer among what may be used"),
    Row("paused", "step_back", "progression.gap_step_back_days", "a long pause"),
    Row("ill", "step_back", "progression.step_back_after", "an illness was reported"),
    Row("medicine", "step_back", "progression.step_back_after", "a medicine that changes the pulse was changed"),
    Row("restricted", "step_back", "progression.step_back_after", "a new restriction concerns it"),
    Row("hard_early", "ease", "progression.hard_by_repetition", "hard within the first repetitions"),
    Row("hard_often", "ease", "progression.hard_sessions", "over the effort range too often"),
    Row("sore", "ease", "progression.sore_days", "sore for longer than normal"),
    Row("thin", "hold", "progression.sessions_needed", "too few sessions that count"),
    Row("effort_missing", "hold", "progression.effort_missing", "an effort is missing"),
    Row("felt_hard", "hold", "progression.felt_hard", "a set was marked too hard, or hard too soon"),
    Row("not_done", "hold", "progression.all_sets_done", "a set was not done as planned"),
    Row("effort_high", "hold", "progression.effort_at_most", "an effort is over what allows a raise"),
    Row("top", "hold", "progression.limits", "no step is left within the limits"),
    Row("small_step", "hold", "progression.small_muscle_step_kg", "the next load is too big a step"),
    Row("large_step", "hold", "progression.load_step_most_kg", "the next load of a large muscle is too big a step"),
    Row("self_report", "hold", "progression.self_report_raises_load", "nobody of the staff saw a session"),
    Row("obstacle", "hold", "progression.one_change", "something stands against the whole programme"),
    Row("easing", "hold", "progression.one_change", "another line is eased, stepped back or swapped"),
    Row("unsettled", "hold", "progression.sessions_between_raises", "no session yet since the last change"),
    Row("not_first", "hold", "progression.one_change", "another line felt easier and is raised first"),
    Row(None, "raise", "", "nothing stands against it"),
)


def decide(signals: Collection[Signal]) -> Row:
    """The first row whose signal is present; the last row, a raise, when none is."""
    return next((row for row in ROWS if row.signal in signals), ROWS[-1])


def standing(signals: Collection[Signal]) -> tuple[Signal, ...]:
    """Every signal present, in the order of the rows: all that would have to change."""
    return tuple(row.signal for row in ROWS if row.signal is not None and row.signal in signals)

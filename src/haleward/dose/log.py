"""What was really done and felt, and what follows from it. Blank is not zero: ``None`` means not given."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal

from haleward.dose.model import Dose, Exercise

Origin = Literal["person", "carer", "staff", "recording"]
Feel = Literal["", "too_hard", "too_easy", "skipped"]


@dataclass(frozen=True)
class SetLog:
    """One set as reported."""

    movement_id: str
    exercise_index: int
    set_number: int
    repetitions: int | None = None
    effort: float | None = None
    feel: Feel = ""


@dataclass(frozen=True)
class SessionLog:
    """One session as reported. ``symptoms`` holds wording topics (e.g. "chest discomfort"); any one stops a raise."""

    session_id: str
    plan_version: int
    part_key: str
    started_at: datetime
    ended_at: datetime | None = None
    origin: Origin = "person"
    sets: tuple[SetLog, ...] = ()
    symptoms: tuple[str, ...] = ()
    stopped_by_check: bool = False
    whole_effort: float | None = None
    sore_days: float | None = None


ProposalKind = Literal[
    "raise_repetitions",
    "raise_hold",
    "raise_load",
    "raise_set",
    "raise_minutes",
    "raise_posture",
    "hold",
    "ease",
    "step_back",
    "swap",
    "review",
]


@dataclass(frozen=True)
class Proposal:
    """The next dose the protocol suggests for one exercise (or the whole programme: ``exercise_index`` -1)."""

    kind: ProposalKind
    part_key: str
    exercise_index: int
    movement_id: str
    before: Dose | None
    after: Dose | None
    reason: str
    rule_id: str
    made_on: date
    evidence: tuple[str, ...] = ()  # session ids
    replacement: Exercise | None = None  # for a swap: what takes its place

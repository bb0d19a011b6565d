"""What was really done and felt, and what follows from it. Blank is not zero: ``None`` means not given."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Literal

from haleward.dose.model import Dose, Exercise, Walking

Origin = Literal["person", "carer", "paper", "staff", "recording"]  # paper: told on paper, typed in by staff
Feel = Literal["", "too_hard", "too_easy", "skipped"]
LoadChange = Literal["", "lighter", "heavier"]
Outcome = Literal["", "as_planned", "part", "not_done"]
WALK = "walk"  # the part key of a walking session; its sets are the bouts


@dataclass(frozen=True)
class SetLog:
    """One set as reported. ``hard_at`` is the repetition at which it first felt hard; ``minutes`` those of a bout.

    ``load_change`` says that the person used another load than the plan has.
    """

    movement_id: str
    exercise_index: int
    set_number: int
    repetitions: int | None = None
    effort: float | None = None
    feel: Feel = ""
    hard_at: int | None = None
    minutes: float | None = None
    load_change: LoadChange = ""


@dataclass(frozen=True)
class SessionLog:
    """One session as reported. ``symptoms`` holds wording topics (e.g. "chest discomfort"); any one stops a raise.

    ``outcome`` is what was told afterwards, "" for a session that was played; ``reason`` why it was not done, if told.
    A ``back_dated`` session was added on a later day: its time of day is not known. ``outside`` is no session at all: a
    symptom that was told by itself.
    """

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
    sore_places: tuple[str, ...] = ()
    outcome: Outcome = ""
    reason: str = ""
    back_dated: bool = False
    heart_rate_bpm: int | None = None  # at the end of the effort, as counted by whoever tells
    outside: bool = False

    @property
    def missed(self) -> bool:
        """Told as not done, with nothing else to say: no exercise, and nothing that speaks for or against any."""
        return self.outcome == "not_done" and not (self.sets or self.symptoms) and self.sore_days is None


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
    "stagnant",
]


@dataclass(frozen=True)
class Proposal:
    """The next dose the protocol suggests for one exercise, for walking, or for the whole programme.

    ``exercise_index`` is -1 for walking (``part_key`` :data:`WALK`) and for the whole programme. ``used`` tells the
    data it rests on and ``otherwise`` what would have changed it, a sentence each.
    """

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
    replacement: Exercise | None = None  # for a swap or another posture: what takes its place
    walking_before: Walking | None = None
    walking_after: Walking | None = None
    used: tuple[str, ...] = field(default=(), repr=False)  # words only: two proposals differ by what they propose
    otherwise: str = field(default="", repr=False)

    @property
    def changes(self) -> bool:
        """Whether accepting it makes another programme."""
        return not (self.after is None and self.replacement is None and self.walking_after is None)

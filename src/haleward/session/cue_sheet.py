"""The cue sheet: everything said, counted, shown and asked in one session, with exact times.

One sheet drives the page, the booklet, captions and (later) voice and film, so that they cannot disagree.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from haleward.record import Posture

FORMAT = "haleward-cue-sheet/1"

CueKind = Literal["say", "count", "show", "breathe"]
BlockKind = Literal["welcome", "ready", "warm_up", "setup", "set", "rest", "ask_effort", "walk", "cool_down", "close"]


@dataclass(frozen=True)
class Cue:
    """One thing that happens ``start_ms`` after the session starts (rests and questions at their planned length).

    "say" and "count" are spoken and never overlap; "show" (the figure) and "breathe" (a line) are only seen. A count
    without text and length is not spoken: the session is told without counting aloud.
    ``pose_from``/``pose_to`` are shares of one repetition's loop for "show" cues: 0 the start pose, 0.5 the turning
    point, 1 back at the start.
    """

    start_ms: int
    length_ms: int
    kind: CueKind
    text: str = ""
    wording_key: str = ""
    repetition: int = 0
    side: str = ""  # "left", "right" or ""
    pose_from: float = 0.0
    pose_to: float = 0.0


@dataclass(frozen=True)
class Block:
    """A stretch of the session that plays, waits or asks as one."""

    kind: BlockKind
    start_ms: int
    length_ms: int
    cues: tuple[Cue, ...]
    exercise: int = -1  # index into CueSheet.exercises, -1 for none
    set_number: int = 0
    title: str = ""
    lines: tuple[str, ...] = ()  # text shown on the page for the whole block, in order
    frame: int = -1  # index into CueSheet.frame, for a block of the warm-up or the cool-down; -1 for none


@dataclass(frozen=True)
class SheetExercise:
    """What page and print need about one exercise besides its blocks."""

    movement_id: str
    posture: Posture
    title: str
    purpose: str
    setup: tuple[str, ...]
    breathing: str
    kit_line: str  # e.g. "Hold one hand weight in each hand."
    load_text: str  # e.g. "1 kg in each hand", "own weight"
    dose_text: str  # e.g. "2 sets of 10"
    easier: str
    harder: str
    faults: tuple[str, ...]
    stop_if: str
    alt_start: str
    alt_end: str
    low_vision: str
    kit: str  # KitKind, drives what is drawn
    band_setup: str
    sets: int
    repetitions: int
    each_side: bool
    out_s: float
    pause_s: float
    back_s: float
    hold_s: float
    rest_s: int
    drawn_kit: str = ""  # scene kit to draw, chosen by the movement room
    new: bool = False
    why: tuple[str, ...] = ()
    side: str = ""  # done with this arm only
    harder_agreed: bool = False  # the lead agreed that this person may do the harder version

    @property
    def told(self) -> str:
        """Movement, dose and load in one line, for lists of what a session holds; a walk has no load."""
        load = f" {self.load_text}." if self.repetitions or self.hold_s else ""
        return f"{self.title}: {self.dose_text}.{load}"


@dataclass(frozen=True)
class CueSheet:
    """One session of one programme version, immutable and serialisable."""

    format: str
    sheet_id: str
    person_id: str
    first_name: str
    plan_version: int
    part_key: str
    made_on: str  # ISO date
    protocol: str  # "id, version"
    exercises: tuple[SheetExercise, ...]
    blocks: tuple[Block, ...]
    length_ms: int
    effort_low: float
    effort_high: float
    effort_scale: str
    effort_anchors: tuple[tuple[int, str], ...]
    before_lines: tuple[str, ...]
    after_lines: tuple[str, ...]
    plan_line: str
    how_hard: tuple[str, ...] = ()
    rate_ceiling: str = ""  # the heart rate not to go over, as digits; "" where heart rate is not used
    frame: tuple[SheetExercise, ...] = ()  # what warm-up and cool-down are made of, apart from the programme's lines
    listener: str = "self"  # or "carer": told to someone beside the person
    low_vision: bool = False  # every movement is described in words
    language: str = "en-GB"  # of the words that are shown; what is spoken stays English
    translation: tuple[tuple[str, str], ...] = ()  # English text and what is shown for it, where they differ

"""The cue sheet as a strip to read: each stretch with its time, its picture and what is said in it."""

from __future__ import annotations

from dataclasses import dataclass, field

from haleward.session.cue_sheet import Block, CueSheet, SheetExercise

KINDS = {
    "welcome": "Welcome",
    "ready": "Getting ready",
    "warm_up": "Warming up",
    "setup": "Taking one's place",
    "set": "Set",
    "rest": "Rest",
    "ask_effort": "Asking how hard",
    "walk": "Walk",
    "cool_down": "Slowing down",
    "close": "Ending",
}


@dataclass(frozen=True)
class Stretch:
    """One block: ``at`` is minutes and seconds from the start, ``lines`` what is said, ``counts`` what is counted."""

    index: int
    at: str
    length: str
    kind: str
    heading: str
    lines: tuple[str, ...]
    counts: str


@dataclass
class Scene:
    """Stretches that belong to one exercise (``exercise`` None: the beginning or the end)."""

    exercise: SheetExercise | None
    at: str
    stretches: list[Stretch] = field(default_factory=list)

    @property
    def kit(self) -> str:
        """The kit to draw the picture with."""
        return self.exercise.kit if self.exercise else ""


def clock(milliseconds: int) -> str:
    """12:05 for twelve minutes and five seconds."""
    seconds = round(milliseconds / 1000)
    return f"{seconds // 60}:{seconds % 60:02d}"


def scenes_of(sheet: CueSheet) -> list[Scene]:
    """The strip, in order."""
    scenes: list[Scene] = []
    last: int | None = None
    for index, block in enumerate(sheet.blocks):
        if not scenes or block.exercise != last:
            exercise = sheet.exercises[block.exercise] if block.exercise >= 0 else None
            scenes.append(Scene(exercise, clock(block.start_ms)))
            last = block.exercise
        scenes[-1].stretches.append(_stretch(index, block))
    return scenes


def _stretch(index: int, block: Block) -> Stretch:
    spoken = tuple(dict.fromkeys(cue.text for cue in block.cues if cue.kind == "say"))
    counted = [cue.text for cue in block.cues if cue.kind == "count" and cue.text]
    heading = f"{KINDS[block.kind]} {block.set_number}" if block.kind == "set" else KINDS[block.kind]
    return Stretch(
        index=index,
        at=clock(block.start_ms),
        length=f"{round(block.length_ms / 1000)} s",
        kind=block.kind,
        heading=heading,
        lines=spoken,
        counts=f"counts {counted[0]} to {counted[-1]}" if len(counted) > 1 else "",
    )

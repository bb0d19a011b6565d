"""What every block of one session is built from: the words, the values that fill them, the turn of the variants."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from haleward.dose.model import Exercise
from haleward.session.cue_sheet import Cue, SheetExercise
from haleward.session.options import USUAL, SessionOptions
from haleward.session.rotation import Rotation
from haleward.session.timing import Track, speech_ms
from haleward.wording import MovementWording, Wording

CARER = "_carer"  # a line whose key ends so stands in for the one without, when a carer is told

READ_ALOUD = "setup_carer_read"


@dataclass(frozen=True)
class Context:
    """The words of one session and the values that fill their placeholders."""

    wording: Wording
    values: Mapping[str, str]
    rotation: Rotation
    options: SessionOptions = USUAL

    def text(self, key: str, **extra: str) -> str:
        """The sentence ``key`` filled from the session's values and ``extra``; told to a carer, in words for them."""
        values = {**self.values, **extra}
        theirs = f"{key}{CARER}"
        told = self.options.listener == "carer" and self.wording.has_key(theirs)
        return self.wording.text(theirs if told else key, values)

    @property
    def read_aloud(self) -> tuple[str, ...]:
        """What comes before lines that a movement says to "you": a carer reads them to the person."""
        return (self.text(READ_ALOUD),) if self.options.listener == "carer" else ()

    def has(self, key: str) -> bool:
        """Whether ``key`` can be filled from the session's values."""
        return self.wording.has_values(key, self.values)

    def say(self, track: Track, key: str, **extra: str) -> str:
        """Say one sentence on ``track`` and return it."""
        sentence = self.text(key, **extra)
        track.say(sentence, key=key)
        return sentence

    def cue(self, key: str, *, at_ms: int) -> Cue:
        """One sentence at a moment that is known to be quiet."""
        sentence = self.text(key)
        return Cue(at_ms, speech_ms(sentence), "say", sentence, key)

    def say_next(self, track: Track, family: str, *, when: Collection[str] = (), **extra: str) -> str:
        """Say the next variant of a family on ``track`` and return it."""
        key = self.rotation.next(family, values={**self.values, **extra}, when=when)
        return self.say(track, key, **extra)

    def fitting(self, track: Track, family: str, *, at_ms: int, until_ms: int, when: Collection[str] = ()) -> str:
        """The key of the least used variant short enough for the window; "" if none is."""
        keys = self.rotation.choices(family, values=self.values, when=when)
        for key in keys:
            start_ms = max(at_ms, track.now_ms)
            if start_ms + speech_ms(self.text(key)) <= until_ms:
                return self.rotation.use(key)
        return ""


@dataclass(frozen=True)
class Planned:
    """One exercise of the programme with its words: everything its blocks need."""

    index: int
    exercise: Exercise
    sheet: SheetExercise
    words: MovementWording
    circumstances: frozenset[str]  # which variants suit it, as named in data/wording/variants.csv
    minutes: int = 0  # of a movement of the warm-up or the cool-down
    reminders: str = ""  # the family of lines said on the way

    @property
    def sides(self) -> tuple[str, ...]:
        """The sides in turn; one nameless side for a movement done with both, one arm where only one may."""
        if self.exercise.side is not None:
            return (self.exercise.side,)
        return ("left", "right") if self.exercise.each_side else ("",)

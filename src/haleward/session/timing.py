"""How long words take to say, and a track on which cues are laid without one talking over another."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from haleward.session.cue_sheet import Cue, CueKind
from haleward.wording import spoken

WORDS_PER_MINUTE = 150  # clear speech to older listeners; the wording tables are checked at the same rate
MS_PER_WORD = 60_000 // WORDS_PER_MINUTE
MS_PER_LETTER, MS_AROUND, MS_PER_STOP = 56, 60, 300  # what the slowest words of the voice that ships need, said briskly
GAP_MS = 600  # silence between two sentences
COUNTDOWN_MS = 4_000  # "Three, two, one, and begin", one number a second

_STOP = re.compile(r"[.:;?!]")
_WORD = re.compile(r"[^\W\d_]+(?:['’][^\W\d_]+)?|\d+")


def milliseconds(seconds: float) -> int:
    """Seconds as whole milliseconds."""
    return round(seconds * 1000)


def spoken_words(text: str) -> int:
    """How many words ``text`` has when said aloud: 45 counts as "forty five"."""
    return sum(_words_in(word) for word in _WORD.findall(text))


def speech_ms(text: str) -> int:
    """How long ``text`` takes to say at :data:`WORDS_PER_MINUTE`, or longer for long words ("seventeen"). [ms]"""
    stops = len(_STOP.findall(text.strip()[:-1]))
    letters_ms = len(text) * MS_PER_LETTER + MS_AROUND + stops * MS_PER_STOP
    return max(spoken_words(text) * MS_PER_WORD, letters_ms) if text else 0


def _words_in(word: str) -> int:
    if not word.isdigit():
        return 1
    if int(word) < 1000:
        return len(spoken(int(word)).split())
    return len(word)  # longer numbers, such as a telephone number, are said digit by digit


@dataclass
class Track:
    """Cues of one block, timed from the start of the block, while it is being built.

    ``now_ms`` is where the next sentence may start; spoken cues ("say", "count") never overlap.
    """

    cues: list[Cue] = field(default_factory=list)
    now_ms: int = 0

    def wait(self, length_ms: int) -> None:
        """Leave a silence."""
        self.now_ms += length_ms

    def wait_until(self, at_ms: int) -> None:
        """Leave a silence up to ``at_ms``; nothing happens if that is past."""
        self.now_ms = max(self.now_ms, at_ms)

    def say(self, text: str, *, key: str = "", side: str = "", length_ms: int | None = None) -> None:
        """Say ``text`` now and leave the usual gap after it."""
        length = speech_ms(text) if length_ms is None else length_ms
        self.cues.append(Cue(self.now_ms, length, "say", text, key, side=side))
        self.now_ms += length + GAP_MS

    def say_exactly(
        self, text: str, *, at_ms: int, key: str = "", kind: CueKind = "say", repetition: int = 0, side: str = ""
    ) -> None:
        """Say ``text`` at ``at_ms``, which must not be before ``now_ms``, with no gap after it."""
        if at_ms < self.now_ms:
            raise ValueError(f'"{text}" at {at_ms} ms would talk over what is said until {self.now_ms} ms.')
        length = speech_ms(text)
        self.cues.append(Cue(at_ms, length, kind, text, key, repetition, side))
        self.now_ms = at_ms + length

    def fits(self, text: str, *, at_ms: int, until_ms: int) -> bool:
        """Whether ``text`` can be said from ``at_ms`` (or as soon as it is quiet) and end by ``until_ms``."""
        return max(at_ms, self.now_ms) + speech_ms(text) <= until_ms

    def show(
        self, *, at_ms: int, length_ms: int, pose_from: float, pose_to: float, repetition: int = 0, side: str = ""
    ) -> None:
        """Run the figure from one share of its loop to another."""
        cue = Cue(at_ms, length_ms, "show", repetition=repetition, side=side, pose_from=pose_from, pose_to=pose_to)
        self.cues.append(cue)

    def breathe(self, text: str, *, at_ms: int, length_ms: int, repetition: int = 0, side: str = "") -> None:
        """Show a breathing line; it is not spoken."""
        self.cues.append(Cue(at_ms, length_ms, "breathe", text, "breathing", repetition, side))

    def ordered(self) -> tuple[Cue, ...]:
        """The cues by start time; at one instant what is spoken comes first."""
        rank = {"count": 0, "say": 1, "breathe": 2, "show": 3}
        return tuple(sorted(self.cues, key=lambda cue: (cue.start_ms, rank[cue.kind])))

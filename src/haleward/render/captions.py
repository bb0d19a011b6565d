"""What is said, as text with times: WebVTT beside the film, the same lines inside it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from haleward.render.sound import with_room
from haleward.session.cue_sheet import CueSheet

SHORTEST_MS = 900  # a caption stays at least so long, if the next one leaves it the time
LONGEST_MS = 7_000


@dataclass(frozen=True)
class Caption:
    """One line of text and when it is seen."""

    start_ms: int
    end_ms: int
    text: str


def captions(sheet: CueSheet) -> Iterator[Caption]:
    """A caption for each sentence that is said; none overlaps the next."""
    for cue, room_ms in with_room(sheet):
        length_ms = min(room_ms, max(cue.length_ms, SHORTEST_MS), LONGEST_MS)
        yield Caption(cue.start_ms, cue.start_ms + length_ms, cue.text)


def web_vtt(sheet: CueSheet) -> str:
    """The captions as WebVTT, in the language that the sheet is shown in."""
    lines, shown = ["WEBVTT", ""], dict(sheet.translation)
    for one in captions(sheet):
        text = shown.get(one.text, one.text).replace("&", "&amp;").replace("<", "&lt;").replace("-->", "→")
        lines += [f"{_stamp(one.start_ms)} --> {_stamp(one.end_ms)}", text, ""]
    return "\n".join(lines)


def _stamp(at_ms: int) -> str:
    seconds, ms = divmod(at_ms, 1000)
    return f"{seconds // 3600:02d}:{seconds // 60 % 60:02d}:{seconds % 60:02d}.{ms:03d}"

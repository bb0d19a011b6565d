"""The blocks around the sets: welcome, getting ready, setting up, the effort question, rest and the close."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

from haleward.session.context import Context, Planned
from haleward.session.cue_sheet import Block
from haleward.session.timing import Track, milliseconds

SETTLE_MS = 5_000  # planned time to take one's place after the set-up words
ANSWER_MS = 10_000  # planned time to choose an effort number
REST_CLOSE_MS = 10_000  # the rest's last words come this long before its end
_POSITION = {"seated": "position_sit", "hand_supported": "position_hold", "standing": "position_stand"}


def welcome_block(context: Context, *, minutes: int, exercise_count: int, has_goal: bool) -> Block:
    """Name, what is planned today with its real minutes, and the person's goal."""
    track = Track()
    lines = [context.say_next(track, "welcome")]
    if exercise_count:
        count = {"exercise_count": str(exercise_count), "minutes": str(minutes)}
        lines.append(context.say(track, "session_outline", **count))
    if has_goal:
        lines.append(context.say(track, "goal_reminder"))
    return Block("welcome", 0, track.now_ms, track.ordered(), lines=tuple(lines))


def ready_block(context: Context, keys: tuple[str, ...]) -> Block:
    """The lines before the start, one after another."""
    track = Track()
    lines = tuple(context.say(track, key) for key in (*keys, "check_done"))
    title = context.text("ready_heading")
    return Block("ready", 0, track.now_ms, track.ordered(), title=title, lines=lines)


def told_block(context: Context, heading: str, lines: tuple[str, ...]) -> Block:
    """Lines to read and hear before the start, under their own heading."""
    track = Track()
    for line in lines:
        track.say(line, key=heading)
    return Block("ready", 0, track.now_ms, track.ordered(), title=context.text(heading), lines=lines)


def setup_block(planned: Planned, context: Context) -> Block:
    """How to take one's place for a movement."""
    track, sheet = Track(), planned.sheet
    track.say(f"{sheet.title}.", key="title")
    lines = (*sheet.setup, sheet.kit_line, sheet.band_setup)
    for line in lines:
        if line:
            track.say(line, key="setup")
    context.say(track, _POSITION[sheet.posture])
    track.wait(SETTLE_MS)
    shown = tuple(line for line in lines if line)
    return Block("setup", 0, track.now_ms, track.ordered(), planned.index, title=sheet.title, lines=shown)


def effort_block(context: Context, family: str, *, exercise: int, set_number: int) -> Block:
    """The effort question after a set, with time to answer."""
    track = Track()
    line = context.say_next(track, family)
    track.wait(ANSWER_MS)
    title = context.text("effort_heading")
    return Block("ask_effort", 0, track.now_ms, track.ordered(), exercise, set_number, title, (line,))


def rest_block(planned: Planned, set_number: int, context: Context, *, following: Planned | None) -> Block:
    """The rest after a set: what the movement is good for, then (before a new movement) what comes next.

    The block lasts exactly the rest of the dose. A line that no longer fits is left out, never squeezed in.
    """
    rest_s = planned.exercise.dose.rest_s
    here = replace(context, values={**context.values, "rest_seconds": str(rest_s)})
    length_ms = milliseconds(rest_s)
    close_ms = max(0, length_ms - REST_CLOSE_MS)
    track = Track()
    opener = here.fitting(track, "rest_open", at_ms=0, until_ms=close_ms, when=planned.circumstances)
    if opener:
        here.say(track, opener)
    whys = {1: planned.words.why_told_in_rest, 2: planned.words.why_told_in_rest_2}
    _say_if_it_fits(track, whys.get(set_number, ""), "why", close_ms)
    if following:
        coming = replace(here, values={**here.values, "movement_title": following.sheet.title})
        key = coming.fitting(track, "next_movement", at_ms=track.now_ms, until_ms=close_ms)
        if key:
            coming.say(track, key)
        _say_if_it_fits(track, following.sheet.kit_line, "kit", close_ms)
    lines = tuple(cue.text for cue in track.cues)
    close_rest(track, here, length_ms, when=planned.circumstances)
    title = here.text("rest_heading")
    return Block("rest", 0, length_ms, track.ordered(), planned.index, set_number, title, lines)


def close_rest(track: Track, context: Context, length_ms: int, *, when: Collection[str] = ()) -> None:
    """The last words of a rest, ten seconds before its end."""
    close_ms = max(0, length_ms - REST_CLOSE_MS)
    closer = context.fitting(track, "rest_close", at_ms=close_ms, until_ms=length_ms, when=when)
    if closer:
        track.wait_until(close_ms)
        context.say(track, closer)


def _say_if_it_fits(track: Track, text: str, key: str, until_ms: int) -> None:
    if text and track.fits(text, at_ms=track.now_ms, until_ms=until_ms):
        track.say(text, key=key)


def close_block(context: Context, after_keys: tuple[str, ...]) -> Block:
    """Slow down, sit, and what to do on the days after."""
    track = Track()
    for key in ("next_cool_down", "cool_down_why"):
        context.say(track, key)
    done = context.say_next(track, "session_done")
    lines = tuple(context.say(track, key) for key in after_keys)
    return Block("close", 0, track.now_ms, track.ordered(), title=context.text("end_heading"), lines=(done, *lines))

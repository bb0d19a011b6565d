"""The blocks around the sets: welcome, getting ready, setting up, the effort question, rest and the close."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

from haleward.session.context import Context, Planned
from haleward.session.cue_sheet import Block
from haleward.session.timing import GAP_MS, Track, milliseconds, speech_ms

SETTLE_MS = 5_000  # planned time to take one's place after the set-up words
ANSWER_MS = 10_000  # planned time to choose an effort number
REST_CLOSE_MS = 10_000  # the rest's last words come this long before its end
_POSITION = {"seated": "position_sit", "hand_supported": "position_hold", "standing": "position_stand"}


def welcome_block(context: Context, *, minutes: int, exercise_count: int, has_goal: bool) -> Block:
    """Name, what is planned today with its real minutes, and the person's goal."""
    track = Track()
    carer = context.options.listener == "carer" and context.has("welcome_carer")
    lines = [context.say(track, "welcome_carer") if carer else context.say_next(track, "welcome")]
    if exercise_count:
        count = {"exercise_count": str(exercise_count), "minutes": str(minutes)}
        lines.append(context.say(track, "session_outline", **count))
    if has_goal and context.options.talk != "few":
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
    lines = (*context.read_aloud, *sheet.setup, sheet.kit_line, sheet.band_setup)
    for line in lines:
        if line:
            track.say(line, key="setup")
    if context.options.low_vision and sheet.low_vision:
        lines = (*lines, sheet.low_vision)
        track.say(sheet.low_vision, key="low_vision")
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

    The block lasts the rest of the dose, and longer only where its words need it: a longer rest is always allowed,
    words squeezed in or left out are not. The opening line is said only where the rest of the dose has room for it.
    """
    rest_s = planned.exercise.dose.rest_s
    here = replace(context, values={**context.values, "rest_seconds": str(rest_s)})
    needed = _needed_in_rest(planned, set_number, here, following)
    needed_ms = sum(speech_ms(text) + GAP_MS for _, text in needed)
    close_ms = max(0, milliseconds(rest_s) - REST_CLOSE_MS)
    track = Track()
    opener = here.fitting(track, "rest_open", at_ms=0, until_ms=close_ms - needed_ms, when=planned.circumstances)
    if opener:
        here.say(track, opener)
    for key, text in needed:
        track.say(text, key=key)
    lines = tuple(cue.text for cue in track.cues)
    length_ms = milliseconds(rest_s) if track.now_ms <= close_ms else max(milliseconds(rest_s), track.now_ms)
    close_rest(track, here, length_ms, when=planned.circumstances)
    title = here.text("rest_heading")
    return Block("rest", 0, length_ms, track.ordered(), planned.index, set_number, title, lines)


def _needed_in_rest(
    planned: Planned, set_number: int, context: Context, following: Planned | None
) -> list[tuple[str, str]]:
    """What a rest must have time for, as (key, text): the purpose, more where more is said, and what comes next."""
    words, talk = planned.words, context.options.talk
    told = (
        [] if talk == "few" else [("why", {1: words.why_told_in_rest, 2: words.why_told_in_rest_2}.get(set_number, ""))]
    )
    if talk == "more" and not following:
        told += [("fault", text) for text in planned.sheet.faults[set_number - 1 : set_number]]
        told += [("easier", planned.sheet.easier)] if set_number == 1 else []
    if following:
        coming = {**context.values, "movement_title": following.sheet.title}
        key = context.rotation.next("next_movement", values=coming)
        told += [(key, context.text(key, movement_title=following.sheet.title)), ("kit", following.sheet.kit_line)]
    return [(key, text) for key, text in told if text]


def close_rest(track: Track, context: Context, length_ms: int, *, when: Collection[str] = ()) -> None:
    """The last words of a rest, ten seconds before its end."""
    close_ms = max(0, length_ms - REST_CLOSE_MS)
    closer = context.fitting(track, "rest_close", at_ms=close_ms, until_ms=length_ms, when=when)
    if closer:
        track.wait_until(close_ms)
        context.say(track, closer)


def close_block(context: Context, after_keys: tuple[str, ...], *, cooled: bool = False) -> Block:
    """Slow down, unless the session has a cool-down of its own; sit, and what to do on the days after."""
    track = Track()
    for key in () if cooled else ("next_cool_down", "cool_down_why"):
        context.say(track, key)
    done = context.say_next(track, "session_done")
    lines = tuple(context.say(track, key) for key in after_keys)
    return Block("close", 0, track.now_ms, track.ordered(), title=context.text("end_heading"), lines=(done, *lines))

"""One set: the countdown, then every repetition (or hold) counted at the tempo of the dose."""

from __future__ import annotations

import re
from dataclasses import dataclass

from haleward.session.context import Context, Planned
from haleward.session.cue_sheet import Block, Cue
from haleward.session.options import telling
from haleward.session.timing import COUNTDOWN_MS, Track, milliseconds
from haleward.wording import spoken

_TURNING_POINT = 0.5  # share of the loop at which the figure turns back
_FEWEST_FOR_HALFWAY = 6  # in a shorter set the halfway line would crowd the last ones
_HOLD_TOLD_EVERY_MS = 10_000


@dataclass(frozen=True)
class _Phase:
    """One half of a repetition: its words, its breath, its length."""

    key: str
    text: str
    breath: str
    length_ms: int


def set_block(planned: Planned, set_number: int, context: Context) -> Block:
    """The block of one set, timed from its own start."""
    track = Track()
    _open(track, planned, set_number, context)
    for place, side in enumerate(planned.sides):
        if place:
            context.say_next(track, "change_sides", when=planned.circumstances)
        _count_down(track, side, context)
        if planned.exercise.dose.hold_s:
            _hold(track, planned, side, context)
        else:
            _repetitions(track, planned, side, context)
    context.say_next(track, "set_done", when=planned.circumstances)
    return Block(
        "set",
        0,
        track.now_ms,
        track.ordered(),
        planned.index,
        set_number,
        planned.sheet.title,
        (planned.sheet.breathing,),
    )


def _open(track: Track, planned: Planned, set_number: int, context: Context) -> None:
    """The words that open a second or later set."""
    last = {"last_set"} if set_number == planned.exercise.dose.sets else set()
    if set_number == 2:
        context.say_next(track, "set2_open", when=planned.circumstances)
    elif set_number > 2:
        context.say_next(track, "set3_open", when=planned.circumstances | last)


def _count_down(track: Track, side: str, context: Context) -> None:
    if side:
        key = f"side_{side}"
        track.say(context.text(key), key=key, side=side)
    track.say(context.text("start_3"), key="start_3", side=side, length_ms=COUNTDOWN_MS)


def _phases(planned: Planned) -> tuple[_Phase, _Phase]:
    """What is said and breathed from the start pose to the turning point, and back.

    A movement that works on the way back (``to_start``: a squat, a wall press) goes down first.
    """
    words, dose = planned.words, planned.exercise.dose
    work, ease = ("move_out", words.move_out), ("move_back", words.move_back)
    first, second = (work, ease) if words.effort_phase == "to_end" else (ease, work)
    breaths = re.findall(r"[^.]+\.", words.breathing)
    told_apart = len(breaths) == 2 and all(re.search(r"\bBreathe (in|out) as\b", breath) for breath in breaths)
    breath_out, breath_back = (b.strip() for b in breaths) if told_apart else (words.breathing, words.breathing)
    return (
        _Phase(*first, breath_out, milliseconds(dose.out_s)),
        _Phase(*second, breath_back, milliseconds(dose.back_s)),
    )


def _repetitions(track: Track, planned: Planned, side: str, context: Context) -> None:
    out, back = _phases(planned)
    pause_ms = milliseconds(planned.exercise.dose.pause_s)
    start_ms = track.now_ms
    for repetition in range(1, planned.exercise.dose.repetitions + 1):
        turn_ms = start_ms + out.length_ms
        back_ms = turn_ms + pause_ms
        end_ms = back_ms + back.length_ms
        _count(track, repetition, start_ms, side, context)
        _figure(track, out, back, start_ms, pause_ms, repetition, side)
        worded = context.options.talk != "few" or repetition <= telling("words_when_few")
        if worded:
            _word(track, out, at_ms=start_ms, until_ms=back_ms, repetition=repetition, side=side)
        line = _remark(track, planned, repetition, back_ms, end_ms, context)
        if line:
            _say_key(track, line, at_ms=back_ms, repetition=repetition, side=side, context=context)
        elif worded:
            _word(track, back, at_ms=back_ms, until_ms=end_ms, repetition=repetition, side=side)
        start_ms = end_ms
        track.wait_until(end_ms)


def _count(track: Track, repetition: int, at_ms: int, side: str, context: Context) -> None:
    key = f"count_{repetition}"
    if not context.options.count_aloud:
        track.cues.append(Cue(at_ms, 0, "count", "", key, repetition, side))
        return
    text = context.text(key) if context.wording.has_key(key) else spoken(repetition).capitalize()
    track.say_exactly(text, at_ms=at_ms, key=key, kind="count", repetition=repetition, side=side)


def _figure(track: Track, out: _Phase, back: _Phase, start_ms: int, pause_ms: int, repetition: int, side: str) -> None:
    """The figure goes out, waits and comes back; the breathing line changes with the turn."""
    turn_ms, back_ms = start_ms + out.length_ms, start_ms + out.length_ms + pause_ms
    parts = (
        (start_ms, out.length_ms, 0.0, _TURNING_POINT),
        (turn_ms, pause_ms, _TURNING_POINT, _TURNING_POINT),
        (back_ms, back.length_ms, _TURNING_POINT, 1.0),
    )
    for at_ms, length_ms, pose_from, pose_to in parts:
        if length_ms:
            track.show(
                at_ms=at_ms,
                length_ms=length_ms,
                pose_from=pose_from,
                pose_to=pose_to,
                repetition=repetition,
                side=side,
            )
    if out.breath == back.breath:
        whole_ms = out.length_ms + pause_ms + back.length_ms
        track.breathe(out.breath, at_ms=start_ms, length_ms=whole_ms, repetition=repetition, side=side)
    else:
        track.breathe(out.breath, at_ms=start_ms, length_ms=out.length_ms + pause_ms, repetition=repetition, side=side)
        track.breathe(back.breath, at_ms=back_ms, length_ms=back.length_ms, repetition=repetition, side=side)


def _word(track: Track, phase: _Phase, *, at_ms: int, until_ms: int, repetition: int, side: str) -> None:
    """The movement word of a phase, if it can be said before the phase ends."""
    if track.fits(phase.text, at_ms=at_ms, until_ms=until_ms):
        start_ms = max(at_ms, track.now_ms)
        track.say_exactly(phase.text, at_ms=start_ms, key=phase.key, repetition=repetition, side=side)


def _remark(track: Track, planned: Planned, repetition: int, at_ms: int, until_ms: int, context: Context) -> str:
    """The key of what is said in place of the second movement word: halfway, two more, last one, or a breath.

    When little is said only the last one is told; when more is said the pace is too.
    """
    count, talk = planned.exercise.dose.repetitions, context.options.talk
    if repetition == count - 1 and count > 2:
        family = "last_one"
    elif count < _FEWEST_FOR_HALFWAY or talk == "few":
        return ""
    elif repetition == count - 2:
        family = "two_more"
    elif repetition == count // 2:
        family = "halfway"
    elif repetition == 3 or (repetition > count // 2 and repetition == count - 4):
        family = "breathe"
    elif talk == "more" and repetition % telling("remark_when_more") == 0:
        family = "pace"
    else:
        return ""
    return context.fitting(track, family, at_ms=at_ms, until_ms=until_ms, when=planned.circumstances)


def _say_key(track: Track, key: str, *, at_ms: int, repetition: int, side: str, context: Context) -> None:
    start_ms = max(at_ms, track.now_ms)
    track.say_exactly(context.text(key), at_ms=start_ms, key=key, repetition=repetition, side=side)


def _hold(track: Track, planned: Planned, side: str, context: Context) -> None:
    """Go there, stay for the dose's seconds with the time left told, and come back."""
    out, back = _phases(planned)
    start_ms, hold_ms = track.now_ms, milliseconds(planned.exercise.dose.hold_s)
    turn_ms = start_ms + out.length_ms
    end_ms = turn_ms + hold_ms
    _word(track, out, at_ms=start_ms, until_ms=turn_ms, repetition=1, side=side)
    _figure(track, out, back, start_ms, hold_ms, 1, side)
    hold_word = planned.words.hold
    if hold_word and track.fits(hold_word, at_ms=turn_ms, until_ms=end_ms):
        track.say_exactly(hold_word, at_ms=max(turn_ms, track.now_ms), key="hold", repetition=1, side=side)
    for at_ms, key, text in _time_told(turn_ms, hold_ms, context):
        if at_ms >= track.now_ms and track.fits(text, at_ms=at_ms, until_ms=end_ms):
            track.say_exactly(text, at_ms=at_ms, key=key, repetition=1, side=side)
    let_go = context.text("hold_end")
    track.say_exactly(let_go, at_ms=max(end_ms, track.now_ms), key="hold_end", repetition=1, side=side)
    track.wait_until(end_ms + back.length_ms)


def _time_told(turn_ms: int, hold_ms: int, context: Context) -> list[tuple[int, str, str]]:
    """The halfway line, and the seconds left every ten seconds away from it."""
    half_ms = hold_ms // 2
    told = [(turn_ms + half_ms, "hold_half", context.text("hold_half"))]
    for left_ms in range(_HOLD_TOLD_EVERY_MS, hold_ms, _HOLD_TOLD_EVERY_MS):
        if abs(hold_ms - left_ms - half_ms) >= _HOLD_TOLD_EVERY_MS // 2:
            text = context.text("hold_count", seconds_left=str(left_ms // 1000))
            told.append((turn_ms + hold_ms - left_ms, "hold_count", text))
    return sorted(told)

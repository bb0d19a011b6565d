"""The walking session: bouts of walking with a rest between, at the effort the protocol aims for."""

from __future__ import annotations

from dataclasses import replace

from haleward.dose.model import Walking
from haleward.record import Posture
from haleward.session.blocks import close_rest, effort_block
from haleward.session.context import Context
from haleward.session.cue_sheet import Block, SheetExercise
from haleward.session.timing import Track, milliseconds
from haleward.wording import Wording

_MINUTE_MS = 60_000
_SLOW_DOWN_MS = 60_000  # the last minute of a bout slows down
_APART_MS = 20_000  # two lines said on a walk are at least this far apart


def walking_form(walking: Walking) -> tuple[str, Posture]:
    """What is shown: the march in its posture; a walk always free-standing, as nobody has a treadmill at home."""
    return walking.movement_id, ("standing" if walking.kind == "walk" else walking.posture)


def _words(walking: Walking) -> str:
    """The first part of the wording keys that are the same for every march."""
    return "walk" if walking.kind == "walk" else "march"


def walking_exercise(walking: Walking, wording: Wording) -> SheetExercise:
    """The walk as page and print show it."""
    movement_id, posture = walking_form(walking)
    words = wording.movement(movement_id, posture)
    kind = _words(walking)
    key = f"dose_{kind}_one" if walking.bouts == 1 else f"dose_{kind}{'es' if kind == 'march' else 's'}"
    return SheetExercise(
        movement_id=movement_id,
        posture=posture,
        title=words.title,
        purpose=words.purpose_one_line,
        setup=words.setup,
        breathing=words.breathing,
        kit_line=words.kit_own_weight,
        load_text=wording.text("session_load_own_weight", {}),
        dose_text=wording.text(key, {"sets": str(walking.bouts), "minutes": str(walking.bout_minutes)}),
        easier=words.make_it_easier,
        harder=words.make_it_harder,
        faults=words.faults,
        stop_if=words.stop_if,
        alt_start=words.alt_text_start,
        alt_end=words.alt_text_end,
        low_vision=words.low_vision_words,
        kit="own_weight",
        band_setup="",
        sets=walking.bouts,
        repetitions=0,
        each_side=False,
        out_s=1.0,
        pause_s=0.0,
        back_s=1.0,
        hold_s=0.0,
        rest_s=round(walking.rest_minutes * 60),
        why=walking.reasons,
    )


def walking_blocks(walking: Walking, context: Context, *, effort_family: str) -> list[Block]:
    """Every bout with its effort question, and the rests between."""
    blocks: list[Block] = []
    for bout in range(1, walking.bouts + 1):
        blocks.append(_bout(walking, bout, context))
        blocks.append(effort_block(context, effort_family, exercise=0, set_number=bout))
        if bout < walking.bouts and walking.rest_minutes:
            blocks.append(_rest(walking, bout, context))
    return blocks


def _bout(walking: Walking, bout: int, context: Context) -> Block:
    length_ms = walking.bout_minutes * _MINUTE_MS
    track = Track()
    context.say(track, f"{_words(walking)}_go", minutes=str(walking.bout_minutes))
    for at_ms, key in _told(length_ms, context, half=f"{_words(walking)}_half"):
        track.say_exactly(context.text(key), at_ms=at_ms, key=key)
    track.show(at_ms=0, length_ms=length_ms, pose_from=0.0, pose_to=1.0)
    breathing = context.wording.movement(*walking_form(walking)).breathing
    track.breathe(breathing, at_ms=0, length_ms=length_ms)
    lines = (breathing, context.text("effort_aim"))
    return Block("walk", 0, length_ms, track.ordered(), 0, bout, context.text(f"{walking.kind}_heading"), lines)


def _told(length_ms: int, context: Context, *, half: str) -> list[tuple[int, str]]:
    """What is said on the way: a line on the pace each minute, the halfway, and slowing down at the end."""
    half_ms, slow_ms = length_ms // 2, max(length_ms // 2, length_ms - _SLOW_DOWN_MS)
    told = [(slow_ms, "walk_end")]
    if slow_ms - half_ms >= _APART_MS:
        told.append((half_ms, half))
    for at_ms in range(_MINUTE_MS, slow_ms - _APART_MS + 1, _MINUTE_MS):
        if abs(at_ms - half_ms) >= _APART_MS:
            told.append((at_ms, context.rotation.next("walk_pace", values=context.values)))
    return sorted(told)


def _rest(walking: Walking, bout: int, context: Context) -> Block:
    length_ms = milliseconds(walking.rest_minutes * 60)
    here = replace(context, values={**context.values, "rest_seconds": str(length_ms // 1000)})
    track = Track()
    line = here.say_next(track, "rest_open")
    close_rest(track, here, length_ms)
    return Block("rest", 0, length_ms, track.ordered(), 0, bout, here.text("rest_heading"), (line,))

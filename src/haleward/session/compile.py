"""From one part of a signed programme to the cue sheet of one session."""

from __future__ import annotations

import uuid
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING

from haleward.dose.model import Intensity, Part, Programme, Walking
from haleward.errors import HalewardError
from haleward.record import Record
from haleward.session.blocks import (
    close_block,
    effort_block,
    ready_block,
    rest_block,
    setup_block,
    told_block,
    welcome_block,
)
from haleward.session.context import Context, Planned
from haleward.session.cue_sheet import FORMAT, Block, CueSheet, SheetExercise
from haleward.session.exercises import planned_exercise
from haleward.session.frame import STAGES, frame, frame_blocks, longer_warm_up
from haleward.session.how_hard import how_hard_lines, rate_ceiling
from haleward.session.options import USUAL, SessionOptions
from haleward.session.ready import ready_keys
from haleward.session.rotation import Rotation
from haleward.session.sets import set_block
from haleward.session.walk import walking_blocks, walking_exercise
from haleward.session.words import date_words
from haleward.wording import Service, Wording

if TYPE_CHECKING:
    from haleward.movement.library import Library
    from haleward.safety.protocol import Protocol

WALK = "walk"  # the part key of the walking session
_SHEETS = uuid.UUID("6f0d2a52-3d0f-5b5e-9f0a-6d3d7f0f5c11")  # name space of sheet ids, made once at random
_ANCHOR_NUMBERS = (0, 2, 4, 6, 8, 10)
_AFTER = (
    "cool_down_sit_home",
    "shower_later",
    "rest_day_why",
    "sore_normal",
    "sore_feel",
    "sore_do",
    "sore_call",
    "sore_call_joint",
    "sore_not_heart",
)
_READY_CARER = ("ready_carer_stay", "ready_carer_help", "ready_carer_watch")
_MS_PER_MINUTE = 60_000


def compile_session(
    programme: Programme,
    part_key: str,
    record: Record,
    *,
    protocol: Protocol,
    library: Library,
    wording: Wording,
    service: Service,
    made_on: date,
    intensity: Intensity | None = None,
    options: SessionOptions = USUAL,
) -> CueSheet:
    """The cue sheet of one session.

    ``part_key`` is a part of the programme or :data:`WALK`. The same arguments give the same sheet; the variants of a
    line turn with ``made_on``. ``intensity`` adds how hard to work, with the heart-rate range where it is used.
    ``options`` say how the session is told to this person.
    Raises :class:`HalewardError` if the programme has no such part, or if a sentence the session cannot do without
    lacks a value.
    """
    walking, protocol = part_key == WALK, longer_warm_up(protocol, programme)
    low, high = _effort_range(programme, protocol, walking=walking)
    values = _values(programme, record, (low, high), protocol=protocol, service=service)
    context = Context(wording, values, Rotation(wording, start=made_on.toordinal()), options)
    scale = protocol.policies.intensity.effort_scale
    middle = (
        _walking(programme.walking, record, context, library=library, scale=scale)
        if walking
        else _strength(_part(programme, part_key), record, context, library=library, scale=scale)
    )
    ready = _ready(middle.ready_keys, context)
    after = tuple(key for key in _AFTER if context.has(key))
    how_hard = how_hard_lines(intensity, wording=wording, values=values, walking=walking)
    told = [told_block(context, "how_hard_heading", how_hard)] if how_hard and walking else []
    rate = rate_ceiling(intensity)
    warm_up, cool_down = (
        frame(stage, programme, record, context, protocol=protocol, library=library, today=made_on) for stage in STAGES
    )
    opening = [ready_block(context, ready), *told, *frame_blocks("warm_up", warm_up, context, first=0, rate=rate)]
    closing = frame_blocks("cool_down", cool_down, context, first=len(warm_up), rate=rate)
    inner = [*opening, *middle.blocks, *closing, close_block(context, after, cooled=bool(cool_down))]
    blocks = _timed(inner, context, exercise_count=len(middle.exercises), has_goal=bool(record.goal))
    return CueSheet(
        format=FORMAT,
        sheet_id=str(uuid.uuid5(_SHEETS, f"{record.person_id}/{programme.version}/{part_key}/{made_on.isoformat()}")),
        person_id=record.person_id,
        first_name=record.first_name,
        plan_version=programme.version,
        part_key=part_key,
        made_on=made_on.isoformat(),
        protocol=f"{protocol.id}, {protocol.version}",
        exercises=middle.exercises,
        blocks=blocks,
        length_ms=blocks[-1].start_ms + blocks[-1].length_ms,
        effort_low=low,
        effort_high=high,
        effort_scale=scale,
        effort_anchors=_anchors(wording, scale, walking=walking),
        before_lines=tuple(context.text(key) for key in ready),
        after_lines=tuple(context.text(key) for key in after),
        plan_line=context.text("plan_version"),
        how_hard=how_hard,
        rate_ceiling=rate,
        frame=tuple(each.sheet for each in (*warm_up, *cool_down)),
        listener=options.listener,
        low_vision=options.low_vision,
    )


def _ready(keys: tuple[str, ...], context: Context) -> tuple[str, ...]:
    """The lines before the start that have their values; a carer hears what they do themselves."""
    theirs = _READY_CARER if context.options.listener == "carer" else ()
    return tuple(key for key in (*keys, *theirs) if context.has(key))


def _values(
    programme: Programme, record: Record, effort: tuple[float, float], *, protocol: Protocol, service: Service
) -> dict[str, str]:
    """What the sentences of the session are filled with."""
    return {
        **protocol.wording_values,
        **service.values,
        "first_name": record.first_name,
        "goal": record.goal,
        "plan_version": str(programme.version),
        "plan_date": date_words(programme.made_on),
        "effort_low": f"{effort[0]:g}",
        "effort_high": f"{effort[1]:g}",
    }


@dataclass(frozen=True)
class _Middle:
    """What differs between a strength session and a walk."""

    exercises: tuple[SheetExercise, ...]
    ready_keys: tuple[str, ...]
    blocks: tuple[Block, ...]


def _walking(walking: Walking, record: Record, context: Context, *, library: Library, scale: str) -> _Middle:
    effort_family = "effort_ask_walk" if scale == "0-10" else "effort_ask_6_20"
    return _Middle(
        exercises=(walking_exercise(walking, context.wording),),
        ready_keys=ready_keys(record, (), library=library),
        blocks=tuple(walking_blocks(walking, context, effort_family=effort_family)),
    )


def _strength(part: Part, record: Record, context: Context, *, library: Library, scale: str) -> _Middle:
    planned = [
        planned_exercise(index, exercise, library=library, wording=context.wording, options=context.options)
        for index, exercise in enumerate(part.exercises)
    ]
    effort_family = "effort_ask" if scale == "0-10" else "effort_ask_6_20"
    return _Middle(
        exercises=tuple(each.sheet for each in planned),
        ready_keys=ready_keys(record, part.exercises, library=library),
        blocks=tuple(_strength_blocks(planned, context, effort_family=effort_family)),
    )


def _part(programme: Programme, part_key: str) -> Part:
    for part in programme.parts:
        if part.key == part_key:
            return part
    known = ", ".join([*(part.key for part in programme.parts), WALK])
    raise HalewardError(f'Version {programme.version} of the programme has no part "{part_key}"; it has: {known}.')


def _effort_range(programme: Programme, protocol: Protocol, *, walking: bool) -> tuple[float, float]:
    if walking:
        return protocol.policies.intensity.effort_low, protocol.policies.intensity.effort_high
    return programme.effort_low, programme.effort_high


def _anchors(wording: Wording, scale: str, *, walking: bool) -> tuple[tuple[int, str], ...]:
    """Our own words for the numbers 0 to 10. The 6-20 scale has none: its published words are licensed."""
    if scale != "0-10":
        return ()
    family = "effort_anchor_breath" if walking else "effort_anchor_reps"
    return tuple((number, wording.text(f"{family}_{number}", {})) for number in _ANCHOR_NUMBERS)


def _strength_blocks(planned: list[Planned], context: Context, *, effort_family: str) -> list[Block]:
    """Set-up, sets, effort questions and rests of every exercise, in order; no rest after the very last set."""
    blocks: list[Block] = []
    for place, each in enumerate(planned):
        following = planned[place + 1] if place + 1 < len(planned) else None
        blocks.append(setup_block(each, context))
        for set_number in range(1, each.exercise.dose.sets + 1):
            last = set_number == each.exercise.dose.sets
            blocks.append(set_block(each, set_number, context))
            blocks.append(effort_block(context, effort_family, exercise=each.index, set_number=set_number))
            if following or not last:
                blocks.append(rest_block(each, set_number, context, following=following if last else None))
    return blocks


def _timed(blocks: list[Block], context: Context, *, exercise_count: int, has_goal: bool) -> tuple[Block, ...]:
    """Every block and cue at its time from the start of the session, the welcome with its real minutes first."""
    length_ms = sum(block.length_ms for block in blocks)
    minutes = max(1, round(length_ms / _MS_PER_MINUTE))
    welcome = welcome_block(context, minutes=minutes, exercise_count=exercise_count, has_goal=has_goal)
    timed: list[Block] = []
    at_ms = 0
    for block in (welcome, *blocks):
        cues = tuple(replace(cue, start_ms=cue.start_ms + at_ms) for cue in block.cues)
        timed.append(replace(block, start_ms=at_ms, cues=cues))
        at_ms += block.length_ms
    return tuple(timed)

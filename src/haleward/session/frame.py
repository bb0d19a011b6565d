"""The frame of a session: a warm-up and a cool-down of the protocol's minutes, made of the library's easiest movements.

Which movements, in which order and how long each is data/tables/session_frame.csv: mobility first, then what raises the
heart rate, last the aerobic movement that was signed for the person. A movement that the lead left out of the
programme, that a restriction forbids, or for which the person lacks the chair, gives its time to the others.
"""

from __future__ import annotations

import csv
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date
from functools import cache, partial
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from haleward.dose.aerobic import forbidding
from haleward.dose.model import Dose, Exercise, Load, Programme
from haleward.record import Posture, Record
from haleward.session.context import Context, Planned
from haleward.session.cue_sheet import Block, SheetExercise
from haleward.session.exercises import planned_exercise
from haleward.session.rotation import variant_families
from haleward.session.timing import GAP_MS, Track
from haleward.session.walk import walking_form
from haleward.wording import WORDING_FOLDER

if TYPE_CHECKING:
    from haleward.movement.library import Library
    from haleward.safety.protocol import Protocol

Stage = Literal["warm_up", "cool_down"]

STAGES: tuple[Stage, ...] = ("warm_up", "cool_down")
_TABLE = WORDING_FOLDER.parent / "tables" / "session_frame.csv"
_OPENING = {"warm_up": ("next_warm_up", "card_warm_up"), "cool_down": ("next_cool_down", "cool_down_why")}
_MINUTE_MS = 60_000
_END_MS = 15_000  # no reminder so close to the end of a stretch
_ROOM_MS = 6_000  # what the longest reminder needs before the next sentence
_SUPPORTED: tuple[Posture, ...] = ("seated", "hand_supported", "standing")  # steadiest first


@dataclass(frozen=True)
class _Row:
    """One line of the table; an empty movement stands for the aerobic movement of the programme."""

    movement_id: str
    parts: int
    words: str


def longer_warm_up(protocol: Protocol, programme: Programme) -> Protocol:
    """The protocol with the minutes of warm-up that the programme has beside those of everybody."""
    setting, more = protocol.settings.get("warm_up_minutes"), programme.warm_up_more_minutes
    if setting is None or not more:
        return protocol
    minutes = setting.value[0] + more
    longer = replace(setting, value=(minutes,), text=f"{minutes:g}")
    return replace(protocol, settings={**protocol.settings, "warm_up_minutes": longer})


def frame(
    stage: Stage,
    programme: Programme,
    record: Record,
    context: Context,
    *,
    protocol: Protocol,
    library: Library,
    today: date,
) -> tuple[Planned, ...]:
    """The movements of one stage, each with its whole minutes in ``Planned.minutes``; none if the protocol has none.

    A movement that a restriction forbids on ``today`` gives its time to the others.
    """
    setting = protocol.settings.get(f"{stage}_minutes")
    if setting is None:
        return ()
    free = partial(_free, record=record, today=today, protocol=protocol, library=library)
    wanted = [(row, form) for row in _rows(_TABLE)[stage] if (form := _form(row, programme, record, library, free))]
    if not wanted:
        return ()
    minutes = _shares([row.parts for row, _ in wanted], round(setting.value[0]))
    return tuple(
        _planned(row, form, minute, context, library=library)
        for (row, form), minute in zip(wanted, minutes, strict=True)
        if minute
    )


def frame_movements() -> tuple[tuple[str, Posture], ...]:
    """Every movement that a warm-up or a cool-down may have, in each posture."""
    named = {row.movement_id for rows in _rows(_TABLE).values() for row in rows if row.movement_id}
    return tuple((movement_id, posture) for movement_id in sorted(named) for posture in _SUPPORTED)


def frame_blocks(stage: Stage, planned: tuple[Planned, ...], context: Context, *, first: int, rate: str) -> list[Block]:
    """The blocks of one stage; ``first`` is the place of its first movement in the sheet's frame.

    ``rate`` is the heart rate not to go over, as digits, "" where heart rate is not used.
    """
    limit = (context.text("intensity_ceiling", hr_ceiling=rate),) if rate else ()
    blocks = []
    for place, each in enumerate(planned):
        track = Track()
        if place == 0:
            for key in _OPENING[stage]:
                if context.has(key):
                    context.say(track, key)
        block = _stretch(stage, each, track, context)
        blocks.append(replace(block, frame=first + place, lines=(*block.lines, *limit)))
    return blocks


def _stretch(stage: Stage, planned: Planned, track: Track, context: Context) -> Block:
    """One movement for its minutes: what it is, how to take one's place, and a reminder each minute."""
    sheet, length_ms = planned.sheet, planned.minutes * _MINUTE_MS
    track.say(f"{sheet.title}.", key="title")
    for line in (*context.read_aloud, *(sheet.setup if context.options.talk != "few" else sheet.setup[:2])):
        track.say(line, key="setup")
    if context.options.low_vision and sheet.low_vision:
        track.say(sheet.low_vision, key="low_vision")
    if planned.minutes == 1:
        context.say(track, "frame_do_one")
    else:
        context.say(track, "frame_do", minutes=str(planned.minutes))
    length_ms = max(length_ms, track.now_ms)
    for place, side in enumerate(planned.sides):
        from_ms = length_ms * place // len(planned.sides)
        if side:
            track.wait_until(from_ms)
            track.say(context.text(f"side_{side}"), key=f"side_{side}", side=side)
    _remind(track, planned, length_ms, context)
    return Block(
        stage,
        0,
        max(length_ms, track.now_ms),
        track.ordered(),
        title=context.text(f"{stage}_heading"),
        lines=(*context.read_aloud, *sheet.setup, sheet.breathing),
    )


def _remind(track: Track, planned: Planned, length_ms: int, context: Context) -> None:
    """A line every minute where it is quiet: the family's first line first, its last line last."""
    every_ms = _MINUTE_MS * (2 if context.options.talk == "few" else 1)
    said = [(cue.start_ms, cue.start_ms + cue.length_ms) for cue in track.cues]
    keys = [variant.key for variant in variant_families()[planned.reminders]]
    moments = [
        at_ms
        for at_ms in range(every_ms // 2, length_ms - _END_MS, every_ms)
        if not any(start - _ROOM_MS < at_ms < end + GAP_MS for start, end in said)
    ]
    for place, at_ms in enumerate(moments):
        last = place == len(moments) - 1 and place > 0
        key = keys[-1] if last else keys[place % max(1, len(keys) - 1)]
        track.cues.append(context.cue(key, at_ms=at_ms))


def _planned(row: _Row, form: tuple[str, Posture], minutes: int, context: Context, *, library: Library) -> Planned:
    movement_id, posture = form
    drawn = library.movements[movement_id].postures[posture]
    dose = Dose(1, 1, Load("own_weight"), drawn.out_s, drawn.pause_s, drawn.back_s, rest_s=0)
    line = Exercise(movement_id, posture, dose, each_side=drawn.each_side, region=library.movements[movement_id].region)
    planned = planned_exercise(-1, line, library=library, wording=context.wording, options=context.options)
    dose_text = context.text("frame_minute") if minutes == 1 else context.text("frame_minutes", minutes=str(minutes))
    sheet: SheetExercise = replace(planned.sheet, dose_text=dose_text, repetitions=0)
    return replace(planned, sheet=sheet, minutes=minutes, reminders=row.words)


def _free(
    movement_id: str, posture: Posture, *, record: Record, today: date, protocol: Protocol, library: Library
) -> bool:
    """Whether no restriction forbids this movement in this posture."""
    policy = protocol.policies.dose
    return not forbidding(movement_id, posture, record, today=today, library=library, policy=policy)


def _form(
    row: _Row, programme: Programme, record: Record, library: Library, free: Callable[[str, Posture], bool]
) -> tuple[str, Posture] | None:
    """The movement and the posture to do it in; None if this person cannot or may not do it."""
    walking = programme.walking
    if not row.movement_id:
        return walking_form(walking) if free(walking.movement_id, walking.posture) else None
    movement = library.movements[row.movement_id]
    if row.movement_id in {one.movement_id for one in programme.left_out}:
        return None
    steadier = _SUPPORTED[: _SUPPORTED.index(walking.posture) + 1]
    if movement.cautions.get("balance", "ok") != "ok":
        steadier = tuple(posture for posture in steadier if posture != "standing") or _SUPPORTED[:1]
    for posture in reversed(steadier):
        form = movement.postures.get(posture)
        at_home = form and all(getattr(record.kit, need, None) is not False for need in form.needs)
        if at_home and free(row.movement_id, posture):
            return row.movement_id, posture
    return None


def _shares(parts: list[int], minutes: int) -> list[int]:
    """Whole minutes in proportion to the parts, the largest remainders rounded up; they add up exactly."""
    total = sum(parts)
    exact = [minutes * part / total for part in parts]
    shares = [int(each) for each in exact]
    for place in sorted(range(len(parts)), key=lambda n: shares[n] - exact[n])[: minutes - sum(shares)]:
        shares[place] += 1
    return shares


@cache
def _rows(path: Path) -> dict[str, list[_Row]]:
    found: dict[str, list[_Row]] = {}
    with path.open(encoding="utf-8", newline="") as file:
        for row in sorted(csv.DictReader(file), key=lambda one: int(one["order"])):
            found.setdefault(row["stage"], []).append(_Row(row["movement_id"], int(row["parts"]), row["pace_words"]))
    return found

"""One person's card for class on A5: movements and doses on the front, limits and reasons to stop on the back."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from haleward.errors import HalewardError
from haleward.movement.library import Library
from haleward.record import Record
from haleward.render.booklet import MOVEMENTS_MOST, urgent_lines
from haleward.render.booklet_movement import exercise_data
from haleward.render.page import page_values
from haleward.render.typeset import language_data, typeset
from haleward.safety.protocol import Protocol
from haleward.session.bilingual import shown_sheet
from haleward.session.cue_sheet import CueSheet
from haleward.wording import Service, Wording

_PERSONAL = ("hr_ceiling", "sugar_low", "sugar_high")  # limits that not every person has

_STAGES = (("warm_up", "card_warm_up"), ("cool_down", "card_cool_down"))


def class_card_pdf(
    sheet: CueSheet,
    *,
    record: Record,
    protocol: Protocol,
    library: Library,
    wording: Wording,
    service: Service,
) -> bytes:
    """The card as PDF/UA-1, of two sides at most.

    Raises :class:`haleward.errors.HalewardError` if the emergency number is missing or there are too many movements.
    """
    if len(sheet.exercises) > MOVEMENTS_MOST:
        raise HalewardError(f"The card has {len(sheet.exercises)} movements; it has room for {MOVEMENTS_MOST}.")
    sheet = shown_sheet(sheet)
    values = page_values(sheet, protocol=protocol, service=service)
    stop = wording.safety("stop if", values=values, strict=True, may_lack=_PERSONAL)
    exercises = [exercise_data(each, record, library, wording, values) for each in sheet.exercises]
    data = {
        **language_data(wording),
        "title": wording.text("card_title", values),
        "service": service.name,
        "name": record.first_name,
        "emergency": wording.text("banner_lead", values),
        "plan_line": sheet.plan_line,
        "heads": {
            "limits": wording.text("card_limits", values),
            "not_for_me": wording.text("card_not_for_me", values),
            "stop": wording.text("stop_heading", values),
            "scale": wording.text("scale_heading", values),
        },
        "exercises": [
            {**each, "load": f"{told.load_text}."} for each, told in zip(exercises, sheet.exercises, strict=True)
        ],
        **{key: _minutes(sheet, stage, key, wording, values) for stage, key in _STAGES},
        "more": wording.text("card_more", values),
        "limits": _limits(sheet, wording, values),
        "not_for_me": _not_for_me(record, wording, today=date.fromisoformat(sheet.made_on)),
        "stop_short": wording.text("card_stop", values),
        "stop": urgent_lines(stop),
        "anchors": [[str(number), text] for number, text in sheet.effort_anchors],
        "caution": wording.text("caution_line", values),
    }
    return typeset("class_card.typ", data)


def _minutes(sheet: CueSheet, stage: str, key: str, wording: Wording, values: Mapping[str, str]) -> str:
    """How long the warm-up or the cool-down is, if the session has one."""
    there = any(block.kind == stage for block in sheet.blocks)
    return wording.text(key, values) if there and wording.has_values(key, values) else ""


def _limits(sheet: CueSheet, wording: Wording, values: Mapping[str, str]) -> list[str]:
    """Effort, talking and heart rate. A session without an intensity says nothing about heart rate."""
    effort = "card_effort" if sheet.effort_scale == "0-10" else "effort_aim"
    keys = [effort, "card_talk"]
    if sheet.rate_ceiling:
        keys.append("intensity_ceiling")
    elif sheet.how_hard:
        keys.append("card_no_hr")
    return [wording.text(key, values) for key in keys]


def _not_for_me(record: Record, wording: Wording, *, today: date) -> list[str]:
    """The restrictions that hold today, in their author's words."""
    holding = (
        one for one in record.restrictions if one.start_on <= today and (not one.released_on or one.released_on > today)
    )
    return [
        wording.text("card_set_by", {"shown": one.shown.rstrip(". "), "author": one.author.rstrip(". ")})
        for one in holding
    ]

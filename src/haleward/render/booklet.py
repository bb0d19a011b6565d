"""The same session as a tagged A4 booklet: the same figures, numbers, words and plan version as the page.

In large print it is the same booklet set anew at 18 points, one movement a page, not a page blown up.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from haleward.dose.model import Programme
from haleward.dose.week_plan import Week
from haleward.errors import HalewardError
from haleward.movement.library import Library
from haleward.record import Record
from haleward.render.booklet_codes import NO_LINKS, Links, code_data
from haleward.render.booklet_movement import exercise_data, frame_data
from haleward.render.booklet_week import dated_weeks, log_data, week_rows
from haleward.render.page import page_values
from haleward.render.typeset import language_data, typeset
from haleward.safety.protocol import Protocol
from haleward.session.bilingual import shown_sheet
from haleward.session.cue_sheet import CueSheet
from haleward.session.own_limits import values_not_to_start
from haleward.wording import SafetyLine, Service, Wording

MOVEMENTS_MOST = 6  # a home sheet with more is not followed (job reference, section 4.7)
# Limits and settings that not every person or team has: the row of a missing one is left out, and is not a fault.
_PERSONAL = ("hr_ceiling", "hr_high", "hr_low", "bp_limit", "sugar_low", "sugar_high", "nitrate_name", "meal_wait")
_WORRIES = ("worry_harm", "worry_too_much", "worry_ache", "worry_heart_rate", "worry_missed", "worry_older")
_MISSED = ("missed_2", "missed_week", "missed_two_weeks", "missed_unwell")
_HEADS = {
    "goal": "goal_heading",
    "week": "print_week",
    "day": "print_day",
    "what": "print_what",
    "ready": "ready_heading",
    "worry": "worry_heading",
    "how_hard": "how_hard_heading",
    "move": "picture_end",
    "breathe": "breathe_heading",
    "easier": "easier_heading",
    "harder": "harder_heading",
    "in_words": "low_vision_heading",
    "log": "log_heading",
    "scale": "scale_heading",
    "sick": "sick_heading",
    "start_list": "start_list_heading",
    "stop": "stop_heading",
    "after": "after_heading",
    "missed": "missed_heading",
}


def booklet_pdf(
    sheet: CueSheet,
    *,
    record: Record,
    protocol: Protocol,
    library: Library,
    wording: Wording,
    service: Service,
    programme: Programme | None = None,
    links: Links = NO_LINKS,
    large_print: bool = False,
    weeks: Sequence[Week] = (),
) -> bytes:
    """The booklet as PDF/UA-1.

    ``programme`` adds the week and its days to the log; of ``weeks`` those are shown that are not like the others.
    ``links`` become square codes; without one the text says how to ask for it. Raises
    :class:`haleward.errors.HalewardError` with one sentence if a number that the safety lines print is missing, if the
    session has more movements than a home sheet may have, or if the typeface is missing.
    """
    if len(sheet.exercises) > MOVEMENTS_MOST:
        raise HalewardError(
            f"The booklet has {len(sheet.exercises)} movements; a home sheet may have at most {MOVEMENTS_MOST}."
        )
    sheet = shown_sheet(sheet)
    values = page_values(sheet, protocol=protocol, service=service)
    told = {"wording": wording, "values": values}
    made_on = date.fromisoformat(sheet.made_on)
    not_to_start = values_not_to_start(record, values, protocol=protocol, today=made_on)
    data = {
        **language_data(wording),
        "large": large_print,
        "title": wording.text("booklet_title", values),
        "service": service.name,
        "made_for": wording.text("booklet_for", values),
        "plan_line": sheet.plan_line,
        "page_words": _page_words(wording),
        "heads": {name: wording.text(key, values) for name, key in _HEADS.items()},
        **_safety_data(record, not_to_start, large_print=large_print, **told),  # type: ignore[arg-type]
        **_plan_data(sheet, record, **told),  # type: ignore[arg-type]
        "week": week_rows(programme, sheet.part_key, **told),  # type: ignore[arg-type]
        "weeks": dated_weeks(programme, weeks, **told),  # type: ignore[arg-type]
        "weeks_line": wording.text("print_week_other", values),
        "log": _log_data(sheet, record, programme, **told),  # type: ignore[arg-type]
        "codes": code_data(links, **told),  # type: ignore[arg-type]
        "exercises": [
            exercise_data(each, record, library, wording, values, in_words=sheet.low_vision) for each in sheet.exercises
        ],
        "frame": frame_data(sheet, record, library, wording, values),
    }
    return typeset("booklet.typ", data)


def _log_data(
    sheet: CueSheet, record: Record, programme: Programme | None, *, wording: Wording, values: Mapping[str, str]
) -> dict[str, Any]:
    counts = bool(sheet.rate_ceiling) and record.answers.get("can_self_monitor") is True
    zero_to_ten = sheet.effort_scale == "0-10"
    return log_data(programme, zero_to_ten=zero_to_ten, asks_heart_rate=counts, wording=wording, values=values)


def urgent_lines(stop: tuple[SafetyLine, ...]) -> list[str]:
    """The reasons to stop that call for help, without the line that says when to call."""
    return [line.text for line in stop if line.level == "emergency"][1:]


def _safety_data(
    record: Record, not_to_start: Mapping[str, str], *, large_print: bool, wording: Wording, values: Mapping[str, str]
) -> dict[str, Any]:
    """The safety page, the list not to start with, and the foot of every page.

    The foot has every reason to stop but those of self care; in large print those that call for help, and where the
    others stand.
    """
    stop = wording.safety("stop if", values=values, strict=True, may_lack=_PERSONAL)
    nitrate = "chest discomfort, nitrate prescribed" if record.nitrate_prescribed else "chest discomfort, no nitrate"
    unwell = [
        *wording.safety(nitrate, values=values, strict=True),
        *wording.safety("after you stopped", values=values, strict=True),
    ]
    without_voice = [wording.text("banner_relay", values)] if wording.has_values("banner_relay", values) else []
    not_start = wording.safety("do not start today if", values=not_to_start, strict=True, may_lack=_PERSONAL)
    foot = [line.text for line in stop if line.level != "self care"][1:]
    return {
        "emergency": wording.text("banner_lead", values),
        "ring": wording.text("print_ring", values) if wording.has_values("print_ring", values) else "",
        "unwell": [*dict.fromkeys(line.text for line in unwell), *without_voice],
        "not_start": [line.text for line in not_start],
        "stop_all": [line.text for line in stop],
        "stop_foot": [*urgent_lines(stop), wording.text("print_stop_more", values)] if large_print else foot,
        "caution": wording.text("caution_line", values),
    }


def _plan_data(sheet: CueSheet, record: Record, *, wording: Wording, values: Mapping[str, str]) -> dict[str, Any]:
    return {
        "goal": record.goal,
        "how_hard": list(sheet.how_hard),
        "worries": [_asked(wording.text(key, values)) for key in _WORRIES],
        "before": list(sheet.before_lines),
        "after": list(sheet.after_lines),
        "missed": [wording.text(key, values) for key in _MISSED],
        "arrow_line": wording.text("arrow_line", values),
        "aim": wording.text("effort_aim", values),
        "anchors": [[str(number), text] for number, text in sheet.effort_anchors],
    }


def _asked(text: str) -> list[str]:
    """A worry as its question and the answer; a team's own words may ask nothing."""
    end = text.rfind("?") + 1
    return [text[:end], text[end:].strip()]


def _page_words(wording: Wording) -> list[str]:
    """What stands before the page's number and what between it and the number of pages."""
    parts = wording.text("page_number", {"page": "\0", "pages": "\0"}).split("\0")
    return [parts[0], parts[1] if len(parts) > 2 else " / "]

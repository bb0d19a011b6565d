"""The same session as a tagged A4 booklet: the same figures, numbers, words and plan version as the page.

In large print it is the same booklet set anew at 18 points, one movement a page, not a page blown up.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from haleward.dose.model import Programme
from haleward.errors import HalewardError
from haleward.movement.library import Library
from haleward.record import Record
from haleward.render.booklet_codes import NO_LINKS, Links, code_data
from haleward.render.booklet_week import log_data, week_rows
from haleward.render.draw import ARROW
from haleward.render.figure import look_for, still
from haleward.render.page import page_values
from haleward.render.typeset import typeset
from haleward.safety.protocol import Protocol
from haleward.session.cue_sheet import CueSheet, SheetExercise
from haleward.wording import SafetyLine, Service, Wording

MOVEMENTS_MOST = 6  # a home sheet with more is not followed (job reference, section 4.7)
STEPS_MOST = 4  # numbered lines of one movement (job reference, section 4.7); further ones stand with the kit
PICTURE = (430, 480)
_PICTURE_WORD = re.compile(r"<text.*?</text>")  # the word "hold": too small in print, where the caption says it
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
) -> bytes:
    """The booklet as PDF/UA-1.

    ``programme`` adds the week and its days to the log. ``links`` become square codes; without one the text says how
    to ask for it. Raises :class:`haleward.errors.HalewardError` with one sentence if a number that the safety lines
    print is missing, if the session has more movements than a home sheet may have, or if the typeface is missing.
    """
    if len(sheet.exercises) > MOVEMENTS_MOST:
        raise HalewardError(
            f"The booklet has {len(sheet.exercises)} movements; a home sheet may have at most {MOVEMENTS_MOST}."
        )
    values = page_values(sheet, protocol=protocol, service=service)
    told = {"wording": wording, "values": values}
    data = {
        "large": large_print,
        "title": wording.text("booklet_title", values),
        "service": service.name,
        "made_for": wording.text("booklet_for", values),
        "plan_line": sheet.plan_line,
        "page_words": _page_words(wording),
        "heads": {name: wording.text(key, values) for name, key in _HEADS.items()},
        **_safety_data(record, large_print=large_print, **told),  # type: ignore[arg-type]
        **_plan_data(sheet, record, **told),  # type: ignore[arg-type]
        "week": week_rows(programme, sheet.part_key, **told),  # type: ignore[arg-type]
        "log": log_data(programme, zero_to_ten=sheet.effort_scale == "0-10", **told),  # type: ignore[arg-type]
        "codes": code_data(links, **told),  # type: ignore[arg-type]
        "exercises": [exercise_data(each, record, library, wording, values) for each in sheet.exercises],
    }
    return typeset("booklet.typ", data)


def urgent_lines(stop: tuple[SafetyLine, ...]) -> list[str]:
    """The reasons to stop that call for help, without the line that says when to call."""
    return [line.text for line in stop if line.level == "emergency"][1:]


def _safety_data(record: Record, *, large_print: bool, wording: Wording, values: Mapping[str, str]) -> dict[str, Any]:
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
    not_start = wording.safety("do not start today if", values=values, strict=True, may_lack=_PERSONAL)
    foot = [line.text for line in stop if line.level != "self care"][1:]
    return {
        "emergency": wording.text("banner_lead", values),
        "ring": wording.text("print_ring", values) if wording.has_values("print_ring", values) else "",
        "unwell": list(dict.fromkeys(line.text for line in unwell)),
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


def exercise_data(
    exercise: SheetExercise, record: Record, library: Library, wording: Wording, values: Mapping[str, str]
) -> dict[str, Any]:
    """One movement as print shows it: two pictures with their words, at most four numbered lines, the dose."""
    rest = wording.text("dose_rest", {"rest_seconds": str(exercise.rest_s)}) if exercise.rest_s else ""
    hold = {"hold_seconds": f"{exercise.hold_s:g}"}
    load, kit = f"{exercise.load_text}.", [exercise.kit_line, *exercise.setup[STEPS_MOST:], exercise.band_setup]
    if exercise.load_text.lower() in exercise.kit_line.lower():
        load = kit.pop(0)  # "Use your own weight." says "Your own weight." already
    pictures = _pictures(exercise, record, library, wording, values)
    return {
        "title": exercise.title,
        "purpose": exercise.purpose,
        "dose": exercise.dose_text,
        "load": load,
        "rest": rest,
        "kit": [line for line in kit if line],
        "steps": list(exercise.setup[:STEPS_MOST]),
        "move": _move(exercise, wording),
        "hold": wording.text("print_count_hold", hold) if exercise.hold_s else "",
        "breathing": exercise.breathing,
        "easier": exercise.easier,
        "stop_if": exercise.stop_if,
        "arrow": any(ARROW.upper() in picture["svg"].upper() for picture in pictures),
        "pictures": pictures,
    }


def _pictures(
    exercise: SheetExercise, record: Record, library: Library, wording: Wording, values: Mapping[str, str]
) -> list[dict[str, str]]:
    """Start and end, each with its caption and its text alternative."""
    end = "print_picture_hold" if exercise.hold_s else "picture_end"
    poses = (("start", exercise.alt_start, "picture_start"), ("end", exercise.alt_end, end))
    return [
        {"svg": _still(exercise, pose, record, library), "alt": alt, "caption": wording.text(caption, values)}
        for pose, alt, caption in poses
    ]


def _move(exercise: SheetExercise, wording: Wording) -> str:
    """The movement out of the start and back again, in the words that are said."""
    words = wording.movement(exercise.movement_id, exercise.posture)
    first, second = words.move_out, words.move_back
    if words.effort_phase == "to_start":
        first, second = second, first
    return wording.text("print_picture_move", {"cue_out": first, "cue_back": second})


def _still(exercise: SheetExercise, pose: str, record: Record, library: Library) -> str:
    svg = still(
        exercise.movement_id,
        exercise.posture,
        kit=exercise.kit,  # type: ignore[arg-type]
        pose="start" if pose == "start" else "end",
        stature_m=record.stature_m,
        mass_kg=record.mass_kg,
        look=look_for(record.sex, record.look, person_id=record.person_id),
        size=PICTURE,
        side=exercise.side or ("left" if exercise.each_side else ""),
        title=exercise.alt_start if pose == "start" else exercise.alt_end,
        library=library,
    )
    return _PICTURE_WORD.sub("", svg)

"""The same session as a tagged A4 booklet: the same figures, numbers, words and plan version as the page."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import typst

from haleward.errors import HalewardError
from haleward.movement.library import Library
from haleward.record import Record
from haleward.render.figure import look_for, still
from haleward.render.page import page_values
from haleward.render.page_bundle import FONTS
from haleward.safety.protocol import Protocol
from haleward.session.cue_sheet import CueSheet, SheetExercise
from haleward.wording import Service, Wording

MOVEMENTS_MOST = 6  # a home sheet with more is not followed (job reference, section 4.7)
_TEMPLATE = Path(__file__).parent / "booklet.typ"
# Limits and settings that not every person or team has: the row of a missing one is left out, and is not a fault.
_PERSONAL = ("hr_ceiling", "hr_high", "hr_low", "bp_limit", "sugar_low", "sugar_high", "nitrate_name", "meal_wait")
_WORRIES = ("worry_harm", "worry_too_much", "worry_ache", "worry_heart_rate", "worry_missed", "worry_older")
_MISSED = ("missed_2", "missed_week", "missed_two_weeks", "missed_unwell")
_HEADS = {
    "goal": "goal_heading",
    "ready": "ready_heading",
    "worry": "worry_heading",
    "how_hard": "how_hard_heading",
    "breathe": "breathe_heading",
    "easier": "easier_heading",
    "log": "log_heading",
    "date": "log_date",
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
) -> bytes:
    """The booklet as PDF/UA-1.

    Raises :class:`haleward.errors.HalewardError` with one sentence if a number that the safety lines print is missing,
    or if the session has more movements than a home sheet may have.
    """
    if len(sheet.exercises) > MOVEMENTS_MOST:
        raise HalewardError(
            f"The booklet has {len(sheet.exercises)} movements; a home sheet may have at most {MOVEMENTS_MOST}."
        )
    values = page_values(sheet, protocol=protocol, service=service)
    data = _booklet_data(sheet, record=record, library=library, wording=wording, values=values, service=service)
    pdf = typst.compile(
        str(_TEMPLATE),
        root=str(_TEMPLATE.parent),
        font_paths=[str(FONTS)],
        ignore_system_fonts=True,
        sys_inputs={"data": json.dumps(data, ensure_ascii=False)},
        pdf_standards="ua-1",
    )
    if not isinstance(pdf, bytes):
        raise TypeError("The typesetter gave several files for one booklet.")
    return pdf


def _booklet_data(
    sheet: CueSheet,
    *,
    record: Record,
    library: Library,
    wording: Wording,
    values: Mapping[str, str],
    service: Service,
) -> dict[str, Any]:
    stop = wording.safety("stop if", values=values, strict=True, may_lack=_PERSONAL)
    nitrate = "chest discomfort, nitrate prescribed" if record.nitrate_prescribed else "chest discomfort, no nitrate"
    unwell = [
        *wording.safety(nitrate, values=values, strict=True),
        *wording.safety("after you stopped", values=values, strict=True),
    ]
    not_start = wording.safety("do not start today if", values=values, strict=True, may_lack=_PERSONAL)
    before_page, between, _ = wording.text("page_number", {"page": "\0", "pages": "\0"}).split("\0")
    scale = sheet.effort_scale == "0-10"
    return {
        "title": wording.text("booklet_title", values),
        "service": service.name,
        "made_for": wording.text("booklet_for", values),
        "goal": record.goal,
        "emergency": wording.text("banner_lead", values),
        "plan_line": sheet.plan_line,
        "page_words": [before_page, between],
        "heads": {
            **{name: wording.text(key, values) for name, key in _HEADS.items()},
            "number": wording.text("log_number" if scale else "log_number_20", values),
        },
        "arrow_line": wording.text("arrow_line", values),
        "not_start": [line.text for line in not_start],
        "before": list(sheet.before_lines),
        "how_hard": list(sheet.how_hard),
        "worries": [wording.text(key, values) for key in _WORRIES],
        "exercises": [_exercise(each, record, library, wording, values) for each in sheet.exercises],
        "paper_line": wording.text("log_paper", values),
        "aim": wording.text("effort_aim", values),
        "anchors": [[str(number), text] for number, text in sheet.effort_anchors],
        "stop_foot": [line.text for line in stop if line.level != "self care"][1:],
        "stop_all": [line.text for line in stop],
        "unwell": [line.text for line in unwell],
        "after": list(sheet.after_lines),
        "missed": [wording.text(key, values) for key in _MISSED],
        "caution": wording.text("caution_line", values),
    }


def _exercise(
    exercise: SheetExercise, record: Record, library: Library, wording: Wording, values: Mapping[str, str]
) -> dict[str, Any]:
    rest = wording.text("dose_rest", {"rest_seconds": str(exercise.rest_s)}) if exercise.rest_s else ""
    return {
        "title": exercise.title,
        "purpose": exercise.purpose,
        "dose": exercise.dose_text,
        "load": exercise.load_text,
        "rest": rest,
        "setup": [line for line in (*exercise.setup, exercise.kit_line, exercise.band_setup) if line],
        "breathing": exercise.breathing,
        "easier": exercise.easier,
        "stop_if": exercise.stop_if,
        "pictures": [
            {
                "svg": _still(exercise, pose, record, library),
                "alt": alt,
                "caption": wording.text(caption, values),
            }
            for pose, alt, caption in (
                ("start", exercise.alt_start, "picture_start"),
                ("end", exercise.alt_end, "picture_end"),
            )
        ],
    }


def _still(exercise: SheetExercise, pose: str, record: Record, library: Library) -> str:
    return still(
        exercise.movement_id,
        exercise.posture,
        kit=exercise.kit,  # type: ignore[arg-type]
        pose="start" if pose == "start" else "end",
        stature_m=record.stature_m,
        mass_kg=record.mass_kg,
        look=look_for(record.sex, record.look, person_id=record.person_id),
        side=exercise.side or ("left" if exercise.each_side else ""),
        title=exercise.alt_start if pose == "start" else exercise.alt_end,
        library=library,
    )

"""The person's log as one self-contained page: what was done, soreness, symptoms; it works for days without a network.

It shares the store on the device and the outbox with the session page: what one keeps, the other sends too.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import astuple
from html import escape
from typing import Any

from haleward.dose.model import Programme, Walking
from haleward.plain import to_plain
from haleward.record import Record
from haleward.render.page import draft_block, json_for_html, words_named
from haleward.render.page_bundle import script, style, template
from haleward.render.page_safety import symptoms, topics
from haleward.safety.conditions import Facts
from haleward.safety.hours import parse_openings
from haleward.session.compile import WALK
from haleward.session.cue_sheet import CueSheet
from haleward.session.entry_faults import heart_rate_limits
from haleward.wording import Wording

ENTRY = "diary.js"
_FILLED_ON_PAGE = frozenset(("dose_text", "days", "unsent_count", "lowest", "highest"))


def diary_page(data: Mapping[str, Any], *, wording: Wording, values: Mapping[str, str], service: str) -> str:
    """The page as HTML text; ``data`` is what :func:`diary_data` gives, with where to send and where to go back."""
    texts = {
        "title": "diary_heading",
        "unwell": "unwell_button",
        "emergency": "banner_lead",
        "no_script": "diary_no_script",
        "no_script_tell": "diary_no_script_tell",
        "safety_link": "safety_page_link",
        "not_kept": "not_kept",
        "caution": "caution_line",
    }
    blanks = {name: escape(wording.text(key, values)) for name, key in texts.items()} | {
        "service": escape(service),
        "language": escape(wording.language),
        "direction": wording.direction,
        "draft": draft_block(wording),
        "style": style("diary.css", direction=wording.direction),
        "script": script(ENTRY),
        "data": json_for_html(data),
        "tell_url": escape(data["tell_url"]),
    }
    return re.sub(r"\{(\w+)\}", lambda match: blanks[match.group(1)], template("diary.html"))


def diary_data(
    programme: Programme,
    sheets: Mapping[str, CueSheet],
    *,
    record: Record,
    facts: Facts,
    wording: Wording,
    values: Mapping[str, str],
    asks_heart_rate: bool = False,
) -> dict[str, Any]:
    """What the log needs to know of plan and safety; ``sheets`` hold every part and the walk.

    ``asks_heart_rate``: heart rate can guide this person, and they can count it. Nobody else is asked.
    """
    first = next(iter(sheets.values()))
    shown = topics(wording, values)
    return {
        "sheet": {
            "plan_version": programme.version,
            "effort_scale": first.effort_scale,
            "effort_anchors": to_plain(first.effort_anchors),
            "effort_low": programme.effort_low,
            "effort_high": programme.effort_high,
        },
        "parts": {key: _part(key, sheet, programme.walking, wording) for key, sheet in sheets.items()},
        "words": words_named(script(ENTRY), wording, values, filled_later=_FILLED_ON_PAGE),
        "topics": shown,
        "symptoms": symptoms(record, facts, wording),
        "open_times": [astuple(one) for one in parse_openings(values.get("open_times", ""))],
        "heart_rate": list(heart_rate_limits()) if asks_heart_rate else None,
        "banner": [text for _, text in shown["header"]],
    }


def part_name(key: str, walking: Walking, wording: Wording) -> str:
    """ "Part one", "Walk", "Seated march" or "March on the spot"."""
    if key != WALK:
        return wording.text("landing_part_name", {"part_name": key})
    return wording.template(f"diary_{walking.kind}_name")


def _part(key: str, sheet: CueSheet, walking: Walking, wording: Wording) -> dict[str, Any]:
    name = part_name(key, walking, wording)
    if key == WALK:
        walk = {"movement_id": walking.movement_id, "sets": walking.bouts, "minutes": walking.bout_minutes}
        return {"name": name, "exercises": [walk]}
    exercises = [
        {
            "movement_id": one.movement_id,
            "title": one.title,
            "dose_text": one.dose_text,
            "sets": one.sets,
            "repetitions": one.repetitions,
            "hold_s": one.hold_s,
            "kit": one.kit,
        }
        for one in sheet.exercises
    ]
    return {"name": name, "exercises": exercises}

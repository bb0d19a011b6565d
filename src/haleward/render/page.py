"""The person's session as one self-contained page: it plays, counts, asks and keeps its log without a network."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from dataclasses import astuple, fields
from datetime import date
from html import escape
from typing import Any

from haleward.languages import TranslatedWording
from haleward.movement.library import Library
from haleward.plain import to_plain
from haleward.record import Record
from haleward.render.page_bundle import csp_hash, script, style, template
from haleward.render.page_figures import by_change, figures_of, still_of
from haleward.render.page_gate import day_cautions, day_gate, day_questions, plain_gate, plain_questions
from haleward.render.page_pack import pack
from haleward.render.page_safety import symptoms, topics
from haleward.render.page_sprite import Sprite
from haleward.safety.facts import facts_of
from haleward.safety.hours import parse_openings
from haleward.safety.parts import Check
from haleward.safety.protocol import Protocol
from haleward.session.bilingual import shown_sheet
from haleward.session.cue_sheet import Cue, CueSheet, SheetExercise
from haleward.session.entry_faults import heart_rate_limits
from haleward.wording import Service, Wording

_NAMED = re.compile(r'["`]([a-z][a-z0-9_]*)["`]')
_BUILT_KEYS = ("side_left", "side_right")  # named in the scripts only in part
_COOL_DOWN = ("next_cool_down", "cool_down_why", "cool_down_sit_home")
_FILLED_ON_PAGE = frozenset(
    (
        "question_number",
        "question_count",
        "movement_number",
        "exercise_count",
        "set_number",
        "sets",
        "seconds_left",
        "unsent_count",
        "done_count",
        "planned_count",
        "movement_title",
        "lowest",
        "highest",
    )
)
_SCRIPT_BLOCK = re.compile(r"<script>(.*?)</script>", re.DOTALL)
_STYLE_BLOCK = re.compile(r"<style>(.*?)</style>", re.DOTALL)


def session_page(
    sheet: CueSheet,
    *,
    record: Record,
    protocol: Protocol,
    library: Library,
    wording: Wording,
    service: Service,
    post_url: str = "",
    token: str = "",
    sprite: Sprite | None = None,
    places: tuple[int, ...] = (),
) -> str:
    """The page as HTML text.

    ``post_url`` receives the log as JSON with ``token`` in the header X-Haleward-Link; "" makes a page that keeps its
    log for the person to hand over. With ``sprite`` the page speaks with a recorded voice, whose clock drives figure
    and counts; without it the device's own voice speaks. ``places`` are those that the movements have in their part,
    where the session lacks some: the log names these. Raises :class:`haleward.errors.HalewardError` if the emergency
    number, or a value that a question of the check needs, is missing.
    """
    values = page_values(sheet, protocol=protocol, service=service)
    data = _page_data(sheet, record=record, protocol=protocol, library=library, wording=wording, values=values)
    blanks = {
        "title": escape(wording.text("booklet_title", values)),
        "service": escape(service.name),
        "unwell": escape(wording.text("unwell_button", values)),
        "emergency": escape(wording.text("banner_lead", values)),
        "no_script": escape(wording.text("page_needs_script", values)),
        "safety_link": escape(wording.text("safety_page_link", values)),
        "not_kept": escape(wording.text("not_kept", values)),
        "caution": escape(wording.text("caution_line", values)),
        "plan_line": escape(shown_sheet(sheet).plan_line),
        "language": escape(wording.language),
        "direction": wording.direction,
        "draft": draft_block(wording),
        "style": style(direction=wording.direction),
        "script": script(),
        "sprite": _sprite_block(sprite),
        "data": json_for_html(
            {**data, "post_url": post_url, "token": token, "recorded": sprite is not None, "places": places}
        ),
    }
    return re.sub(r"\{(\w+)\}", lambda match: blanks[match.group(1)], template())


def draft_block(wording: Wording) -> str:
    """The line, in English, that keeps a draft from being handed over."""
    return f'<p class="draft" lang="en" dir="ltr">{escape(wording.draft_line)}</p>\n' if wording.draft_line else ""


def _sprite_block(sprite: Sprite | None) -> str:
    """The recording, last in the page: the first screen stands before it has arrived."""
    if sprite is None:
        return ""
    return f'<script type="application/json" id="sprite">{json_for_html(sprite.plain())}</script>\n'


def page_hashes(html: str) -> dict[str, tuple[str, ...]]:
    """The hashes a content security policy needs to allow exactly this page's script and style blocks."""
    return {
        "script-src": tuple(csp_hash(block) for block in _SCRIPT_BLOCK.findall(html)),
        "style-src": tuple(csp_hash(block) for block in _STYLE_BLOCK.findall(html)),
    }


def page_values(sheet: CueSheet, *, protocol: Protocol, service: Service) -> dict[str, str]:
    """The values that fill the words of page and print: the protocol's settings, the service's own, the person's."""
    return {
        **protocol.wording_values,
        **service.values,
        "first_name": sheet.first_name,
        "effort_low": f"{sheet.effort_low:g}",
        "effort_high": f"{sheet.effort_high:g}",
        **({"hr_ceiling": sheet.rate_ceiling} if sheet.rate_ceiling else {}),
    }


def _page_data(
    sheet: CueSheet,
    *,
    record: Record,
    protocol: Protocol,
    library: Library,
    wording: Wording,
    values: Mapping[str, str],
) -> dict[str, Any]:
    today = date.fromisoformat(sheet.made_on)
    asked = day_questions(record, protocol=protocol, today=today)
    strength = any(block.kind == "set" for block in sheet.blocks)
    rules, needs, facts = day_gate(record, asked, protocol=protocol, today=today, strength=strength)
    said = _said(asked, record, today=today, wording=wording, values=values)
    drawn = [_drawn_as(exercise) for exercise in (*sheet.exercises, *sheet.frame)]
    figures = {key: figures_of(exercise, record, library) for key, exercise in _each_once(sheet).items()}
    return {
        "sheet": pack(_folded_well(sheet)),
        "figures": [pack(by_change(each)) for each in figures.values()],
        "drawn": [list(figures).index(key) for key in drawn],  # which figure each movement has
        "stills": pack([still_of(each) for each in figures.values()]),
        "gate": pack(plain_gate(rules, needs, facts, day_cautions(record, asked, protocol=protocol, today=today))),
        "heart_rate": list(heart_rate_limits()) if counts_pulse(sheet, record) else None,
        "open_times": [astuple(one) for one in parse_openings(values.get("open_times", ""))],
        "said": pack({**said, "spoken": _spoken(said, asked, record, today=today, wording=wording, values=values)}),
    }


def counts_pulse(sheet: CueSheet, record: Record) -> bool:
    """Whether a pulse can guide this session and the person counts it; nobody else is asked for one."""
    return bool(sheet.rate_ceiling) and record.answers.get("can_self_monitor") is True


def _said(
    asked: tuple[Check, ...], record: Record, *, today: date, wording: Wording, values: Mapping[str, str]
) -> dict[str, Any]:
    """Every text of the page that is not in the sheet."""
    shown = topics(wording, values)
    return {
        "words": words_named(script(), wording, values, filled_later=_FILLED_ON_PAGE),
        "checks": plain_questions(asked, wording=wording, values=values),
        "topics": shown,
        "symptoms": symptoms(record, facts_of(record, today=today), wording),
        "banner": [text for _, text in shown["header"]],
        "cool_down": _texts(_COOL_DOWN, wording, values),
        "cooled": _texts(_COOL_DOWN[-1:], wording, values),
    }


def _spoken(
    said: Mapping[str, Any],
    asked: tuple[Check, ...],
    record: Record,
    *,
    today: date,
    wording: Wording,
    values: Mapping[str, str],
) -> list[tuple[str, str]]:
    """What is spoken for each text that is shown in another language; nothing where both are one."""
    if not isinstance(wording, TranslatedWording):
        return []
    english = _said(asked, record, today=today, wording=wording.english, values=values)
    shown_ones, spoken_ones = ([*_leaves(each["words"]), *_leaves(each["checks"])] for each in (said, english))
    return [(shown, told) for shown, told in dict(zip(shown_ones, spoken_ones, strict=True)).items() if shown != told]


def _leaves(value: object) -> Iterator[str]:
    """Every text of a nested value, in order."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, Mapping):
        for each in value.values():
            yield from _leaves(each)
    elif isinstance(value, list | tuple):
        for each in value:
            yield from _leaves(each)


def _texts(keys: tuple[str, ...], wording: Wording, values: Mapping[str, str]) -> list[str]:
    return [wording.text(key, values) for key in keys if wording.has_values(key, values)]


def _folded_well(sheet: CueSheet) -> dict[str, Any]:
    """The sheet with the cues of a block as one list for each of their fields, timed from the start of the block.

    Alike sets and fields that seldom change then fold into little; ``page_assets/cues.js`` is the other half.
    """
    plain: dict[str, Any] = to_plain(sheet)
    for block in plain["blocks"]:
        for cue in block["cues"]:
            cue["start_ms"] -= block["start_ms"]
        block["cues"] = {each.name: [cue[each.name] for cue in block["cues"]] for each in fields(Cue)}
    return plain


def _drawn_as(exercise: SheetExercise) -> tuple[object, ...]:
    """What the figure of a movement depends on."""
    tempo = (exercise.out_s, exercise.pause_s, exercise.back_s)
    return (exercise.movement_id, exercise.posture, exercise.kit, *tempo, exercise.side, exercise.each_side)


def _each_once(sheet: CueSheet) -> dict[tuple[object, ...], SheetExercise]:
    """The movements of the session, those that are drawn alike only once."""
    return {_drawn_as(exercise): exercise for exercise in (*sheet.exercises, *sheet.frame)}


def words_named(
    source: str, wording: Wording, values: Mapping[str, str], *, filled_later: frozenset[str]
) -> dict[str, str]:
    """Every text that a script names; one whose value the service has not given is left out.

    ``filled_later`` are the placeholders that the script itself fills.
    """
    keys = {*_NAMED.findall(source), *_BUILT_KEYS}
    texts: dict[str, str] = {}
    for key in sorted(key for key in keys if wording.has_key(key)):
        missing = wording.missing(key, values)
        if filled_later.issuperset(missing):
            kept = {name: f"{{{name}}}" for name in missing}
            texts[key] = wording.text(key, {**values, **kept})
    return texts


def json_for_html(data: Mapping[str, Any]) -> str:
    """JSON that cannot end its script element or open a comment."""
    text = json.dumps(data, ensure_ascii=False, separators=(",", ":"))
    return text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")

"""A gate made ready for a page: its rules, the questions that would decide, and what is complete."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.utils import timezone

from haleward.safety.inputs import default_inputs
from haleward.safety.model import Gate, Question
from haleward.safety.own_words import wording_for
from haleward.safety.protocol import Protocol
from haleward.safety.recheck import Standing
from haleward.safety.rules import value_text
from haleward.safety.words import labels
from haleward.web.assessment.questions import asked_for
from haleward.web.project.templatetags.show import OUTCOMES, URGENCY
from haleward.wording import Wording

READINGS = ("sbp_rest", "dbp_rest", "hr_rest")
MEASURED = (
    *READINGS,
    "sbp_sit",
    "sbp_stand",
    "temp_c",
    "weight_gain_kg_3d",
    "glucose_mmol",
    "ketones_mmol",
    "lvad_map",
)


@dataclass(frozen=True)
class Asked:
    """One question to ask, with what its answer could bring and by which rules."""

    text: str
    effect: str
    rule_ids: tuple[str, ...] = ()


def gate_shown(gate: Gate, protocol: Protocol) -> dict[str, Any]:
    """A gate with its questions and notes."""
    words = wording_for(protocol)
    reading = any(name in READINGS for rule in gate.fired for name, _value in rule.inputs)
    glucose = any(
        name == "glucose_mmol" for rule in gate.fired for name, _value in rule.inputs if rule.level != "inform"
    )
    return {
        "gate": gate,
        "questions": questions_shown(gate, words),
        "no_effect": labels(gate.no_effect),
        "judgement": words.template("gate_judgement"),
        "no_rule": no_rule(gate, words),
        "not_assessed": words.text("gate_not_assessed", {"rule_count": str(len(gate.not_assessed))})
        if gate.not_assessed
        else "",
        "again": again("check_again", "recheck_minutes", protocol) if reading else "",
        "sugar_again": again("check_sugar_again", "sugar_recheck", protocol) if glucose else "",
    }


def no_rule(gate: Gate, words: Wording) -> str:
    """In words, that nothing fired; and whether the checks are complete."""
    if gate.fired:
        return ""
    complete = gate.outcome == "go_ahead" and not gate.missing
    return words.template("note_no_rule_complete" if complete else "note_no_rule")


def questions_shown(gate: Gate, words: Wording) -> tuple[Asked, ...]:
    """The questions that would decide, the one that could change most first; several inputs may share a question."""
    if not gate.questions:  # a gate stored before effects were worked out
        return tuple(Asked(text, "") for text in asked_for(gate.missing))
    shown: dict[str, Asked] = {}
    for one in gate.questions:
        (text,) = asked_for((one.input,))
        ids = (*(shown[text].rule_ids if text in shown else ()), *one.rule_ids)
        effect = shown[text].effect if text in shown else effect_of(one, words)
        shown[text] = Asked(text, effect, tuple(dict.fromkeys(ids)))
    return tuple(shown.values())


def effect_of(question: Question, words: Wording) -> str:
    """The strictest that an answer could bring."""
    if question.outcome == "go_ahead" or not question.rule_ids:
        return words.template("question_needed")
    soon = URGENCY[question.urgency]
    outcome = OUTCOMES[question.outcome].lower()
    return words.text("question_brings", {"outcome": f"{outcome}, {soon}" if soon else outcome})


def readings_line(answers: Mapping[str, bool | float | str]) -> str:
    """The readings of one check with their units; "" when none was taken."""
    found = default_inputs()
    taken = [(found[name], answers[name]) for name in MEASURED if name in answers]
    return ", ".join(f"{one.label} {value_text(value)} {one.unit}" for one, value in taken)


def standing_lines(standing: tuple[Standing, ...], protocol: Protocol) -> tuple[str, ...]:
    """For each reading that stopped the session: since when it stands, and from when a new one decides."""
    words, lines = wording_for(protocol), []
    for one in standing:
        values = {"reading": labels(one.inputs, between=" and "), "time": _clock(one.taken_at)}
        key = "reading_stands" if one.again_from else "reading_stands_today"
        lines.append(words.text(key, values | ({"again_from": _clock(one.again_from)} if one.again_from else {})))
    return tuple(line[:1].upper() + line[1:] for line in lines)


def _clock(moment: datetime) -> str:
    return f"{timezone.localtime(moment):%H:%M}"


def again(key: str, setting: str, protocol: Protocol) -> str:
    """When to measure again."""
    return wording_for(protocol).text(key, {setting: protocol.settings[setting].text})

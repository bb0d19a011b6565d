"""One rule more, from its parts; one rule less, with a reason. Both work on the lines, so that comments stay."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

import tomlkit

from haleward.errors import Inconsistent
from haleward.physiology.tables import texts
from haleward.safety.condition_faults import condition_faults
from haleward.safety.edits_document import Document
from haleward.safety.edits_view import parsed, row_name, rows_of
from haleward.safety.inputs import default_inputs
from haleward.safety.sentences import to_sentence
from haleward.strict_toml.lines import key_lines


@dataclass(frozen=True)
class Part:
    """One comparison of a new rule: an input of inputs.csv, how it is compared, with what, in which unit.

    ``comparison`` is one of over, under, at_least, at_most, is, known; ``unit`` belongs to the first four only.
    """

    input: str
    comparison: str
    value: bool | float | str
    unit: str = ""


@dataclass(frozen=True)
class NewRule:
    """A rule to be added. ``id`` "" takes the next free one of the team's own (L001); ``wording`` "" is made up from
    the condition. ``join`` says whether all parts must hold or any.
    """

    parts: tuple[Part, ...]
    level: str
    urgency: str
    advice: str
    sources: tuple[str, ...]
    trust: str
    stage: str = "session"
    wording: str = ""
    join: Literal["all", "any"] = "all"
    topic: str = ""
    jurisdiction: str = "ALL"
    id: str = ""


@dataclass(frozen=True)
class Retirement:
    """A rule that no longer applies, and why. Its lines stay in the file as comments."""

    rule_id: str
    reason: str


def add_rule(text: str, new: NewRule) -> str:
    """``text`` with the rule after the last one. Raises :class:`Inconsistent` when a part of it is wrong or missing."""
    ids = {str(row.get("id")) for row in rows_of(parsed(text), "rule")}
    rule_id = new.id or next(one for one in (f"L{n:03}" for n in range(1, len(ids) + 2)) if one not in ids)
    if rule_id in ids:
        raise Inconsistent(texts("edit_wording")["new_id_taken"].format(id=rule_id))
    for what in ("parts", "advice", "sources", "trust"):
        if not getattr(new, what):
            raise Inconsistent(texts("edit_wording")["new_missing"].format(what=what.replace("parts", "condition")))
    condition = _condition(new)
    faults = condition_faults(condition, default_inputs())
    if faults:
        raise Inconsistent(f"{faults[0][:1].upper()}{faults[0][1:]}.")
    row = {
        "id": rule_id,
        "stage": new.stage,
        "jurisdiction": new.jurisdiction,
        "level": new.level,
        "urgency": new.urgency,
        "condition": condition,
        "wording": " ".join(new.wording.split()) or to_sentence(condition),
        "advice": " ".join(new.advice.split()),
        **({"topic": new.topic} if new.topic else {}),
        "sources": list(new.sources),
        "trust": " ".join(new.trust.split()),
    }
    lines = text.split("\n")
    at = _last_line(lines, text, "rule", len(ids) - 1) if ids else len(lines)
    return "\n".join(
        [*lines[:at], "", "[[rule]]", *(f"{key} = {_toml(value)}" for key, value in row.items()), *lines[at:]]
    )


_HELD = (  # policies of the dose that name a rule, and what is said to somebody who would retire it
    ("sternum_rule", "retire_sternum"),
    ("short_bouts_rule", "retire_short_bouts"),
    ("frail_rule", "retire_frail"),
    ("weak_heart_rule", "retire_weak_heart"),
)


def retire_rule(text: str, gone: Retirement) -> str:
    """``text`` without the rule and without mentions of it; its lines stay as comments under the reason."""
    reason = " ".join(gone.reason.split())
    if not reason:
        raise Inconsistent(texts("edit_wording")["retire_reason"].format(id=gone.rule_id))
    values = parsed(text)
    found = [place for place, row in enumerate(rows_of(values, "rule")) if row.get("id") == gone.rule_id]
    if not found:
        raise Inconsistent(texts("edit_wording")["retire_unknown"].format(id=gone.rule_id))
    dose = values.get("dose")
    for key, told in _HELD:
        if isinstance(dose, dict) and dose.get(key) == gone.rule_id:
            raise Inconsistent(texts("edit_wording")[told].format(id=gone.rule_id))
    lines = text.split("\n")
    first = key_lines(text)[("rule", found[0])] - 1
    last = _last_line(lines, text, "rule", found[0])
    note = texts("edit_wording")["retired"].format(id=gone.rule_id, reason=reason)
    kept = [f"# {line}".rstrip() for line in lines[first:last]]
    return _without_mentions("\n".join([*lines[:first], f"# {note}", *kept, *lines[last:]]), gone.rule_id)


def _condition(new: NewRule) -> dict[str, Any]:
    leaves = [
        {"input": part.input, part.comparison: part.value, **({"unit": part.unit} if part.unit else {})}
        for part in new.parts
    ]
    return leaves[0] if len(leaves) == 1 else {new.join: leaves}


def _last_line(lines: list[str], text: str, section: str, place: int) -> int:
    """The line after the last statement of one row; the comments that follow it belong to what comes next."""
    starts = sorted({line for path, line in key_lines(text).items() if len(path) <= 2})
    first = key_lines(text)[(section, place)]
    keys = [line for path, line in key_lines(text).items() if path[:2] == (section, place) and line >= first]
    after = next((start for start in starts if start > max(keys)), len(lines) + 1)
    end = after - 1
    while end > max(keys) and (not lines[end - 1].strip() or lines[end - 1].lstrip().startswith(("#", "["))):
        end -= 1
    return end


def _without_mentions(text: str, rule_id: str) -> str:
    """Take the rule's id out of every list that names it: gates, settings, symptoms, rules on arm work."""
    document = Document(text)
    values = document.values
    for path, names in _lists(values):
        if rule_id in names:
            document.set(path, [name for name in names if name != rule_id])
    return str(document)


def _lists(values: Mapping[str, Any]) -> list[tuple[str, list[str]]]:
    found = []
    for name, gate in (values.get("gates") or {}).items():
        found += [(f"gates/{name}/{key}", gate[key]) for key in ("also", "strength") if key in gate]
    for section, key in (("setting", "same_in"), ("symptom", "ids")):
        found += [
            (f"{section}/{row_name(section, row)}/{key}", row[key]) for row in rows_of(values, section) if key in row
        ]
    if "upper_body_rules" in (values.get("dose") or {}):
        found.append(("dose/upper_body_rules", values["dose"]["upper_body_rules"]))
    return found


def _toml(value: Any) -> str:
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key} = {_toml(one)}" for key, one in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(_toml(one) for one in value) + "]"
    return str(tomlkit.item(value).as_string())

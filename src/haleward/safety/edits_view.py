"""A protocol file as forms show it: every rule, item, policy and setting with the values that can be changed.

Works on the file's plain values, so that a draft with faults can be shown as well: what is not of the expected shape
is left out here, and the reader's faults tell about it.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import fields, replace
from typing import Any, Literal, get_args, get_origin, get_type_hints

from haleward.errors import FileFault
from haleward.physiology.tables import rows, texts
from haleward.safety.condition_faults import condition_faults
from haleward.safety.edits_choices import choice_words_for, choices_for, keeps_for
from haleward.safety.edits_fields import Entry, Field, FieldKind, Group, Sections
from haleward.safety.edits_limits import limits_in
from haleward.safety.edits_mirror import mirrors
from haleward.safety.inputs import default_inputs
from haleward.safety.parts import Stage
from haleward.safety.policy import DosePolicy, IntensityPolicy, ProgressionPolicy
from haleward.safety.sentences import to_sentence
from haleward.strict_toml.dataclass import present

POLICIES: Mapping[str, type] = {"intensity": IntensityPolicy, "dose": DosePolicy, "progression": ProgressionPolicy}
_KINDS: Mapping[Any, FieldKind] = {bool: "flag", int: "whole", float: "number", str: "text"}
Row = Mapping[str, Any]


def editable(text: str, *, choices: Mapping[str, Mapping[str, str]] | None = None) -> Sections:
    """The structured view of a protocol's text. ``choices`` adds what other rooms know, by path: each code's words.

    Raises :class:`FileFault` with one sentence when the text is not TOML.
    """
    values = parsed(text)
    groups = (
        Group("protocol", texts("edit_wording")["group_protocol"], tuple(_plain(values, "protocol"))),
        *_rule_groups(values),
        _group("gates", _gates(values)),
        _group("risk", (*_plain(values, "risk"), *_rows(values, "risk_item"))),
        _group("placement", (*_plain(values, "placement"), *_rows(values, "placement_rule"))),
        *(_group(name, _policy(name, values)) for name in POLICIES),
        _group("symptoms", (*_plain(values, "concerns"), *_rows(values, "symptom"))),
        _group("settings", _rows(values, "setting")),
        _group("numbers", _rows(values, "number")),
        _group("wording", _rows(values, "wording")),
    )
    return _linked(Sections(groups), values, {"dose/upper_body_rules": _resistance_rules(values), **(choices or {})})


def parsed(text: str) -> Row:
    """The plain values of a text; :class:`FileFault` when it is not TOML."""
    try:
        return tomllib.loads(text)
    except ValueError as error:
        raise FileFault([f"The protocol cannot be read as TOML: {error}."]) from error


def row_name(section: str, row: Row) -> str:
    """How a path names one row of an array of tables: its id, key, or name with its jurisdiction."""
    if section in ("setting", "number"):
        return f"{row.get('name', '')}@{row.get('jurisdiction', '')}"
    return str(row.get("key" if section in ("symptom", "wording") else "id", ""))


def rows_of(values: Row, section: str) -> Iterator[Row]:
    """The rows of an array of tables, whatever else stands there."""
    found = values.get(section)
    yield from (row for row in (found if isinstance(found, list) else ()) if isinstance(row, dict))


def _group(key: str, entries: Iterator[Entry] | tuple[Entry, ...]) -> Group:
    return Group(key, texts("edit_wording")[f"group_{key}"], tuple(entries))


def _rule_groups(values: Row) -> Iterator[Group]:
    entries = {stage: [] for stage in get_args(Stage)}  # type: dict[str, list[Entry]]
    for row, entry in zip(rows_of(values, "rule"), _rows(values, "rule"), strict=True):
        entries.get(row.get("stage", ""), entries["entry"]).append(entry)
    for stage, found in entries.items():
        yield Group(f"rules.{stage}", texts("edit_wording")[f"stage_{stage}"], tuple(found))


def _rows(values: Row, section: str) -> Iterator[Entry]:
    for row in rows_of(values, section):
        name = row_name(section, row)
        path = f"{section}/{name}"
        condition = row.get("condition")
        sound = isinstance(condition, dict) and not condition_faults(condition, default_inputs())
        yield Entry(
            path=path,
            id=name.split("@")[0],
            title=str(row.get("wording") or row.get("criterion") or row.get("label") or row.get("text") or name),
            sentence=to_sentence(condition) if sound and condition else "",
            fields=tuple(_written(section, row, path)),
            limits=tuple(limits_in(condition, f"{path}/condition")) if sound and condition else (),
            jurisdiction=str(row.get("jurisdiction", "ALL")),
        )


def _plain(values: Row, section: str) -> Iterator[Entry]:
    row = values.get(section)
    if isinstance(row, dict):
        title = texts("edit_wording").get(f"group_{section}", section)
        yield Entry(section, section, title, "", tuple(_written(section, row, section)))


def _written(section: str, row: Row, path: str) -> Iterator[Field]:
    """The fields of ``edit_fields.csv`` that this row has."""
    for spec in rows("edit_fields"):
        key = spec["key"]
        if spec["section"] != section or key not in row:
            continue
        value = row[key]
        kind: Any = "numbers" if spec["kind"] == "number" and isinstance(value, list) else spec["kind"]
        unit = str(row.get("unit", "")) if section == "setting" and key == "value" else ""
        yield Field(
            path=f"{path}/{key}",
            label=spec["label"],
            kind=kind,
            value=value,
            unit=unit,
            choices=choices_for(section, key),
            choice_words=choice_words_for(section, key),
        )


def _policy(name: str, values: Row) -> Iterator[Entry]:
    row = values.get(name)
    if not isinstance(row, dict):
        return
    hints = get_type_hints(POLICIES[name])
    words = {one["key"]: one for one in rows("protocol_fields")}
    found = []
    for item in fields(POLICIES[name]):
        if item.name not in row:
            continue
        told = words.get(f"{name}.{item.name}", {"label": item.name.replace("_", " "), "unit": "", "sentence": ""})
        found.append(
            Field(
                path=f"{name}/{item.name}",
                label=told["label"],
                kind=_kind(hints[item.name]),
                value=row[item.name],
                unit=told["unit"],
                choices=_literal(hints[item.name]) or choices_for(name, item.name),
                sentence=told["sentence"],
                keeps=keeps_for(name, item.name),
            )
        )
    yield Entry(name, name, texts("edit_wording")[f"group_{name}"], "", tuple(found))


def _there(field: Field) -> tuple[str, ...]:
    """What a list holds already: it stays a choice, so that nobody loses it by saving something else."""
    return tuple(map(str, field.value)) if field.kind == "texts" and isinstance(field.value, list) else ()


def _kind(hint: Any) -> FieldKind:
    hint = present(hint)
    if get_origin(hint) is Literal:
        return "choice"
    return "texts" if get_origin(hint) is tuple else _KINDS[hint]


def _literal(hint: Any) -> tuple[str, ...]:
    return tuple(get_args(hint)) if get_origin(hint) is Literal else ()


def _gates(values: Row) -> Iterator[Entry]:
    gates = values.get("gates")
    for name, gate in (gates if isinstance(gates, dict) else {}).items():
        limits = []
        for need in gate.get("needs", ()) if isinstance(gate, dict) else ():
            when = need.get("when") if isinstance(need, dict) else None
            if isinstance(when, dict) and not condition_faults(when, default_inputs()):
                path = f"gates/{name}/needs/{need.get('input')}/when"
                limits += [_needed(one, str(need.get("input"))) for one in limits_in(when, path)]
        title = texts("edit_wording").get(f"gate_{name}", str(name))
        yield Entry(f"gates/{name}", name, title, "", (), tuple(limits))


def _needed(limit: Field, name: str) -> Field:
    need = default_inputs()[name].label if name in default_inputs() else name
    label = texts("edit_wording")["need_limit"].format(need=need, label=limit.label)
    return replace(limit, label=label)


def _resistance_rules(values: Row) -> Mapping[str, str]:
    """The rules on resistance work, each by its id and what it finds."""
    found = (row for row in rows_of(values, "rule") if row.get("stage") == "resistance")
    return {str(row.get("id", "")): f"{row.get('id', '')}: {row.get('wording', '')}" for row in found}


def _linked(sections: Sections, values: Row, choices: Mapping[str, Mapping[str, str]]) -> Sections:
    """The same with the paths that move together, and with the choices of other rooms."""
    linked = mirrors(values)
    return Sections(tuple(_linked_group(group, linked, choices) for group in sections.groups))


def _linked_group(
    group: Group, linked: Mapping[str, tuple[str, ...]], choices: Mapping[str, Mapping[str, str]]
) -> Group:
    def one(field: Field) -> Field:
        words = choices.get(field.path, field.choice_words)
        offered = tuple(choices[field.path]) if field.path in choices else field.choices
        kind: FieldKind = "choice" if offered and field.kind == "text" else field.kind
        there = _there(field) if offered else ()
        offered = (*offered, *(code for code in there if code not in offered))
        moves = linked.get(field.path, ())
        return replace(field, kind=kind, choices=offered, choice_words=words, moves_with=moves)

    entries = (
        replace(entry, fields=tuple(map(one, entry.fields)), limits=tuple(map(one, entry.limits)))
        for entry in group.entries
    )
    return replace(group, entries=tuple(entries))

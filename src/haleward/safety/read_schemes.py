"""Reads the risk scheme, placement, questions and symptoms from a protocol file, recording every fault on the way."""

from __future__ import annotations

from collections.abc import Mapping
from typing import get_args

from haleward.safety.inputs import default_inputs
from haleward.safety.parts import (
    CONCERN_LEVELS,
    Band,
    Check,
    ConcernRules,
    Effect,
    PlacementRule,
    PlacementRules,
    RiskItem,
    Stratification,
    Symptom,
)
from haleward.safety.read_common import condition, input_name, input_names, topic_name, topics_when, unique
from haleward.strict_toml import Table
from haleward.wording import default_wording


def read_stratification(top: Table) -> Stratification:
    """The risk scheme with the items that its two settings leave in force."""
    table = top.table("risk")
    scheme = Stratification(
        scheme=table.text("scheme"),
        items=(),
        capacity_under_5_mets=table.choice("capacity_under_5_mets", ("high", "moderate")),
        icd_counts_as_high=table.flag("icd_counts_as_high"),
        capacity_not_measured=table.choice("capacity_not_measured", ("omit",)),
        source=table.text("source"),
    )
    table.close()
    chosen = {
        "capacity_under_5_mets": scheme.capacity_under_5_mets,
        "icd_counts_as_high": scheme.icd_counts_as_high,
    }
    tables = top.tables("risk_item")
    unique(tables, "id")
    items = [(_risk_item(row), _applies(row, chosen)) for row in tables]
    for row in tables:
        row.close()
    return Stratification(**{**vars(scheme), "items": tuple(item for item, applies in items if applies)})


def _risk_item(table: Table) -> RiskItem:
    return RiskItem(
        id=table.text("id"),
        domain=table.text("domain"),
        band=table.choice("band", get_args(Band)),
        criterion=table.text("criterion"),
        condition=condition(table, "condition"),
        sources=table.texts("sources"),
        trust=table.text("trust"),
        omit_if_unknown=table.flag("omit_if_unknown", default=False),
    )


def _applies(table: Table, chosen: Mapping[str, object]) -> bool:
    wanted = table.value("applies_if", "a table of risk settings", lambda v: isinstance(v, dict), {}) or {}
    for name in wanted.keys() - chosen.keys():
        table.wrong("applies_if", f'there is no risk setting "{name}"')
    return all(chosen.get(name) == value for name, value in wanted.items())


def read_placement(top: Table) -> PlacementRules:
    """The placement rules and what they need."""
    table = top.table("placement")
    rows = top.tables("placement_rule")
    unique(rows, "id")
    rules = PlacementRules(
        rules=tuple(_placement_rule(row) for row in rows),
        standing_needs=input_names(table, "standing_needs"),
        supported_needs=input_names(table, "supported_needs"),
        narrow_base_needs=input_names(table, "narrow_base_needs"),
        source=table.text("source"),
    )
    table.close()
    return rules


def _placement_rule(table: Table) -> PlacementRule:
    rule = PlacementRule(
        id=table.text("id"),
        effect=table.choice("effect", get_args(Effect)),
        basis=table.text("basis"),
        condition=condition(table, "condition"),
        wording=table.text("wording"),
        sources=table.texts("sources"),
        trust=table.text("trust"),
    )
    table.close()
    return rule


def read_checks(top: Table) -> tuple[Check, ...]:
    """The day's questions, in the order they are asked."""
    tables = top.tables("check")
    unique(tables, "wording")
    return tuple(_check(table) for table in tables)


def _check(table: Table) -> Check:
    kind = table.choice("kind", ("yes_no", "confirm", "number"))
    counted = kind == "number"
    check = Check(
        wording=table.text("wording"),
        kind=kind,  # type: ignore[arg-type]
        topic=topic_name(table),
        places=tuple(table.texts("places")),  # type: ignore[arg-type]
        source=table.text("source"),
        answers_yes={} if counted else _answers(table, "answers_yes"),
        answers_no={} if counted else _answers(table, "answers_no"),
        input=input_name(table, "input", table.text("input")) if counted else "",
        unit=table.text("unit") if counted else "",
        ask_when=condition(table, "ask_when") if table.has("ask_when") else None,
        topic_when=topics_when(table),
        trust=table.text("trust", default=""),
    )
    if counted and check.input and default_inputs()[check.input].unit != check.unit:
        table.wrong("unit", f'the unit of {check.input} is "{default_inputs()[check.input].unit}", not "{check.unit}"')
    for place in set(check.places) - {"hall", "home"}:
        table.wrong("places", f'unknown place "{place}"; the places are hall and home')
    if not default_wording().has_key(check.wording):
        table.wrong("wording", f'there is no wording "{check.wording}" in session.csv')
    table.close()
    return check


def _answers(table: Table, key: str) -> dict[str, bool]:
    wanted = "a table of yes/no inputs such as {acute_illness = false}"
    answers = table.value(
        key, wanted, lambda v: isinstance(v, dict) and all(isinstance(one, bool) for one in v.values())
    )
    for name in answers or {}:
        input_name(table, key, name)
    return dict(answers or {})


def read_concerns(top: Table) -> ConcernRules:
    """The symptom list and what happens to anything else."""
    table = top.table("concerns")
    rows = top.tables("symptom")
    unique(rows, "key")
    rules = ConcernRules(
        symptoms=tuple(_symptom(row) for row in rows),
        unknown_level=table.choice("unknown_level", CONCERN_LEVELS),
        unknown_topic=topic_name(table, key="unknown_topic"),
        source=table.text("source"),
    )
    table.close()
    usual = [symptom.topic for symptom in rules.symptoms if symptom.usual]
    for topic in {symptom.topic for symptom in rules.symptoms}:
        if usual.count(topic) != 1:
            table.wrong("", f'topic "{topic}" has {usual.count(topic)} usual symptoms; it must have one')
    return rules


def _symptom(table: Table) -> Symptom:
    symptom = Symptom(
        key=table.text("key"),
        topic=topic_name(table),
        label=table.text("label"),
        level=table.choice("level", CONCERN_LEVELS),
        ids=table.texts("ids"),
        usual=table.flag("usual"),
        topic_when=topics_when(table),
        sources=table.texts("sources", default=()),
        trust=table.text("trust", default=""),
    )
    table.close()
    return symptom

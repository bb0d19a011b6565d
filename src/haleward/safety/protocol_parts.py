"""Reads the sections of a protocol file into :mod:`haleward.safety.parts`, recording every fault on the way."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, get_args

from haleward.safety.condition_faults import condition_faults
from haleward.safety.conditions import COMPARISONS, Condition, inputs_of, leaves
from haleward.safety.inputs import default_inputs
from haleward.safety.parts import (
    CONCERN_LEVELS,
    RULE_LEVELS,
    URGENCIES,
    Band,
    Check,
    ConcernRules,
    Effect,
    GateName,
    GateRules,
    Jurisdiction,
    Need,
    PlacementRule,
    PlacementRules,
    RiskItem,
    Rule,
    Setting,
    Stage,
    Stratification,
    Symptom,
    TopicWhen,
)
from haleward.safety.toml_table import Table, TomlFile, is_number
from haleward.wording import default_wording

SECTIONS = {
    "protocol",
    "gates",
    "rule",
    "risk",
    "risk_item",
    "placement",
    "placement_rule",
    "intensity",
    "dose",
    "progression",
    "check",
    "concerns",
    "symptom",
    "setting",
}
_WHERE: tuple[Jurisdiction, ...] = get_args(Jurisdiction)
_NONE: Condition = {"input": "age_y", "known": True}  # stands in for a condition that has a fault


def read_rules(file: TomlFile, jurisdiction: Jurisdiction) -> tuple[Rule, ...]:
    """Every rule for ALL and for ``jurisdiction``; rules for others are read and checked too, then left out."""
    tables = file.tables("rule")
    _unique(tables, "id")
    rules = [_rule(table) for table in tables]
    return tuple(rule for rule in rules if rule.jurisdiction in ("ALL", jurisdiction))


def _rule(table: Table) -> Rule:
    rule = Rule(
        id=table.text("id"),
        stage=table.choice("stage", get_args(Stage)),
        jurisdiction=table.choice("jurisdiction", _WHERE),
        level=table.choice("level", RULE_LEVELS),
        urgency=table.choice("urgency", URGENCIES),
        condition=_condition(table, "condition"),
        wording=table.text("wording"),
        advice=table.text("advice"),
        sources=table.texts("sources"),
        trust=table.text("trust"),
        topic=_topic(table, default=""),
    )
    table.done()
    return rule


def read_gates(file: TomlFile, rules: tuple[Rule, ...]) -> Mapping[GateName, GateRules]:
    """The three gates. Every input a need depends on must be needed itself, or an unknown could slip through."""
    gates: dict[GateName, GateRules] = {}
    known = {rule.id for rule in rules}
    for name in get_args(GateName):
        table = file.table(f"gates.{name}")
        gate = GateRules(
            name=name,
            stages=tuple(table.texts("stages")),  # type: ignore[arg-type]
            also=table.texts("also"),
            strength=table.texts("strength"),
            needs=tuple(_needs(table)),
        )
        for stage in set(gate.stages) - set(get_args(Stage)):
            table.fault("stages", f'unknown stage "{stage}"')
        for rule_id in {*gate.also, *gate.strength} - known:
            table.fault("also", f"there is no rule {rule_id} for this jurisdiction")
        needed = {need.input for need in gate.needs}
        for need in gate.needs:
            for other in set(inputs_of(need.when or {})) - needed:
                table.fault("needs", f"{need.input} is needed depending on {other}, which must then be needed as well")
        table.done()
        gates[name] = gate
    return gates


def _needs(table: Table) -> list[Need]:
    rows = table.get("needs", "a list of {input = ..., when = ...}", _is_tables, [])
    needs = []
    for row in rows:
        if unknown := row.keys() - {"input", "when"}:
            table.fault("needs", f"unknown key {', '.join(sorted(unknown))} in needs")
        name = _input(table, "needs", row.get("input"))
        when = row.get("when")
        if when is not None:
            when = _checked(table, "needs", when)
        needs.append(Need(name, when))
    return needs


def read_stratification(file: TomlFile) -> Stratification:
    """The risk scheme with the items that its two settings leave in force."""
    table = file.table("risk")
    scheme = Stratification(
        scheme=table.text("scheme"),
        items=(),
        capacity_under_5_mets=table.choice("capacity_under_5_mets", ("high", "moderate")),
        icd_counts_as_high=table.flag("icd_counts_as_high"),
        capacity_not_measured=table.choice("capacity_not_measured", ("omit",)),
        source=table.text("source"),
    )
    table.done()
    chosen = {
        "capacity_under_5_mets": scheme.capacity_under_5_mets,
        "icd_counts_as_high": scheme.icd_counts_as_high,
    }
    tables = file.tables("risk_item")
    _unique(tables, "id")
    items = [(_risk_item(row), _applies(row, chosen)) for row in tables]
    for row in tables:
        row.done()
    return Stratification(**{**vars(scheme), "items": tuple(item for item, applies in items if applies)})


def _risk_item(table: Table) -> RiskItem:
    return RiskItem(
        id=table.text("id"),
        domain=table.text("domain"),
        band=table.choice("band", get_args(Band)),
        criterion=table.text("criterion"),
        condition=_condition(table, "condition"),
        sources=table.texts("sources"),
        trust=table.text("trust"),
        omit_if_unknown=table.flag("omit_if_unknown", default=False),
    )


def _applies(table: Table, chosen: Mapping[str, object]) -> bool:
    wanted = table.get("applies_if", "a table of risk settings", lambda v: isinstance(v, dict), {}, {})
    for name in wanted.keys() - chosen.keys():
        table.fault("applies_if", f'there is no risk setting "{name}"')
    return all(chosen.get(name) == value for name, value in wanted.items())


def read_placement(file: TomlFile) -> PlacementRules:
    """The placement rules and what they need."""
    table = file.table("placement")
    rows = file.tables("placement_rule")
    _unique(rows, "id")
    rules = PlacementRules(
        rules=tuple(_placement_rule(row) for row in rows),
        standing_needs=_inputs(table, "standing_needs"),
        supported_needs=_inputs(table, "supported_needs"),
        narrow_base_needs=_inputs(table, "narrow_base_needs"),
        source=table.text("source"),
    )
    table.done()
    return rules


def _placement_rule(table: Table) -> PlacementRule:
    rule = PlacementRule(
        id=table.text("id"),
        effect=table.choice("effect", get_args(Effect)),
        basis=table.text("basis"),
        condition=_condition(table, "condition"),
        wording=table.text("wording"),
        sources=table.texts("sources"),
        trust=table.text("trust"),
    )
    table.done()
    return rule


def read_checks(file: TomlFile) -> tuple[Check, ...]:
    """The day's questions, in the order they are asked."""
    tables = file.tables("check")
    _unique(tables, "wording")
    return tuple(_check(table) for table in tables)


def _check(table: Table) -> Check:
    kind = table.choice("kind", ("yes_no", "confirm", "number"))
    counted = kind == "number"
    check = Check(
        wording=table.text("wording"),
        kind=kind,  # type: ignore[arg-type]
        topic=_topic(table),
        places=tuple(table.texts("places")),  # type: ignore[arg-type]
        source=table.text("source"),
        answers_yes={} if counted else _answers(table, "answers_yes"),
        answers_no={} if counted else _answers(table, "answers_no"),
        input=_input(table, "input", table.text("input")) if counted else "",
        unit=table.text("unit") if counted else "",
        ask_when=_condition(table, "ask_when") if table.has("ask_when") else None,
        topic_when=_topics_when(table),
    )
    if counted and check.input and default_inputs()[check.input].unit != check.unit:
        table.fault("unit", f'the unit of {check.input} is "{default_inputs()[check.input].unit}", not "{check.unit}"')
    for place in set(check.places) - {"hall", "home"}:
        table.fault("places", f'unknown place "{place}"; the places are hall and home')
    if not default_wording().has_key(check.wording):
        table.fault("wording", f'there is no wording "{check.wording}" in session.csv')
    table.done()
    return check


def _answers(table: Table, key: str) -> dict[str, bool]:
    wanted = "a table of yes/no inputs such as {acute_illness = false}"
    answers = table.get(
        key, wanted, lambda v: isinstance(v, dict) and all(isinstance(one, bool) for one in v.values()), {}
    )
    for name in answers:
        _input(table, key, name)
    return dict(answers)


def read_concerns(file: TomlFile) -> ConcernRules:
    """The symptom list and what happens to anything else."""
    table = file.table("concerns")
    rows = file.tables("symptom")
    _unique(rows, "key")
    rules = ConcernRules(
        symptoms=tuple(_symptom(row) for row in rows),
        unknown_level=table.choice("unknown_level", CONCERN_LEVELS),
        unknown_topic=_topic(table, key="unknown_topic"),
        source=table.text("source"),
    )
    table.done()
    usual = [symptom.topic for symptom in rules.symptoms if symptom.usual]
    for topic in {symptom.topic for symptom in rules.symptoms}:
        if usual.count(topic) != 1:
            table.fault("", f'topic "{topic}" has {usual.count(topic)} usual symptoms; it must have one')
    return rules


def _symptom(table: Table) -> Symptom:
    symptom = Symptom(
        key=table.text("key"),
        topic=_topic(table),
        label=table.text("label"),
        level=table.choice("level", CONCERN_LEVELS),
        ids=table.texts("ids"),
        usual=table.flag("usual"),
        topic_when=_topics_when(table),
    )
    table.done()
    return symptom


def read_settings(file: TomlFile, jurisdiction: Jurisdiction, rules: tuple[Rule, ...]) -> Mapping[str, Setting]:
    """The settings for ALL and for ``jurisdiction``, which must agree with the rules they name."""
    settings: dict[str, Setting] = {}
    limits = {rule.id: _numbers(rule.condition) for rule in rules if rule.condition is not _NONE}
    faulty = {rule.id for rule in rules} - limits.keys()  # already reported
    for table in file.tables("setting"):
        setting = _setting(table)
        if setting.jurisdiction not in ("ALL", jurisdiction):
            continue
        if setting.name in settings:
            table.fault("name", f"{setting.name} is given twice for this jurisdiction")
        for rule_id in set(setting.same_in) - faulty:
            missing = [value for value in setting.value if value not in limits.get(rule_id, ())]
            if missing:
                table.fault("value", f"{missing[0]:g} {setting.unit} is not the value in rule {rule_id}")
        settings[setting.name] = setting
    return settings


def _setting(table: Table) -> Setting:
    value = table.get("value", "a number or a list of numbers", _is_numbers, [])
    setting = Setting(
        name=table.text("name"),
        jurisdiction=table.choice("jurisdiction", _WHERE),
        value=tuple(float(one) for one in (value if isinstance(value, list) else [value])),
        unit=table.text("unit"),
        text=table.text("text"),
        sources=table.texts("sources"),
        trust=table.text("trust"),
        same_in=table.texts("same_in", default=()),
    )
    table.done()
    return setting


def _numbers(condition: Condition) -> set[float]:
    """Every number a condition compares with, without its sign (a margin is written as plus = -10)."""
    found: set[float] = set()
    for leaf in leaves(condition):
        for test in (*COMPARISONS, "is"):
            limit = leaf.get(test)
            limit = limit.get("plus") if isinstance(limit, Mapping) else limit
            if is_number(limit):
                found.add(abs(float(limit)))  # type: ignore[arg-type]
    return found


def _condition(table: Table, key: str) -> Condition:
    found = table.get(key, "a condition such as {input = ..., is = true}", lambda v: isinstance(v, dict), None)
    return _NONE if found is None else _checked(table, key, found)


def _checked(table: Table, key: str, condition: Any) -> Condition:
    faults = condition_faults(condition, default_inputs())
    for fault in faults:
        table.fault(key, fault)
    return _NONE if faults else condition


def _input(table: Table, key: str, name: object) -> str:
    if name in default_inputs():
        return str(name)
    table.fault(key, f'unknown input "{name}"; the inputs are listed in data/tables/inputs.csv')
    return ""


def _inputs(table: Table, key: str) -> tuple[str, ...]:
    return tuple(_input(table, key, name) for name in table.texts(key))


def _topic(table: Table, key: str = "topic", default: str | None = None) -> str:
    topic = table.text(key, default)
    if topic and topic not in default_wording().topics:
        table.fault(key, f'there is no topic "{topic}" in safety.csv')
    return topic


def _topics_when(table: Table) -> tuple[TopicWhen, ...]:
    rows = table.get("topic_when", "a list of {topic = ..., when = ...}", _is_tables, [], [])
    for row in rows:
        if row.keys() != {"topic", "when"} or row["topic"] not in default_wording().topics:
            table.fault("topic_when", "each entry has a topic of safety.csv and a condition called when")
            return ()
    return tuple(TopicWhen(row["topic"], _checked(table, "topic_when", row["when"])) for row in rows)


def _unique(tables: list[Table], key: str) -> None:
    seen: set[object] = set()
    for table in tables:
        value = (table.values or {}).get(key)
        if value in seen:
            table.fault(key, f'{key} "{value}" is used twice')
        seen.add(value)


def _is_tables(value: Any) -> bool:
    return isinstance(value, list) and all(isinstance(one, dict) for one in value)


def _is_numbers(value: Any) -> bool:
    return is_number(value) or (isinstance(value, list) and bool(value) and all(map(is_number, value)))

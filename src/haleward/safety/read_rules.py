"""Reads rules, gates and settings from a protocol file, recording every fault on the way."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, get_args

from haleward.safety.conditions import inputs_of, numbers_of
from haleward.safety.parts import (
    RULE_LEVELS,
    URGENCIES,
    GateName,
    GateRules,
    Jurisdiction,
    Need,
    Rule,
    Setting,
    Stage,
)
from haleward.safety.read_common import (
    FAULTY,
    checked,
    condition,
    input_name,
    input_names,
    topic_name,
    unique,
)
from haleward.strict_toml import Table, is_number, is_tables

_WHERE: tuple[Jurisdiction, ...] = get_args(Jurisdiction)


def read_rules(top: Table, jurisdiction: Jurisdiction) -> tuple[Rule, ...]:
    """Every rule for ALL and for ``jurisdiction``; rules for others are read and checked too, then left out."""
    tables = top.tables("rule")
    unique(tables, "id")
    rules = [_rule(table) for table in tables]
    return tuple(rule for rule in rules if rule.jurisdiction in ("ALL", jurisdiction))


def _rule(table: Table) -> Rule:
    rule = Rule(
        id=table.text("id"),
        stage=table.choice("stage", get_args(Stage)),
        jurisdiction=table.choice("jurisdiction", _WHERE),
        level=table.choice("level", RULE_LEVELS),
        urgency=table.choice("urgency", URGENCIES),
        condition=condition(table, "condition"),
        wording=table.text("wording"),
        advice=table.text("advice"),
        sources=table.texts("sources"),
        trust=table.text("trust"),
        topic=topic_name(table, default=""),
    )
    table.close()
    return rule


def read_gates(top: Table, rules: tuple[Rule, ...]) -> Mapping[GateName, GateRules]:
    """The three gates. Every input a need depends on must be needed itself, or an unknown could slip through."""
    gates: dict[GateName, GateRules] = {}
    known = {rule.id for rule in rules}
    section = top.table("gates")
    for name in get_args(GateName):
        table = section.table(name)
        gate = GateRules(
            name=name,
            stages=tuple(table.texts("stages")),  # type: ignore[arg-type]
            also=table.texts("also"),
            strength=table.texts("strength"),
            needs=tuple(_needs(table)),
            readings=input_names(table, "readings", default=()),
        )
        for stage in set(gate.stages) - set(get_args(Stage)):
            table.wrong("stages", f'unknown stage "{stage}"')
        for rule_id in {*gate.also, *gate.strength} - known:
            table.wrong("also", f"there is no rule {rule_id} for this jurisdiction")
        needed = {need.input for need in gate.needs}
        for need in gate.needs:
            for other in set(inputs_of(need.when or {})) - needed:
                table.wrong("needs", f"{need.input} is needed depending on {other}, which must then be needed as well")
        if cycle := _cycle(gate.needs):
            table.wrong("needs", f"{' depends on '.join(cycle)}: none of them would ever be asked; need one always")
        table.close()
        gates[name] = gate
    section.close()
    return gates


def _needs(table: Table) -> list[Need]:
    rows = table.value("needs", "a list of {input = ..., when = ...}", is_tables)
    needs = []
    for row in rows or ():
        if unknown := row.keys() - {"input", "when"}:
            table.wrong("needs", f"unknown key {', '.join(sorted(unknown))} in needs")
        name = input_name(table, "needs", row.get("input"))
        when = row.get("when")
        if when is not None:
            when = checked(table, "needs", when)
        needs.append(Need(name, when))
    return needs


def _cycle(needs: tuple[Need, ...]) -> tuple[str, ...]:
    """Inputs that are each needed depending on the next and so, at last, on themselves; empty if there are none."""
    rests_on = {need.input: inputs_of(need.when or {}) for need in needs}
    for start in rests_on:
        ways: list[tuple[str, ...]] = [(start,)]
        seen: set[str] = set()
        while ways:
            way = ways.pop()
            for name in rests_on.get(way[-1], ()):
                if name == start:
                    return (*way, start)
                if name not in seen:
                    seen.add(name)
                    ways.append((*way, name))
    return ()


def read_settings(top: Table, jurisdiction: Jurisdiction, rules: tuple[Rule, ...]) -> Mapping[str, Setting]:
    """The settings for ALL and for ``jurisdiction``, which must agree with the rules they name."""
    settings: dict[str, Setting] = {}
    limits = {rule.id: numbers_of(rule.condition) for rule in rules if rule.condition is not FAULTY}
    faulty = {rule.id for rule in rules} - limits.keys()  # already reported
    for table in top.tables("setting"):
        setting = _setting(table)
        if setting.jurisdiction not in ("ALL", jurisdiction):
            continue
        if setting.name in settings:
            table.wrong("name", f"{setting.name} is given twice for this jurisdiction")
        for rule_id in set(setting.same_in) - faulty:
            missing = [value for value in setting.value if value not in limits.get(rule_id, ())]
            if missing:
                table.wrong("value", f"{missing[0]:g} {setting.unit} is not the value in rule {rule_id}")
        settings[setting.name] = setting
    return settings


def _setting(table: Table) -> Setting:
    value = table.value("value", "a number or a list of numbers", _is_numbers)
    setting = Setting(
        name=table.text("name"),
        jurisdiction=table.choice("jurisdiction", _WHERE),
        value=_as_numbers(value),
        unit=table.text("unit"),
        text=table.text("text"),
        sources=table.texts("sources"),
        trust=table.text("trust"),
        same_in=table.texts("same_in", default=()),
    )
    table.close()
    return setting


def _as_numbers(value: Any) -> tuple[float, ...]:
    """The numbers of a setting, none for one that was faulty."""
    found = value if isinstance(value, list) else [] if value is None else [value]
    return tuple(float(one) for one in found)


def _is_numbers(value: Any) -> bool:
    return is_number(value) or (isinstance(value, list) and bool(value) and all(map(is_number, value)))

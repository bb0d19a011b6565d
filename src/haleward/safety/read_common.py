"""What the sections of a protocol file have in common: conditions, inputs, topics and ids, read with their faults."""

from __future__ import annotations

from typing import Any

from haleward.safety.condition_faults import condition_faults
from haleward.safety.conditions import Condition
from haleward.safety.inputs import default_inputs
from haleward.safety.parts import TopicWhen
from haleward.strict_toml import Table, is_tables
from haleward.wording import default_wording

FAULTY: Condition = {"input": "age_y", "known": True}  # stands in for a condition that has a fault


def condition(table: Table, key: str) -> Condition:
    """The condition under ``key``; :data:`FAULTY` with its faults recorded if it is badly written."""
    found = table.value(key, "a condition such as {input = ..., is = true}", lambda v: isinstance(v, dict))
    return FAULTY if found is None else checked(table, key, found)


def checked(table: Table, key: str, condition: Any) -> Condition:
    """``condition`` if it is well formed, else :data:`FAULTY` with its faults recorded."""
    faults = condition_faults(condition, default_inputs())
    for fault in faults:
        table.wrong(key, fault)
    return FAULTY if faults else condition


def input_name(table: Table, key: str, name: object) -> str:
    """``name`` if it is an input, else "" with the fault recorded."""
    if isinstance(name, str) and name in default_inputs():
        return name
    table.wrong(key, f'unknown input "{name}"; the inputs are listed in data/tables/inputs.csv')
    return ""


def input_names(table: Table, key: str, default: tuple[str, ...] | None = None) -> tuple[str, ...]:
    """A list of inputs."""
    return tuple(input_name(table, key, name) for name in table.texts(key, default))


def topic_name(table: Table, key: str = "topic", default: str | None = None) -> str:
    """A topic of safety.csv."""
    topic = table.text(key, default)
    if topic and topic not in default_wording().topics:
        table.wrong(key, f'there is no topic "{topic}" in safety.csv')
    return topic


def topics_when(table: Table) -> tuple[TopicWhen, ...]:
    """The topics that replace the usual one, each with its condition."""
    rows = table.value("topic_when", "a list of {topic = ..., when = ...}", is_tables, [])
    for row in rows or ():
        if row.keys() != {"topic", "when"} or row["topic"] not in default_wording().topics:
            table.wrong("topic_when", "each entry has a topic of safety.csv and a condition called when")
            return ()
    return tuple(TopicWhen(row["topic"], checked(table, "topic_when", row["when"])) for row in rows or ())


def unique(tables: tuple[Table, ...], key: str) -> None:
    """Record a fault for every value of ``key`` that is used twice."""
    seen: set[str] = set()
    for table in tables:
        value = table.raw(key)
        if isinstance(value, str) and value in seen:
            table.wrong(key, f'{key} "{value}" is used twice')
        if isinstance(value, str):
            seen.add(value)

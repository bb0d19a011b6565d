"""The safety page inside the session page: the symptoms offered and every topic's lines, emergency first."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from functools import cache
from typing import Any

from haleward.record import Record
from haleward.safety.conditions import Facts
from haleward.wording import WORDING_FOLDER, Wording

PERSON_TOPICS_NOT_SHOWN = ("header",)  # shown as the banner


@cache
def _symptom_rows() -> tuple[Mapping[str, str], ...]:
    with (WORDING_FOLDER / "symptoms.csv").open(encoding="utf-8", newline="") as file:
        return tuple(csv.DictReader(file))


def symptoms(record: Record, facts: Facts, wording: Wording) -> list[dict[str, str]]:
    """The choices under "I feel unwell". One that only some need is left out only if it is known not to apply."""
    applies: dict[str, bool | None] = {
        "": True,
        "nitrate": record.nitrate_prescribed is True,
        "no_nitrate": record.nitrate_prescribed is not True,
        "device": _known(facts, "device_fitted"),
        "pump": _known(facts, "lvad"),
        "diabetes": _diabetes(facts),
        "operation": True if not record.events else any(event.sternotomy is not False for event in record.events),
    }
    return [
        {"symptom": row["symptom"], "label": wording.text(row["label_key"], {}), "topic": row["topic"]}
        for row in _symptom_rows()
        if applies[row["when"]] is not False
    ]


def topics(wording: Wording, values: Mapping[str, str]) -> dict[str, list[tuple[str, str]]]:
    """Every topic for the person as (level, text) lines in order. A line without its number is left out."""
    found: dict[str, list[tuple[str, str]]] = {}
    for topic in wording.topics:
        if wording.has_audience(topic, "person"):
            lines = wording.safety(topic, values=values)
            found[topic] = [(line.level, line.text) for line in lines]
    return found


def _known(facts: Facts, name: str) -> bool | None:
    value: Any = facts.get(name)
    return value if isinstance(value, bool) else None


def _diabetes(facts: Facts) -> bool | None:
    kind, tablets = facts.get("diabetes_type"), _known(facts, "insulin_or_su")
    if kind is None:
        return tablets or None
    return kind != "none"

"""The safety inputs: name, unit and plain label of every fact a rule may ask about (data/tables/inputs.csv)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Literal

from haleward.physiology.tables import rows


@dataclass(frozen=True)
class SafetyInput:
    """One input: a yes/no, a number with its unit, or a code out of ``values`` (empty: any text)."""

    name: str
    unit: str
    kind: Literal["bool", "number", "text"]
    meaning: str
    label: str
    values: tuple[str, ...]
    asked: Literal["entry", "day", "entry and day"]  # an answer of the day says nothing about another day
    worrying: bool | None = None  # the answer to a question of the day that is not reassuring


Inputs = Mapping[str, SafetyInput]


@cache
def default_inputs() -> Inputs:
    """All inputs by name, in the order of the table."""
    return {row["name"]: _input(row) for row in rows("inputs")}


def _input(row: dict[str, str]) -> SafetyInput:
    kinds: dict[str, Literal["bool", "number", "text"]] = {"bool": "bool", "number": "number", "text": "text"}
    asked: dict[str, Literal["entry", "day", "entry and day"]] = {
        "entry": "entry",
        "day": "day",
        "entry and day": "entry and day",
    }
    return SafetyInput(
        name=row["name"],
        unit=row["unit"],
        kind=kinds[row["type"]],
        meaning=row["meaning"],
        label=row["label"],
        values=tuple(row["values"].split()),
        asked=asked[row["asked"]],
        worrying={"yes": True, "no": False}.get(row["worrying"]),
    )

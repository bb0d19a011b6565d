"""The numeric limits inside a written condition, each with a path that stays the same while values change."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from haleward.physiology.tables import texts
from haleward.safety.conditions import COMPARISONS
from haleward.safety.edits_fields import Field
from haleward.safety.inputs import default_inputs
from haleward.strict_toml import is_number


def limits_in(condition: Mapping[str, Any], path: str) -> Iterator[Field]:
    """Every number a well-formed condition compares with, in the order written."""
    for group in ("all", "any"):
        for place, part in enumerate(condition.get(group, ())):
            yield from limits_in(part, f"{path}/{group}/{place}")
    if "not" in condition:
        yield from limits_in(condition["not"], f"{path}/not")
    if "input" in condition:
        yield from _leaf(condition, path)


def _leaf(leaf: Mapping[str, Any], path: str) -> Iterator[Field]:
    for test in (*COMPARISONS, "is"):
        wanted = leaf.get(test)
        if is_number(wanted):
            yield _field(leaf, f"{path}/{test}", test, wanted)
        elif isinstance(wanted, Mapping):
            for word in ("times", "plus"):
                if word in wanted:
                    yield _field(leaf, f"{path}/{test}/{word}", word, wanted[word], other=wanted["input"])


def _field(leaf: Mapping[str, Any], path: str, comparison: str, value: Any, *, other: str = "") -> Field:
    found = default_inputs()[leaf["input"]]
    label = texts("edit_wording")[f"limit_{comparison}"].format(
        label=found.label, other=default_inputs()[other].label if other else ""
    )
    unit = "" if comparison == "times" or found.unit in ("count", "1") else found.unit
    return Field(path, label, "number", value, unit, input=found.name, comparison=comparison)

"""What one result means by one published cut-off, norm or band: the same plain value wherever it is told."""

from __future__ import annotations

import operator
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from haleward.errors import HalewardError
from haleward.formula import Range
from haleward.physiology.tables import rows
from haleward.units import shown

COMPARISONS: dict[str, Callable[[float, float], bool]] = {
    "<": operator.lt,
    "<=": operator.le,
    ">": operator.gt,
    ">=": operator.ge,
}
WORDS = {"<": "under", "<=": "at or under", ">": "over", ">=": "at or over"}


@dataclass(frozen=True)
class Finding:
    """What one result means by one published cut-off or norm."""

    test: str
    result: str
    meaning: str
    flagged: bool
    source: str


def cited(row: Mapping[str, str]) -> str:
    """The source of a table's row with its mark of trust."""
    return f"{row['source']} [{row['trust']}]"


def held_against(row: Mapping[str, str], *, test: str, value: float) -> Finding:
    """``value`` against the cut-off of ``row`` (columns comparison, value, unit, meaning, source, trust), met or not.

    Raises :class:`HalewardError` for a comparison that is none.
    """
    compared = row["comparison"]
    if compared not in COMPARISONS:
        raise HalewardError(f"The cut-off of {test} compares by {compared!r}; it must be {' or '.join(COMPARISONS)}.")
    limit = float(row["value"])
    unit = "" if row["unit"] == "1" else f" {row['unit']}"
    meaning = f"{row['meaning']} ({WORDS[compared]} {limit:g}{unit})"
    return Finding(test, shown(value, row["unit"]), meaning, COMPARISONS[compared](value, limit), cited(row))


def findings_in(table: str, test: str, value: float, *, sex: str | None = None) -> tuple[Finding, ...]:
    """``value`` against every cut-off of ``test`` in a data table; those of the other sex are left out.

    Raises :class:`HalewardError` for a test without cut-offs or a value that is not a possible number.
    """
    known = [row for row in rows(table) if row["test"] == test]
    if not known:
        names = ", ".join(sorted({row["test"] for row in rows(table)}))
        raise HalewardError(f"There is no cut-off for the test {test!r}; there is one for {names}.")
    Range(-2000, 2000, known[0]["unit"], test).check(value)
    return tuple(held_against(row, test=test, value=value) for row in known if row["sex"] in ("", sex))

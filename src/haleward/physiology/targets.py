"""Published targets of blood pressure, LDL cholesterol and HbA1c, with year and body, by jurisdiction: shown only.

Nothing is judged against them here: treatment decisions stay with the prescriber. The year is shown because they move.
"""

from __future__ import annotations

from dataclasses import dataclass

from haleward.errors import HalewardError
from haleward.physiology.finding import cited
from haleward.physiology.tables import rows, texts


@dataclass(frozen=True)
class Target:
    """One published target as its body words it in numbers."""

    measure: str
    jurisdiction: str
    group: str
    text: str
    kind: str
    unit: str
    year: str
    body: str
    source: str


def targets(measure: str, *, jurisdiction: str) -> tuple[Target, ...]:
    """The targets of a measure in a jurisdiction ("UK", "EU", "US"), and those of every jurisdiction.

    Empty where the reference has none there. Raises :class:`HalewardError` for an unknown measure or jurisdiction.
    """
    _known("measure", measure)
    _known("jurisdiction", jurisdiction)
    return tuple(
        Target(**{key: row[key] for key in _COLUMNS}, source=cited(row))
        for row in rows("targets")
        if row["measure"] == measure and row["jurisdiction"] in ("ALL", jurisdiction)
    )


def shown_only() -> str:
    """The sentence that goes with every target."""
    return texts("physiology_wording")["shown_only"]


_COLUMNS = ("measure", "jurisdiction", "group", "text", "kind", "unit", "year", "body")


def _known(column: str, value: str) -> None:
    known = list(dict.fromkeys(row[column] for row in rows("targets")))
    if value not in known:
        raise HalewardError(f"There is no target for the {column} {value!r}; it must be {' or '.join(known)}.")

"""METs of everyday activities: by code and year of the table, never one without the other.

The same code has other values, and sometimes another meaning, in another year; years are never added together.
"""

from __future__ import annotations

import functools
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from haleward.capacity.void import why_void
from haleward.errors import HalewardError, Inconsistent
from haleward.formula import Formula, find
from haleward.physiology.tables import rows, texts
from haleward.worksheet import Figure, Worksheet

TABLE = "mets"
YEARS = (2011, 2024)


@dataclass(frozen=True)
class MetEntry:
    """One activity of one year's table: its METs, in our own words, and how far the value was checked."""

    code: str
    year: int
    energy_met: float
    activity: str
    source: str
    trust: str

    @property
    def cited(self) -> str:
        """Code, year and source with its mark of trust."""
        return f"{self.code} of {self.year}: {self.source} [{self.trust}]"


@functools.cache
def entries() -> tuple[MetEntry, ...]:
    """Every entry of every year, in the order of the table."""
    return tuple(
        MetEntry(row["code"], int(row["year"]), float(row["energy_met"]), row["activity"], row["source"], row["trust"])
        for row in rows(TABLE)
    )


def entry(*, code: str, year: int) -> MetEntry:
    """The entry of that code in that year's table. Raises :class:`HalewardError`, naming other years of the code."""
    same = {one.year: one for one in entries() if one.code == code}
    if year in same:
        return same[year]
    other = f"; there is one of {' and '.join(str(one) for one in same)}, which is not the same" if same else ""
    raise HalewardError(f"There is no activity {code!r} in the table of {year}{other}.")


def search(words: str, *, year: int | None = None) -> tuple[MetEntry, ...]:
    """The entries whose words hold every one of ``words``, in any case; of one year, or of all, each with its year."""
    wanted = words.lower().split()
    return tuple(
        one for one in entries() if year in (None, one.year) and all(word in one.activity.lower() for word in wanted)
    )


def cautions(chosen: MetEntry, *, age_y: float | None) -> tuple[str, ...]:
    """What limits a value of this table for a person of this age."""
    wording = texts("capacity_wording")
    said = [wording["met_year"].format(year=chosen.year), wording["met_resting"]]
    if chosen.year == YEARS[-1]:
        row = next(row for row in rows("method_void") if "met_table_2024" in row["methods"])
        if age_y is None:
            said.append(wording["met_age_unknown"].format(low=row["age_low"], high=row["age_high"]))
        else:
            said += why_void("met_table_2024", {}, age_y=age_y).cautions
    return tuple(said)


def energy_of(chosen: MetEntry, *, mass_kg: float, duration_min: float, age_y: float | None = None) -> Worksheet:
    """Energy in kcal of one bout of the activity, by the form from oxygen, with its working and cautions."""
    return _worked(find("energy_kcal"), chosen, age_y, mass_kg=mass_kg, duration_min=duration_min)


def met_minutes_of(chosen: MetEntry, *, duration_min: float, age_y: float | None = None) -> Worksheet:
    """MET-minutes of one bout of the activity, with its working and cautions."""
    return _worked(find("met_minutes"), chosen, age_y, duration_min=duration_min)


def total_met_minutes(bouts: Sequence[tuple[MetEntry, float]]) -> Figure:
    """MET-minutes of several bouts, each an entry and minutes. Raises :class:`Inconsistent` if their years differ."""
    years = sorted({one.year for one, _ in bouts})
    if len(years) > 1:
        raise Inconsistent(
            f"METs of the tables of {' and '.join(str(year) for year in years)} cannot be added; choose one year."
        )
    known = find("met_minutes")
    return Figure(
        sum(known.call(energy_met=one.energy_met, duration_min=minutes) for one, minutes in bouts), known.unit
    )


def _worked(known: Formula, chosen: MetEntry, age_y: float | None, **given: Any) -> Worksheet:
    origins = {"energy_met": chosen.cited}
    said = cautions(chosen, age_y=age_y)
    title = f"{known.title}: {chosen.activity}"
    return known.worksheet(title, origins=origins, cautions=said, energy_met=chosen.energy_met, **given)

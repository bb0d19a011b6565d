"""What a field test says a person can do. Plain values."""

from __future__ import annotations

from dataclasses import dataclass

from haleward.worksheet import Figure, Worksheet


@dataclass(frozen=True)
class Capacity:
    """What the walk test says the person can do, with its error.

    ``low`` and ``high`` of both figures are the likely range, which the worksheet explains; ``ask`` lists what would
    make the figure surer.
    """

    vo2_ml_per_kg_min: Figure
    energy_met: Figure
    method: str
    worksheet: Worksheet
    ask: tuple[str, ...] = ()

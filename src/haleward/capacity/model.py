"""What a field test says a person can do. Plain values."""

from __future__ import annotations

from dataclasses import dataclass

from haleward.worksheet import Figure, Worksheet


@dataclass(frozen=True)
class Capacity:
    """What the walk test says the person can do, with its error."""

    vo2_ml_per_kg_min: Figure
    energy_met: Figure
    method: str
    worksheet: Worksheet

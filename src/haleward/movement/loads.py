"""What supplies the resistance, and the household things that weigh the same."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal

from haleward.errors import OutOfRange
from haleward.physiology.tables import rows

KitKind = Literal["own_weight", "hand_weight", "bottle", "band", "ankle_weight"]
KIT_KINDS: tuple[KitKind, ...] = ("own_weight", "hand_weight", "bottle", "band", "ankle_weight")


@dataclass(frozen=True)
class LoadSpec:
    """A load: field for field the dose's ``Load``.

    ``mass_kg`` is the mass of one item (per hand or per leg). For a band, ``hold_length_m`` is the unstretched length
    of one strand and ``peak_n`` the force in it at the hardest point of the path.
    """

    kit: KitKind
    mass_kg: float | None = None
    band: str = ""
    hold_length_m: float | None = None
    peak_n: float | None = None


OWN_WEIGHT = LoadSpec("own_weight")


@dataclass(frozen=True)
class Household:
    """A household thing and its mass, with the basis of the figure."""

    item: str
    mass_kg: float
    lightest_kg: float
    heaviest_kg: float
    basis: str


@cache
def household_items() -> tuple[Household, ...]:
    """Everything in ``data/tables/load_equivalents.csv``, lightest first."""
    found = []
    for row in rows("load_equivalents"):
        low, _, high = row["range_kg"].partition("-")
        found.append(Household(row["item"], float(row["nominal_kg"]), float(low), float(high or low), row["basis"]))
    return tuple(sorted(found, key=lambda thing: thing.mass_kg))


def load_equivalents(mass_kg: float, *, tolerance_kg: float = 0.06) -> tuple[Household, ...]:
    """Household things whose possible mass lies within ``tolerance_kg`` of ``mass_kg``, nearest first."""
    if mass_kg <= 0:
        raise OutOfRange("load", mass_kg, 0.01, None, "kg")
    near = [
        thing
        for thing in household_items()
        if thing.lightest_kg - tolerance_kg <= mass_kg <= thing.heaviest_kg + tolerance_kg
    ]
    return tuple(sorted(near, key=lambda thing: abs(thing.mass_kg - mass_kg)))


def next_heavier(mass_kg: float, owned_kg: tuple[float, ...]) -> float | None:
    """The lightest owned item heavier than ``mass_kg``; None when there is none."""
    return min((item for item in owned_kg if item > mass_kg + 1e-9), default=None)


def next_lighter(mass_kg: float, owned_kg: tuple[float, ...]) -> float | None:
    """The heaviest owned item lighter than ``mass_kg``; None when there is none."""
    return max((item for item in owned_kg if item < mass_kg - 1e-9), default=None)

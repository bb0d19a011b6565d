"""What supplies the resistance, and the household things that weigh the same."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from math import ceil
from typing import Literal

from haleward.errors import OutOfRange
from haleward.physiology.tables import rows, settings

KitKind = Literal["own_weight", "hand_weight", "bottle", "band", "ankle_weight"]
ML_IN_LITRE = 1000
KIT_KINDS: tuple[KitKind, ...] = ("own_weight", "hand_weight", "bottle", "band", "ankle_weight")


@dataclass(frozen=True)
class LoadSpec:
    """A load: field for field the dose's ``Load``.

    ``mass_kg`` is the mass of one item (per hand or per leg). For a band, ``hold_length_m`` is the unstretched length
    of one strand and ``peak_n`` the force on the limb at the hardest point of the path. ``fill_ml`` is set for a bottle
    that is filled only in part.
    """

    kit: KitKind
    mass_kg: float | None = None
    band: str = ""
    hold_length_m: float | None = None
    peak_n: float | None = None
    fill_ml: float | None = None


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


def part_fills(owned_kg: tuple[float, ...]) -> tuple[tuple[float, float], ...]:
    """What owned bottles weigh filled in part: mass in kilograms and water in millilitres, lightest first.

    In steps, and only masses that no full bottle has. A bottle heavier than its water (1.05 kg for a litre) weighs that
    much more at each step too.
    """
    rules = settings("bottle_fill")
    found: dict[float, float] = {}
    for full_kg in sorted(owned_kg):
        volume_l = _volume_l(full_kg)
        empty_kg = full_kg - volume_l * rules["kg_per_litre"]
        for step in range(1, ceil(volume_l * ML_IN_LITRE / rules["step_ml"] - 1e-9)):
            fill_ml = step * rules["step_ml"]
            if fill_ml >= rules["least_share"] * volume_l * ML_IN_LITRE - 1e-9:
                found.setdefault(round(empty_kg + fill_ml / ML_IN_LITRE * rules["kg_per_litre"], 3), fill_ml)
    return tuple((mass, ml) for mass, ml in sorted(found.items()) if all(abs(mass - full) > 1e-9 for full in owned_kg))


def _volume_l(full_kg: float) -> float:
    """What a full bottle of this mass holds: by the table of bottles, or as much water as it weighs."""
    rules = settings("bottle_fill")
    known = (row for row in rows("bottles") if float(row["low_kg"]) <= full_kg <= float(row["high_kg"]))
    return next((float(row["volume_l"]) for row in known), full_kg / rules["kg_per_litre"])


def fill_ml(mass_kg: float) -> float:
    """How much water weighs this much, in millilitres."""
    return mass_kg / settings("bottle_fill")["kg_per_litre"] * ML_IN_LITRE


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

"""Body size."""

from __future__ import annotations

from haleward.formula import Range, formula

STATURE = Range(1.0, 2.4, "m", "Stature")
MASS = Range(25, 300, "kg", "Body mass")


@formula(
    title="Body mass index",
    equation="mass ÷ stature²",
    unit="kg/m²",
    ranges={"mass_kg": MASS, "stature_m": STATURE},
    source="Definition of body mass index",
    trust="definition",
)
def body_mass_index(*, mass_kg: float, stature_m: float) -> float:
    """Body mass for stature. Its bands differ by family background and say nothing about fitness."""
    return mass_kg / stature_m**2


@formula(
    title="Waist-to-height ratio",
    equation="waist ÷ stature",
    unit="1",
    ranges={"waist_m": Range(0.4, 2.0, "m", "Waist"), "stature_m": STATURE},
    source="Definition; bands in NICE 2022",
    trust="definition",
)
def waist_to_height(*, waist_m: float, stature_m: float) -> float:
    """Waist for stature, both in the same unit."""
    return waist_m / stature_m

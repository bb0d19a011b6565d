"""A load in words, and loads compared."""

from __future__ import annotations

from haleward.dose.model import Load
from haleward.dose.words import words
from haleward.movement.bands import easier_cm
from haleward.movement.ladder import heaviness_n
from haleward.movement.loads import LoadSpec

_WEIGHT_OF_ONE_KG_N = heaviness_n(LoadSpec("bottle", mass_kg=1.0))
SAME_KG = 1e-6  # two masses closer than this are the same mass


def load_of(spec: LoadSpec) -> Load:
    """The movement room's load as the dose's."""
    return Load(spec.kit, spec.mass_kg, spec.band, spec.hold_length_m, spec.peak_n, spec.fill_ml)


def spec_of(load: Load) -> LoadSpec:
    """The dose's load as the movement room's."""
    return LoadSpec(load.kit, load.mass_kg, load.band, load.hold_length_m, load.peak_n, load.fill_ml)


def as_mass_kg(load: Load) -> float:
    """The load as a mass: of one item, or that which weighs what the band pulls at its hardest point; own weight 0."""
    return heaviness_n(spec_of(load)) / _WEIGHT_OF_ONE_KG_N


def same_load(one: Load, other: Load) -> bool:
    """Whether two loads are the same thing: kit, band, and mass within a milligram.

    A band is the same when it is held at the same whole centimetre (a plan may state the length more finely).
    """
    if (one.kit, one.band) != (other.kit, other.band):
        return False
    if one.hold_length_m is not None and other.hold_length_m is not None:
        return easier_cm(one.hold_length_m) == easier_cm(other.hold_length_m)
    return abs(as_mass_kg(one) - as_mass_kg(other)) < SAME_KG


def load_text(load: Load) -> str:
    """A load as staff read it: "1 kg", "0.75 kg (bottle filled to 750 mL)", "band B at 52 cm, 24 newtons ...".."""
    if load.peak_n is not None and load.hold_length_m is not None:
        length = f"{easier_cm(load.hold_length_m) * 100:.0f}"
        return words("load_band_held", band=band_named(load.band), peak=load.peak_n, length=length)
    if load.peak_n is not None:
        return words("load_band", band=band_named(load.band), peak=load.peak_n)
    if load.mass_kg is not None and load.fill_ml is not None:
        return words("load_filled", mass=f"{load.mass_kg:g}", fill=f"{load.fill_ml:g}")
    if load.mass_kg is not None:
        return words("load_mass", mass=f"{load.mass_kg:g}")
    return words("load_own")


def band_named(band: str) -> str:
    """A band's name, said to be a band where the name does not say so itself."""
    return band if "band" in band.lower() else f"band {band}"

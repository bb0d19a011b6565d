"""A movement's ladder: its rungs from easiest to hardest, made only of what the person has."""

from __future__ import annotations

from dataclasses import dataclass

from haleward.movement.band_path import band_loads
from haleward.movement.body import Body
from haleward.movement.loads import OWN_WEIGHT, LoadSpec, part_fills
from haleward.movement.model import Form, Held, Movement
from haleward.record import POSTURES, Band, Kit, Posture

SMALLEST_LOAD_KG = 1e-9


@dataclass(frozen=True)
class Rung:
    """One step of the ladder: a posture and a load."""

    posture: Posture
    load: LoadSpec


def rungs(
    movement: Movement,
    *,
    kit: Kit,
    postures: tuple[Posture, ...],
    stature_m: float | None,
    mass_kg: float | None,
    light_most_kg: float | None = None,
) -> tuple[Rung, ...]:
    """Easiest first: seated before hand-supported before standing, and within a posture the lighter load first.

    Only kit the record says the person has is used, a bottle also filled in part; kit not asked for counts as not
    there. ``light_most_kg`` leaves out masses above it, and bands whose peak force is above the weight of that mass.
    Band rungs need stature and mass for the path of the hand or the leg, so they are left out when either is unknown.
    """
    found: list[Rung] = []
    for posture in POSTURES:
        form = movement.postures.get(posture)
        if form is None or posture not in postures or not has_all(kit, form.needs) or form.equipment:
            continue
        loads = _masses(form, kit)
        if stature_m is not None and mass_kg is not None:
            loads += _bands(form, kit, Body(stature_m=stature_m, mass_kg=mass_kg))
        loads = [load for load in loads if _light_enough(load, light_most_kg)]
        found += [Rung(posture, load) for load in sorted(loads, key=heaviness_n)]
    return tuple(found)


def has_all(kit: Kit, needs: tuple[str, ...]) -> bool:
    """Whether the record says yes to every named thing; not asked is no."""
    return all(_has(getattr(kit, need)) for need in needs)


def _has(value: object) -> bool:
    if isinstance(value, bool):
        return value
    return isinstance(value, int | float) and value > 0


def heaviness_n(load: LoadSpec) -> float:
    """Newtons to order loads by: the weight of the mass or the band's peak force; own weight is 0."""
    if load.peak_n is not None:
        return load.peak_n
    return 9.81 * (load.mass_kg or 0.0)


def _masses(form: Form, kit: Kit) -> list[LoadSpec]:
    loads: list[LoadSpec] = []
    for kind in form.kits:
        if kind == "own_weight":
            loads.append(OWN_WEIGHT)
        elif kind != "band" and has_all(kit, form.kit_use[kind].needs):
            owned = {
                "hand_weight": kit.hand_weight_pairs_kg,
                "bottle": kit.bottle_pairs_kg,
                "ankle_weight": kit.ankle_weight_pairs_kg,
            }[kind]
            loads += [LoadSpec(kind, mass_kg=mass) for mass in sorted(set(owned or ())) if mass > SMALLEST_LOAD_KG]
            if kind == "bottle":
                loads += [LoadSpec(kind, mass, fill_ml=ml) for mass, ml in part_fills(tuple(owned or ()))]
    return loads


def _bands(form: Form, kit: Kit, body: Body) -> list[LoadSpec]:
    use = form.kit_use.get("band")
    if use is None or not kit.bands or not has_all(kit, use.needs):
        return []
    usable = (band for band in kit.bands if may_use(band, held=use.held))
    return [load for band in usable for load in band_loads(form, band, body)]


def may_use(band: Band, *, held: Held) -> bool:
    """Not a band the person's skin reacts to, nor one to hold that cannot be gripped; not asked does not forbid."""
    reacts = band.latex is not False and band.latex_ok is False
    return not reacts and (band.can_grip is not False or held in ("worn", ""))


def _light_enough(load: LoadSpec, light_most_kg: float | None) -> bool:
    return light_most_kg is None or heaviness_n(load) <= 9.81 * light_most_kg + 1e-9

"""The same load in the person's other kit: weight, bottle, ankle weight, and the length to hold a band.

Two ways of comparing are shown, by the mean and by the peak of the torque at the working joint; the one that loads less
is used, and rounded down to what the person owns and may use (``dose.options``).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import floor

from haleward.dose.loads import as_mass_kg, load_text, spec_of
from haleward.dose.model import Exercise, Load
from haleward.dose.options import Option
from haleward.errors import HalewardError
from haleward.movement.bands import easier_cm
from haleward.movement.body import Body
from haleward.movement.equivalence import MASS_KITS, Lever, Match, NoMatch, added_by_shortening_nm, hold_like, mass_like
from haleward.movement.library import Library
from haleward.movement.loads import KitKind, fill_ml
from haleward.movement.segments import Scheme
from haleward.movement.torque import WorkingPath
from haleward.physiology.tables import texts
from haleward.record import Band, Record

SHORTER_M = 0.05
SCHEME: Scheme = "winter"  # a load's own torque does not depend on the masses of the limb


@dataclass(frozen=True)
class Same:
    """One line: the load in another kit, or why there is none; ``owned`` is what to take from what is at home."""

    kit: str
    text: str
    owned: str = ""
    load: Load | None = None  # what is owned and allowed, as a dose's load


def same_in_kit(exercise: Exercise, option: Option, record: Record, library: Library) -> tuple[Same, ...]:
    """Every other kit this movement is done with that is at home; nothing for own weight.

    Empty also where the load cannot be worked out: no single working joint, or height and weight not recorded.
    """
    load, movement = exercise.dose.load, library.movement(exercise.movement_id)
    form = library.form(exercise.movement_id, exercise.posture)
    joint, band = movement.working_joint, _band(record, load.band)
    unknown = record.stature_m is None or record.mass_kg is None or joint is None
    if load.kit == "own_weight" or unknown or (load.kit == "band" and band is None):
        return ()
    assert joint is not None and record.stature_m is not None and record.mass_kg is not None  # noqa: PT018
    body = Body(stature_m=record.stature_m, mass_kg=record.mass_kg)
    lever = Lever(WorkingPath(form, body, joint, SCHEME, form.cycles[0].side or "left"))
    found = [
        _mass(kit, mass_like(lever, spec_of(load), kit, band=band), exercise, option)
        for kit in MASS_KITS
        if kit in form.kits and kit != load.kit and _at_home(record, kit)
    ]
    if load.kit != "band" and "band" in form.kits:
        found += [_hold(lever, load, one, exercise, option) for one in record.kit.bands or ()]
    return tuple(found)


def _mass(kit: KitKind, match: Match | NoMatch, exercise: Exercise, option: Option) -> Same:
    if isinstance(match, NoMatch):
        return Same(kit, _words("no_kit", reason=match.reason))
    told = {"used": _kg(match.used), "by_mean": _kg(match.by_mean), "by_peak": _kg(match.by_peak)}
    if kit == "bottle":
        text = _words("bottle", fill=f"{10 * floor(fill_ml(match.used) / 10):g}", **told)
    else:
        text = _words("mass", kit=kit.replace("_", " ").capitalize(), **told)
    usable = [one for one in _usable(exercise, option) if one.kit == kit]
    if not usable:
        return Same(kit, text, _words("not_allowed"))
    fits = [one for one in usable if as_mass_kg(one) <= match.used + 1e-9]
    best = max(fits, key=as_mass_kg, default=None)
    return Same(kit, text, _words("owned", owned=load_text(best)) if best else _words("none_owned"), best)


def _hold(lever: Lever, load: Load, band: Band, exercise: Exercise, option: Option) -> Same:
    match = hold_like(lever, spec_of(load), band)
    if isinstance(match, NoMatch):
        return Same("band", _words("no_kit", reason=match.reason))
    used = easier_cm(match.used)
    told = {"band": band.name, "used": _cm(used), "by_mean": _cm(match.by_mean), "by_peak": _cm(match.by_peak)}
    try:
        before, after = added_by_shortening_nm(lever, band, hold_length_m=used, shorter_by_m=SHORTER_M)
    except HalewardError:
        text = _words("band_short", **told)
    else:
        text = _words("band", more=f"{100 * (after / before - 1):.0f}", **told)
    usable = [one for one in _usable(exercise, option) if one.kit == "band" and one.band == band.name]
    if not usable:
        return Same("band", text, _words("not_allowed"))
    fits = [one for one in usable if one.hold_length_m is not None and one.hold_length_m >= used - 1e-9]
    best = min(fits, key=lambda one: one.hold_length_m or 0.0, default=None)
    return Same("band", text, _words("owned", owned=load_text(best)) if best else _words("none_owned"), best)


def _usable(exercise: Exercise, option: Option) -> list[Load]:
    return [choice.load for choice in option.choices if choice.posture == exercise.posture]


def _at_home(record: Record, kit: KitKind) -> bool:
    return bool(getattr(record.kit, f"{kit}_pairs_kg"))


def _band(record: Record, name: str) -> Band | None:
    return next((band for band in record.kit.bands or () if band.name == name), None)


def _kg(mass_kg: float) -> str:
    """Rounded down to 10 g: a match is never told heavier than it is."""
    return f"{floor(100 * mass_kg + 1e-6) / 100:g} kg"


def _cm(length_m: float) -> str:
    return f"{100 * easier_cm(length_m):.0f} cm"


def _words(key: str, **values: str) -> str:
    return texts("kit_same_words")[key].format(**values)

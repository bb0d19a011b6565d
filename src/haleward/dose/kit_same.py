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
from haleward.record import Band, Posture, Record

SHORTER_M = 0.05
SAME_SHARE = 0.005  # two matches closer than this are the same
SCHEME: Scheme = "winter"  # a load's own torque does not depend on the masses of the limb


@dataclass(frozen=True)
class Same:
    """One line: the load in another kit, or why there is none; ``owned`` is what to take from what is at home."""

    kit: str
    text: str
    owned: str = ""
    load: Load | None = None  # what is owned and allowed, as a dose's load
    name: str = ""  # "Bottle", or what the band looks like
    by_mean: str = ""
    by_peak: str = ""
    used: str = ""
    safer: str = ""  # "mean" or "peak"; "" when both say the same

    @property
    def take(self) -> str:
        """For the person, in one line: what to take from what is at home, or that nothing is safe."""
        if self.load is None:
            return _words("take_nothing", kit=self.name)
        if self.load.hold_length_m is not None:
            held = easier_cm(self.load.hold_length_m)
            return _words("take_band", kit=self.name.capitalize(), length=f"{100 * held:.0f}")
        return _words("take", kit=self.name, load=load_text(self.load))


@dataclass(frozen=True)
class _Like:
    """The load to match, in one movement and posture on this person's body, and what the person may use there."""

    lever: Lever
    load: Load
    usable: tuple[Load, ...]


def same_in_kit(exercise: Exercise, option: Option, record: Record, library: Library) -> tuple[Same, ...]:
    """The exercise's load in every other kit at home: :func:`same_load_in_kit`."""
    return same_load_in_kit(exercise.dose.load, exercise.posture, option, record, library)


def same_load_in_kit(
    load: Load, posture: Posture, option: Option, record: Record, library: Library
) -> tuple[Same, ...]:
    """Every other kit this movement is done with that is at home; nothing for own weight.

    Empty also where the load cannot be worked out: no single working joint, or height and weight not recorded.
    """
    movement, form = library.movement(option.movement_id), library.form(option.movement_id, posture)
    joint, band = movement.working_joint, _band(record, load.band)
    unknown = record.stature_m is None or record.mass_kg is None or joint is None
    if load.kit == "own_weight" or unknown or (load.kit == "band" and band is None):
        return ()
    assert joint is not None and record.stature_m is not None and record.mass_kg is not None  # noqa: PT018
    body = Body(stature_m=record.stature_m, mass_kg=record.mass_kg)
    lever = Lever(WorkingPath(form, body, joint, SCHEME, form.cycles[0].side or "left"))
    like = _Like(lever, load, tuple(choice.load for choice in option.choices if choice.posture == posture))
    found = [
        _mass(kit, mass_like(lever, spec_of(load), kit, band=band), like)
        for kit in MASS_KITS
        if kit in form.kits and kit != load.kit and _at_home(record, kit)
    ]
    if load.kit != "band" and "band" in form.kits:
        found += [_hold(one, like) for one in record.kit.bands or ()]
    return tuple(found)


def _mass(kit: KitKind, match: Match | NoMatch, like: _Like) -> Same:
    name = kit.replace("_", " ").capitalize()
    if isinstance(match, NoMatch):
        return Same(kit, _words("no_kit", reason=match.reason), name=name)
    told = {"used": _kg(match.used), "by_mean": _kg(match.by_mean), "by_peak": _kg(match.by_peak)}
    text = _words("mass", kit=name, **told)
    if kit == "bottle":
        fill = f"{10 * floor(fill_ml(match.used) / 10 + 1e-6):g}"
        text = _words("bottle", fill=fill, **told)
        told["used"] = _words("filled", used=told["used"], fill=fill)
    usable = [one for one in like.usable if one.kit == kit]
    fits = [one for one in usable if as_mass_kg(one) <= match.used + 1e-9]
    best = max(fits, key=as_mass_kg, default=None)
    safer = _safer(match.by_peak - match.by_mean, match.used)
    return Same(kit, text, _owned(best, usable), best, name, safer=safer, **told)


def _hold(band: Band, like: _Like) -> Same:
    match = hold_like(like.lever, spec_of(like.load), band)
    if isinstance(match, NoMatch):
        return Same("band", _words("no_kit", reason=match.reason), name=band.name)
    used = easier_cm(match.used)
    told = {"used": _cm(used), "by_mean": _cm(match.by_mean), "by_peak": _cm(match.by_peak)}
    try:
        before, after = added_by_shortening_nm(like.lever, band, hold_length_m=used, shorter_by_m=SHORTER_M)
    except HalewardError:
        text = _words("band_short", band=band.name, **told)
    else:
        text = _words("band", band=band.name, more=f"{100 * (after / before - 1):.0f}", **told)
    usable = [one for one in like.usable if one.kit == "band" and one.band == band.name]
    fits = [one for one in usable if one.hold_length_m is not None and one.hold_length_m >= used - 1e-9]
    best = min(fits, key=lambda one: one.hold_length_m or 0.0, default=None)
    safer = _safer(match.by_mean - match.by_peak, match.used)
    return Same("band", text, _owned(best, usable), best, band.name, safer=safer, **told)


def _owned(best: Load | None, usable: list[Load]) -> str:
    if best is not None:
        return _words("owned", owned=load_text(best))
    return _words("none_owned" if usable else "not_allowed")


def _safer(mean_by: float, used: float) -> str:
    """Which way of matching loads less; neither when both say nearly the same."""
    return "" if abs(mean_by) < SAME_SHARE * used else "mean" if mean_by > 0 else "peak"


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

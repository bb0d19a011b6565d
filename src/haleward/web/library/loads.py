"""The load of a movement on one body in numbers, and the same load in other kit."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import floor

from haleward.dose.kit_same import Same, same_load_in_kit
from haleward.dose.loads import load_of
from haleward.movement.band_path import band_loads
from haleward.movement.bands import easier_cm
from haleward.movement.equivalence import MASS_KITS, Lever, Match, NoMatch, hold_like, mass_like
from haleward.movement.hardest import hardest_key, hardest_words
from haleward.movement.loads import OWN_WEIGHT, KitKind, LoadSpec
from haleward.movement.torque import LoadPath, WorkingPath
from haleward.physiology.tables import texts
from haleward.record import Band
from haleward.render.chart import load_chart
from haleward.web.library.chosen import Chosen
from haleward.web.library.kept import kept
from haleward.web.team import protocol as in_force

EXAMPLE_KG = 1.0  # shown, and said to be an example, until another load is typed
FILL_STEP_ML = 10
SAME_SHARE = 0.005  # two matches closer than this are the same
EACH = {"each_hand": " in each hand", "each_ankle": " on each ankle", "both_hands": " in both hands"}
WHOLE_SENTENCES = ("steady", "none")


@dataclass(frozen=True)
class Loaded:
    """A load, the band behind it when it is one, and how it is said."""

    spec: LoadSpec
    words: str
    band: Band | None = None
    example: bool = False  # neither typed nor the person's own


@dataclass(frozen=True)
class Like:
    """One row of "the same in other kit": by mean, by peak, and the one to use, or why there is none."""

    kit: str
    by_mean: str = ""
    by_peak: str = ""
    used: str = ""
    safer: str = ""  # "mean" or "peak"
    owned: str = ""
    reason: str = ""


@dataclass(frozen=True)
class Numbers:
    """What the load section of a page shows."""

    joint: str
    scheme: str
    hardest: str
    hardest_alone: bool  # the words say it all and do not go on from "hardest"
    chart: str
    own_peak_nm: float
    own_mean_nm: float
    loaded: Loaded
    peak_nm: float
    mean_nm: float
    likes: tuple[Like, ...]
    at_home: bool = False  # ``likes`` are what this person has at home


@dataclass(frozen=True)
class Asked:
    """What an address or a form asks to be shown: a mass, or a band and the centimetres it is held at."""

    mass_kg: float | None = None
    typed: Band | None = None
    band: str = ""
    hold: str = ""


def chosen_load(chosen: Chosen, asked: Asked) -> Loaded:
    """The load to show: what was asked for, else the lightest that the rules leave the person, else an example."""
    if chosen.kit == "own_weight":
        return Loaded(OWN_WEIGHT, "own weight")
    if chosen.kit == "band":
        return _chosen_band(chosen, asked)
    own = _masses(chosen, chosen.kit)
    mass = asked.mass_kg or (min(own) if own else EXAMPLE_KG)
    words = f"{mass:g} kg{EACH.get(chosen.form.kit_use[chosen.kit].held, '')}"
    return Loaded(LoadSpec(chosen.kit, mass_kg=mass), words, example=asked.mass_kg is None and not own)


def numbers_of(chosen: Chosen, loaded: Loaded, bands: tuple[Band, ...]) -> Numbers | None:
    """Torques, chart and equivalents; ``None`` for a movement that is no single joint's work."""
    joint, subject = chosen.movement.working_joint, chosen.subject
    if joint is None:
        return None
    path = WorkingPath(chosen.form, subject.body, joint, subject.scheme, chosen.side)
    own, with_load = path.loaded(), path.loaded(loaded.spec, loaded.band)
    return Numbers(
        joint=texts("library_words")[f"joint_{joint}"],
        scheme=texts("library_words")[f"scheme_{subject.scheme}"],
        hardest=hardest_words(with_load),
        hardest_alone=hardest_key(with_load) in WHOLE_SENTENCES,
        chart=_chart(chosen, loaded, with_load),
        own_peak_nm=abs(own.peak.torque_nm),
        own_mean_nm=own.mean_nm,
        loaded=loaded,
        peak_nm=abs(with_load.peak.torque_nm),
        mean_nm=with_load.mean_nm,
        likes=tuple(_likes(chosen, Lever(path), loaded, bands)),
        at_home=subject.option is not None and not subject.stated,
    )


def _chosen_band(chosen: Chosen, asked: Asked) -> Loaded:
    """The band and hold asked for where there is one; a typed band before the person's own, the easiest hold first."""
    bands = [*([asked.typed] if asked.typed else []), *chosen.subject.bands]
    bands.sort(key=lambda one: one.name != asked.band)
    found = [(band, spec) for band in bands for spec in band_loads(chosen.form, band, chosen.subject.body)]
    found.sort(key=lambda one: (one[0].name, f"{100 * (one[1].hold_length_m or 0):.0f}") != (asked.band, asked.hold))
    if not found:
        return Loaded(OWN_WEIGHT, "own weight")
    band, spec = found[0]
    held = f"{band.name} held at {100 * (spec.hold_length_m or 0):.0f} cm, {spec.peak_n:.0f} N at most"
    return Loaded(spec, held, band)


def _chart(chosen: Chosen, loaded: Loaded, path: LoadPath) -> str:
    facts = (chosen.movement.id, chosen.posture, chosen.subject.body, path.scheme, path.side, loaded)
    title = f"How hard it is along its way: {chosen.words.title}, {loaded.words}"
    return kept("chart", *facts, make=lambda: load_chart(path, title=title))


def same_for(chosen: Chosen, loaded: Loaded) -> tuple[Same, ...]:
    """The load on the page in the other kit that the person has at home; nothing for the stated figure."""
    subject = chosen.subject
    if subject.option is None or subject.record is None or loaded.band not in (None, *subject.bands):
        return ()
    return same_load_in_kit(load_of(loaded.spec), chosen.posture, subject.option, subject.record, in_force.library())


def _likes(chosen: Chosen, lever: Lever, loaded: Loaded, bands: tuple[Band, ...]) -> Iterator[Like]:
    kits = chosen.form.kits
    if loaded.spec.kit == "own_weight":
        return
    if chosen.subject.option is not None and not chosen.subject.stated:
        yield from map(_same_row, same_for(chosen, loaded))
        kits = tuple(kit for kit in kits if kit == "band")
        bands = tuple(band for band in bands if band not in chosen.subject.bands)
    for kit in (one for one in MASS_KITS if one in kits and one != loaded.spec.kit):
        yield _mass_row(kit, mass_like(lever, loaded.spec, kit, band=loaded.band))
    if "band" in kits and loaded.spec.kit != "band":
        for band in bands:
            yield _band_row(hold_like(lever, loaded.spec, band), band)


def _same_row(one: Same) -> Like:
    name = f"Band: {one.name}" if one.kit == "band" else one.name
    if not one.used:
        return Like(name, reason=one.text)
    hold = "hold " if one.kit == "band" else ""
    return Like(name, hold + one.by_mean, hold + one.by_peak, hold + one.used, one.safer, one.owned)


def _mass_row(kit: KitKind, match: Match | NoMatch) -> Like:
    name = texts("library_words")[f"kit_{kit}"]
    if isinstance(match, NoMatch):
        return Like(name, reason=f"None: {match.reason}.")
    words = _fill if kit == "bottle" else _kilograms
    safer = _safer(match.by_peak - match.by_mean, match.used)
    return Like(name, words(match.by_mean), words(match.by_peak), words(match.used), safer)


def _band_row(match: Match | NoMatch, band: Band) -> Like:
    name = f"Band: {band.name}"
    if isinstance(match, NoMatch):
        return Like(name, reason=f"None: {match.reason}.")
    safer = _safer(match.by_mean - match.by_peak, match.used)
    by_mean, by_peak, used = (
        f"hold {100 * easier_cm(held):.0f} cm" for held in (match.by_mean, match.by_peak, match.used)
    )
    return Like(name, by_mean, by_peak, used, safer)


def _safer(mean_by: float, used: float) -> str:
    """Which way of matching is the safer one and by how much; neither when both say nearly the same."""
    return "" if abs(mean_by) < SAME_SHARE * used else "mean" if mean_by > 0 else "peak"


def _kilograms(mass_kg: float) -> str:
    """Rounded down to 10 g: a match is never shown heavier than it is."""
    return f"{floor(100 * mass_kg + 1e-6) / 100:g} kg"


def _fill(mass_kg: float) -> str:
    """A bottle's mass and the water for it: a litre with its bottle counts as a kilogram (data/tables/bottles.csv)."""
    water_ml = floor(1000 * mass_kg / FILL_STEP_ML + 1e-6) * FILL_STEP_ML
    return f"{_kilograms(mass_kg)}, about {water_ml} mL of water"


def _masses(chosen: Chosen, kit: KitKind) -> tuple[float, ...]:
    """The masses of this kit that the rules leave to the person."""
    return tuple(load.mass_kg for load in chosen.subject.loads(chosen.posture, kit) if load.mass_kg is not None)

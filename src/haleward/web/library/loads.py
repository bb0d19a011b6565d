"""The load of a movement on one body in numbers, and the same load in other kit."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import floor

from haleward.movement.band_path import band_loads
from haleward.movement.equivalence import MASS_KITS, Lever, Match, NoMatch, hold_like, mass_like, owned_at_most
from haleward.movement.hardest import hardest_key, hardest_words
from haleward.movement.loads import OWN_WEIGHT, KitKind, LoadSpec
from haleward.movement.model import Form, Joint, Movement
from haleward.movement.torque import LoadPath, WorkingPath
from haleward.physiology.tables import texts
from haleward.record import Band, Kit, Side
from haleward.render.chart import load_chart
from haleward.web.library.kept import kept
from haleward.web.library.subject import Subject

EXAMPLE_KG = 1.0  # shown, and said to be an example, until another load is typed
FILL_STEP_ML = 10
WHOLE_SENTENCES = ("steady", "none")
OWNED = {"hand_weight": "hand_weight_pairs_kg", "bottle": "bottle_pairs_kg", "ankle_weight": "ankle_weight_pairs_kg"}


@dataclass(frozen=True)
class Loaded:
    """A load, the band behind it when it is one, and how it is said."""

    spec: LoadSpec
    words: str
    band: Band | None = None
    example: bool = False


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
    chart: str
    own_peak_nm: float
    own_mean_nm: float
    loaded: Loaded
    peak_nm: float
    mean_nm: float
    likes: tuple[Like, ...]
    example: bool  # the load is neither typed nor the person's own
    hardest_alone: bool  # the words say it all and do not go on from "hardest"


def chosen_load(form: Form, kit: KitKind, subject: Subject, *, mass_kg: float | None, band: Band | None) -> Loaded:
    """The load to show: what was typed, else the lightest the person has, else an example."""
    if kit == "own_weight":
        return Loaded(OWN_WEIGHT, "own weight")
    if kit == "band":
        return _chosen_band(form, subject, band)
    owned = _owned(subject.kit, kit)
    mass = mass_kg or (min(owned) if owned else EXAMPLE_KG)
    example = mass_kg is None and not owned
    return Loaded(LoadSpec(kit, mass_kg=mass), f"{mass:g} kg{_each(form, kit)}", example=example)


def numbers_of(
    movement: Movement, form: Form, subject: Subject, side: Side, loaded: Loaded, bands: tuple[Band, ...]
) -> Numbers | None:
    """Torques, chart and equivalents; ``None`` for a movement that is no single joint's work."""
    joint = movement.working_joint
    if joint is None:
        return None
    path = WorkingPath(form, subject.body, joint, subject.scheme, side)
    own, with_load = path.loaded(), path.loaded(loaded.spec, loaded.band)
    return Numbers(
        joint=texts("library_words")[f"joint_{joint}"],
        scheme=texts("library_words")[f"scheme_{subject.scheme}"],
        hardest=hardest_words(with_load),
        chart=_chart(movement, form, subject, side, joint, loaded, with_load),
        own_peak_nm=abs(own.peak.torque_nm),
        own_mean_nm=own.mean_nm,
        loaded=loaded,
        peak_nm=abs(with_load.peak.torque_nm),
        mean_nm=with_load.mean_nm,
        likes=tuple(_likes(Lever(path), form, subject, loaded, bands)),
        example=loaded.example,
        hardest_alone=hardest_key(with_load) in WHOLE_SENTENCES,
    )


def _chosen_band(form: Form, subject: Subject, typed: Band | None) -> Loaded:
    band = typed or next(iter(subject.bands), None)
    spec = next(iter(band_loads(form, band, subject.body)), None) if band else None
    if band is None or spec is None or spec.hold_length_m is None:
        return Loaded(OWN_WEIGHT, "own weight")
    held = f"{band.name} held at {100 * spec.hold_length_m:.0f} cm, {spec.peak_n:.0f} N at most"
    return Loaded(spec, held, band)


def _chart(
    movement: Movement, form: Form, subject: Subject, side: Side, joint: Joint, loaded: Loaded, path: LoadPath
) -> str:
    facts = (movement.id, movement.version, form.kits, form.needs, subject.body, subject.scheme, side, joint, loaded)
    title = f"How hard {movement.name.lower()} is along its way, with {loaded.words}"
    posture = next(name for name, one in movement.postures.items() if one is form)
    return kept("chart", posture, *facts, make=lambda: load_chart(path, title=title))


def _likes(lever: Lever, form: Form, subject: Subject, loaded: Loaded, bands: tuple[Band, ...]) -> Iterator[Like]:
    if loaded.spec.kit == "own_weight":
        return
    for kit in (one for one in MASS_KITS if one in form.kits and one != loaded.spec.kit):
        yield _mass_row(mass_like(lever, loaded.spec, kit, band=loaded.band), kit, subject)
    if "band" in form.kits and loaded.spec.kit != "band":
        for band in bands:
            yield _band_row(hold_like(lever, loaded.spec, band), band)


def _mass_row(match: Match | NoMatch, kit: KitKind, subject: Subject) -> Like:
    name = texts("library_words")[f"kit_{kit}"]
    if isinstance(match, NoMatch):
        return Like(name, reason=match.reason)
    words = _fill if kit == "bottle" else _kilograms
    owned = ""
    if subject.kit is not None and (pairs := _owned(subject.kit, kit)) is not None:
        fits = owned_at_most(match.used, pairs)
        owned = "not possible safely with this kit" if fits is None else f"{fits:g} kg"
    safer = "mean" if match.by_mean <= match.by_peak else "peak"
    return Like(name, words(match.by_mean), words(match.by_peak), words(match.used), safer, owned)


def _band_row(match: Match | NoMatch, band: Band) -> Like:
    name = f"Band: {band.name}"
    if isinstance(match, NoMatch):
        return Like(name, reason=match.reason)
    safer = "mean" if match.by_mean >= match.by_peak else "peak"
    lengths = [f"hold {100 * length:.0f} cm" for length in (match.by_mean, match.by_peak, match.used)]
    return Like(name, *lengths, safer)


def _kilograms(mass_kg: float) -> str:
    """Rounded down to 10 g: a match is never shown heavier than it is."""
    return f"{floor(100 * mass_kg + 1e-6) / 100:g} kg"


def _fill(mass_kg: float) -> str:
    """A bottle's mass and the water for it: a litre with its bottle counts as a kilogram (data/tables/bottles.csv)."""
    water_ml = floor(1000 * mass_kg / FILL_STEP_ML + 1e-6) * FILL_STEP_ML
    return f"{_kilograms(mass_kg)}, about {water_ml} mL of water"


def _owned(kit: Kit | None, kind: KitKind) -> tuple[float, ...] | None:
    return getattr(kit, OWNED[kind]) if kit is not None and kind in OWNED else None


def _each(form: Form, kit: KitKind) -> str:
    held = form.kit_use[kit].held
    return {"each_hand": " in each hand", "each_ankle": " on each ankle", "both_hands": " in both hands"}.get(held, "")

"""Every way a movement can be done: each posture with each kit and load, and what it asks of the working joint."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from haleward.dose.model import Load
from haleward.movement.band_path import band_loads
from haleward.movement.loads import OWN_WEIGHT, KitKind, LoadSpec
from haleward.movement.model import Form
from haleward.movement.torque import WorkingPath
from haleward.physiology.tables import texts
from haleward.record import Band, Posture
from haleward.web.library.chosen import Chosen
from haleward.web.library.loads import EXAMPLE_KG, Loaded


@dataclass(frozen=True)
class OneLoad:
    """One load of a version: its words, and where it is shown."""

    words: str
    query: str
    here: bool


@dataclass(frozen=True)
class Version:
    """A posture with a kit: its loads from the lightest on, the range of the peak load, and what stands against it."""

    posture: str
    kit: str
    loads: tuple[OneLoad, ...]
    peak: str  # newton metres, lowest to highest; "" where no single joint works
    note: str = ""
    against: bool = False


def versions(chosen: Chosen, loaded: Loaded, bands: tuple[Band, ...]) -> tuple[Version, ...]:
    """Every posture and kit of the movement, in the order of the ladder. ``bands`` are the measured bands at hand."""
    return tuple(
        version
        for posture, form in chosen.movement.postures.items()
        for version in _of_posture(chosen, posture, form, loaded, bands)
    )


def _of_posture(
    chosen: Chosen, posture: Posture, form: Form, loaded: Loaded, bands: tuple[Band, ...]
) -> Iterator[Version]:
    joint, subject = chosen.movement.working_joint, chosen.subject
    path = WorkingPath(form, subject.body, joint, subject.scheme, chosen.side) if joint else None
    words = texts("library_words")
    for kit in form.kits:
        owned = [band for band in bands if band_loads(form, band, subject.body)] if kit == "band" else [None]
        if not owned:
            note = "too short for it here" if bands else "no band is measured: its holds are below"
            yield Version(words[f"posture_{posture}"], words["kit_band"], (_link(chosen, posture, kit),), "", note)
        for band in owned:
            specs = _specs(chosen, posture, form, kit, band)
            peaks = [abs(path.loaded(spec, band).peak.torque_nm) for spec in specs] if path else []
            yield Version(
                posture=words[f"posture_{posture}"],
                kit=f"{words['kit_band']}: {band.name}" if band else words[f"kit_{kit}"],
                loads=tuple(_one(chosen, posture, spec, band, loaded) for spec in specs),
                peak=_range(peaks),
                note=_note(chosen, posture, kit, band),
                against=subject.person is not None and not _left(chosen, posture, kit, band),
            )


def _specs(chosen: Chosen, posture: Posture, form: Form, kit: KitKind, band: Band | None) -> list[LoadSpec]:
    """The loads of one kit: every hold of a band, the person's own masses that the rules leave, else an example."""
    if band is not None:
        holds = band_loads(form, band, chosen.subject.body)
        left = {load.hold_length_m for load in _left(chosen, posture, kit, band)}
        return [spec for spec in holds if spec.hold_length_m in left] or holds
    if kit == "own_weight":
        return [OWN_WEIGHT]
    own = [
        LoadSpec(kit, mass_kg=load.mass_kg, fill_ml=load.fill_ml)
        for load in _left(chosen, posture, kit, band)
        if load.mass_kg is not None
    ]
    return own or [LoadSpec(kit, mass_kg=EXAMPLE_KG)]


def _one(chosen: Chosen, posture: Posture, spec: LoadSpec, band: Band | None, loaded: Loaded) -> OneLoad:
    more: dict[str, str] = {}
    words = "own weight"
    if band is not None and spec.hold_length_m is not None and spec.peak_n is not None:
        held = f"{100 * spec.hold_length_m:.0f}"
        words, more = f"{held} cm, {spec.peak_n:.0f} N", {"band": band.name, "hold": held}
    elif spec.mass_kg is not None:
        words, more = f"{spec.mass_kg:g} kg", {"load": f"{spec.mass_kg:g} kg"}
    now = loaded.spec
    same = (spec.kit, spec.mass_kg, spec.band, spec.hold_length_m)
    here = posture == chosen.posture and same == (now.kit, now.mass_kg, now.band, now.hold_length_m)
    return OneLoad(words, chosen.query(posture=posture, kit=spec.kit, **more), here)


def _link(chosen: Chosen, posture: Posture, kit: KitKind) -> OneLoad:
    return OneLoad("see its holds", chosen.query(posture=posture, kit=kit), here=False)


def _left(chosen: Chosen, posture: Posture, kit: KitKind, band: Band | None) -> list[Load]:
    """What the rules leave the person of this kit, or of this band."""
    return [load for load in chosen.subject.loads(posture, kit) if band is None or load.band == band.name]


def _note(chosen: Chosen, posture: Posture, kit: KitKind, band: Band | None) -> str:
    subject, left = chosen.subject, _left(chosen, posture, kit, band)
    if subject.person is not None and not left:
        return f"not for {subject.person.first_name} now"
    return "for example" if kit not in ("own_weight", "band") and not left else ""


def _range(peaks: list[float]) -> str:
    low, high = f"{min(peaks, default=0):.1f}", f"{max(peaks, default=0):.1f}"
    return "" if not peaks else low if low == high else f"{low} to {high}"

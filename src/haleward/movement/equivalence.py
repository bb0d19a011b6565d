"""What weighs the same in one movement on one body: weight, bottle, ankle weight and the length to hold a band.

Two loads are compared by the torque they themselves add at the working joint over the whole path, twice: by their mean
(what the muscle holds on average) and by their peak (what the joint must bear). The two rarely agree, because a band
pulls hardest at the end and a weight where the limb lies level. Both are given; the one that loads less is used.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from haleward.errors import HalewardError
from haleward.formula import FloatArray
from haleward.movement.band_path import BandPath, band_path, needed_m
from haleward.movement.bands import LONGEST_STRETCH
from haleward.movement.loads import OWN_WEIGHT, KitKind, LoadSpec
from haleward.movement.outside import band_pulls
from haleward.movement.torque import LEG_JOINTS, WorkingPath
from haleward.record import Band

MASS_KITS: tuple[KitKind, ...] = ("hand_weight", "bottle", "ankle_weight")
SLACKEST = 1.0  # a band as long as the whole path never pulls
HALVINGS = 40


@dataclass(frozen=True)
class Match:
    """How much of another kit adds the same: a mass in kilograms, or for a band the held length in metres."""

    kit: KitKind
    by_mean: float
    by_peak: float
    used: float


@dataclass(frozen=True)
class NoMatch:
    """Why another kit cannot add the same here."""

    kit: KitKind
    reason: str


@dataclass(frozen=True)
class Lever:
    """One movement on one body, seen from its working joint: posed once, then any load is weighed on it."""

    path: WorkingPath

    @cached_property
    def _own_nm(self) -> FloatArray:
        return self._torque(OWN_WEIGHT)

    @cached_property
    def _arms(self) -> tuple[FloatArray, FloatArray]:
        """For each instant and each end of the band on the limb: torque for each newton, and length of the strand."""
        path, use = self.path, self.path.form.kit_use["band"]
        end = f"{'ankle' if path.joint in LEG_JOINTS else 'hand'}_{path.working}"
        arms, strands = [], []
        for index, instant in enumerate(path.instants):
            about = instant.state.joints[f"{path.joint}_{path.working}"]
            pulls = [
                pull
                for pull in band_pulls(use, path.form, instant.state, path.body, working=path.working)
                if pull.on == end
            ]
            arms.append([path.about_axis(index, np.cross(pull.at - about, pull.direction)) for pull in pulls])
            strands.append([pull.strand_m for pull in pulls])
        return np.array(arms), np.array(strands)

    def added_nm(self, load: LoadSpec, band: Band | None = None) -> FloatArray:
        """The torque that a load adds to the limb's own, over the path."""
        if load.kit == "band" and band is not None and load.hold_length_m is not None:
            return self.band_nm(band, load.hold_length_m)
        return self._torque(load) - self._own_nm

    def band_nm(self, band: Band, hold_length_m: float) -> FloatArray:
        """The torque that a band adds over the path, held at this length and never past its safe stretch."""
        arms, strands = self._arms
        stretch = np.maximum(strands / hold_length_m, 1.0)
        force: FloatArray = band.stiffness_n * (stretch - stretch**-2)
        return np.asarray((arms * force).sum(axis=1), dtype=np.float64)

    def per_kg_nm(self, kit: KitKind) -> FloatArray:
        """The torque that one kilogram of a kit adds over the path."""
        return self.added_nm(LoadSpec(kit, mass_kg=1.0))

    def _torque(self, load: LoadSpec) -> FloatArray:
        return np.array([point.torque_nm for point in self.path.loaded(load).points])


def mass_like(lever: Lever, load: LoadSpec, kit: KitKind, *, band: Band | None = None) -> Match | NoMatch:
    """The mass of ``kit`` that adds what ``load`` adds (``band`` is the measured band of a band load)."""
    if kit not in lever.path.form.kit_use or kit not in MASS_KITS:
        return NoMatch(kit, f"this movement is not done with {_words(kit)} in this posture")
    wanted, unit = _both(lever.added_nm(load, band)), _both(lever.per_kg_nm(kit))
    if min(unit) <= 0:
        return NoMatch(kit, f"{_words(kit)} adds nothing at the working joint here")
    by_mean, by_peak = (one / other for one, other in zip(wanted, unit, strict=True))
    return Match(kit, by_mean, by_peak, min(by_mean, by_peak))


def hold_like(lever: Lever, load: LoadSpec, band: Band) -> Match | NoMatch:
    """The length of ``band`` to hold so that it adds what ``load`` adds; the longer of the two lengths is used.

    Shortening the held length always adds force, so each length is found by halving. A length that would stretch the
    band beyond its working limit, or that the band does not have, is not offered.
    """
    path = band_path(lever.path.form, lever.path.body)
    if path is None:
        return NoMatch("band", "the pull of a band cannot be worked out here")
    wanted = _both(lever.added_nm(load))
    if min(wanted) <= 0:
        return NoMatch("band", "there is no load to match")
    lengths = [_hold_for(lever, band, path, target, which) for which, target in enumerate(wanted)]
    if any(length is None for length in lengths):
        return NoMatch("band", f'"{band.name}" cannot pull that hard within its safe stretch')
    by_mean, by_peak = (float(length) for length in lengths if length is not None)
    used = max(by_mean, by_peak)
    if needed_m(path, used) > band.rest_length_m:
        return NoMatch("band", f'"{band.name}" is too short for this movement')
    return Match("band", by_mean, by_peak, used)


def owned_at_most(wanted_kg: float, owned_kg: tuple[float, ...]) -> float | None:
    """The heaviest owned item that is not heavier; None when every item is heavier."""
    return max((item for item in owned_kg if item <= wanted_kg + 1e-9), default=None)


def added_by_shortening_nm(
    lever: Lever, band: Band, *, hold_length_m: float, shorter_by_m: float
) -> tuple[float, float]:
    """Peak torque of the band as held, and with the hold shortened; raises if that stretches it too far."""
    path = band_path(lever.path.form, lever.path.body)
    shorter = hold_length_m - shorter_by_m
    if path is None or shorter <= 0 or path.longest_m / shorter > LONGEST_STRETCH:
        raise HalewardError(
            f'Held {shorter_by_m * 100:g} cm shorter, "{band.name}" would be stretched beyond its safe limit.'
        )
    before, after = (_both(lever.band_nm(band, one))[1] for one in (hold_length_m, shorter))
    return before, after


def _hold_for(lever: Lever, band: Band, path: BandPath, target: float, which: int) -> float | None:
    def adds(length_m: float) -> float:
        return _both(lever.band_nm(band, length_m))[which]

    shortest, longest = path.longest_m / LONGEST_STRETCH, path.longest_m * SLACKEST
    if adds(shortest) < target:
        return None
    for _ in range(HALVINGS):
        middle = (shortest + longest) / 2
        shortest, longest = (middle, longest) if adds(middle) > target else (shortest, middle)
    return longest


def _both(torque_nm: FloatArray) -> tuple[float, float]:
    """Mean and peak size."""
    sizes = np.abs(torque_nm)
    return float(sizes.mean()), float(sizes.max())


def _words(kit: KitKind) -> str:
    return kit.replace("_", " ")

"""A band's stiffness from readings on a luggage scale: fitted, with what is left over, its age and its limits.

Method (reference: resistance, section d): mark two points on the resting band, pull to three marked lengths, read after
three seconds, the first three pulls discarded. Never by colour or by a maker's figure: those overstate the force.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from haleward.errors import HalewardError, Inconsistent, OutOfRange
from haleward.formula import FloatArray
from haleward.movement.bands import LONGEST_STRETCH, newtons, stretch_force
from haleward.physiology.tables import settings

READINGS_LEAST = 3


@dataclass(frozen=True)
class Reading:
    """One reading: how many times its resting length the marked part was, and what the scale showed."""

    stretch: float
    kilograms: float


@dataclass(frozen=True)
class BandFit:
    """The stiffness GA in newtons, how far the readings lie from it, and its standard error."""

    stiffness_n: float
    standard_error_n: float
    worst_misfit: float  # of the reading it belongs to, as a share of the fitted force
    readings: tuple[Reading, ...]

    def force_n(self, stretch: float) -> float:
        """Fitted force at a stretch."""
        return self.stiffness_n * stretch_force(stretch)


def fit_band(readings: tuple[Reading, ...]) -> BandFit:
    """Least-squares stiffness through zero over at least three different stretches.

    Raises :class:`Inconsistent` when a reading lies further from the fit than the band rules allow: then the band was
    not warmed up, was misread, or is not a plain strip.
    """
    rules = settings("band_rules")
    if len({reading.stretch for reading in readings}) < READINGS_LEAST:
        raise HalewardError(
            f"{len(readings)} reading(s) of the band were given; pull it to three different lengths and read each."
        )
    for reading in readings:
        if not 1.05 <= reading.stretch <= LONGEST_STRETCH:
            raise OutOfRange("stretch of the band", reading.stretch, 1.05, LONGEST_STRETCH, "times its length")
        if reading.kilograms <= 0:
            raise OutOfRange("scale reading", reading.kilograms, 0.05, None, "kg")
    shape = np.array([stretch_force(reading.stretch) for reading in readings])
    force = np.array([newtons(kilograms_on_scale=reading.kilograms) for reading in readings])
    stiffness = float(shape @ force / (shape @ shape))
    misfit = force - stiffness * shape
    error = float(np.sqrt(misfit @ misfit / (len(readings) - 1) / (shape @ shape)))
    worst = float((np.abs(misfit) / (stiffness * shape)).max())
    if worst > rules["readings_agree_within"]:
        raise Inconsistent(_odd_one_out(readings, shape, force))
    return BandFit(stiffness, error, worst, readings)


def _odd_one_out(readings: tuple[Reading, ...], shape: FloatArray, force: FloatArray) -> str:
    """Names the reading without which the others agree best, and what they make of it."""
    found = []
    for index, reading in enumerate(readings):
        others = np.arange(len(readings)) != index
        stiffness = float(shape[others] @ force[others] / (shape[others] @ shape[others]))
        left = force[others] - stiffness * shape[others]
        found.append((float(left @ left), reading, stiffness * float(shape[index]) / newtons(kilograms_on_scale=1.0)))
    _, odd, expected_kg = min(found, key=lambda one: one[0])
    return (
        f"At {odd.stretch:g} times its length the scale showed {odd.kilograms:.1f} kg, but by the other readings it "
        f"would be {expected_kg:.1f} kg; stretch the band three times first, wait three seconds, and read again."
    )


def measure_again_on(measured_on: date) -> date:
    """The day by which a band has to be measured again, since its pull falls with use."""
    return measured_on + timedelta(weeks=settings("band_rules")["measure_again_weeks"])


def worn_out(*, new_stiffness_n: float, now_stiffness_n: float) -> bool:
    """Whether a band has lost so much of its pull that it has to be replaced."""
    return now_stiffness_n < new_stiffness_n * (1 - settings("band_rules")["replace_at_loss"])


def longest_stretch_m(hold_length_m: float) -> float:
    """How far a held length may be pulled: its working limit."""
    return hold_length_m * LONGEST_STRETCH

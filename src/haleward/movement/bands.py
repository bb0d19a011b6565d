"""Force of an elastic band as a thin incompressible neo-Hookean strip (reference: resistance, section d).

F = GA (s - 1/s^2), with s = stretched length / unstretched length and GA, the band's stiffness in newtons, a property
of the strip whatever its length. A band is never stretched beyond 2.5 times its own length again (elongation 250 %).
"""

from __future__ import annotations

from math import ceil

from haleward.errors import HalewardError, Inconsistent, OutOfRange
from haleward.physiology.tables import settings

LONGEST_STRETCH = 1.0 + settings("band_rules")["working_elongation"]
READINGS_AGREE_WITHIN = settings("band_rules")["readings_agree_within"]
STANDARD_GRAVITY_M_PER_S2 = 9.81
CM_IN_M = 100


def stretch_force(stretch: float) -> float:
    """Force over GA at stretch ratio ``stretch`` (1 is slack): s - 1/s^2."""
    return stretch - 1.0 / stretch**2


def tangent(stretch: float) -> float:
    """Slope of force over GA by stretch: 1 + 2/s^3."""
    return 1.0 + 2.0 / stretch**3


def force_n(*, stiffness_n: float, hold_length_m: float, length_m: float) -> float:
    """Force in newtons of a strip of ``hold_length_m`` pulled to ``length_m``; 0 when slack.

    Raises :class:`OutOfRange` beyond the working limit of 250 % elongation.
    """
    _positive("band stiffness", stiffness_n, "N")
    _positive("held length", hold_length_m, "m")
    stretch = length_m / hold_length_m
    if stretch > LONGEST_STRETCH + 1e-9:
        raise OutOfRange("stretched band length", round(length_m, 3), 0, round(LONGEST_STRETCH * hold_length_m, 3), "m")
    return 0.0 if stretch <= 1.0 else stiffness_n * stretch_force(stretch)


def hold_length_m(*, stiffness_n: float, force_n: float, length_m: float) -> float:
    """Unstretched length that gives ``force_n`` at ``length_m``: the root of s^3 - f s^2 - 1 = 0, f = F/GA."""
    _positive("band stiffness", stiffness_n, "N")
    _positive("band force", force_n, "N")
    _positive("stretched length", length_m, "m")
    relative = force_n / stiffness_n
    highest = stretch_force(LONGEST_STRETCH)
    if relative > highest:
        raise OutOfRange("band force", round(force_n, 1), 0, round(highest * stiffness_n, 1), "N")
    stretch = relative + 1.0
    for _ in range(30):
        step = (stretch_force(stretch) - relative) / tangent(stretch)
        stretch -= step
        if abs(step) < 1e-12:
            break
    return length_m / stretch


def stiffness_n(readings: tuple[tuple[float, float], ...]) -> float:
    """Stiffness GA in newtons from scale readings ``(stretch ratio, force in newtons)``.

    The mean of force/(s - 1/s^2); raises :class:`Inconsistent` when two readings differ by more than 10 % of the mean.
    """
    if not readings:
        raise HalewardError("No scale reading of the band was given; pull it to at least one marked length.")
    estimates = []
    for stretch, force in readings:
        if not 1.0 < stretch <= LONGEST_STRETCH:
            raise OutOfRange("stretch of the band", stretch, 1.05, LONGEST_STRETCH, "times its length")
        _positive("scale reading", force, "N")
        estimates.append(force / stretch_force(stretch))
    mean = sum(estimates) / len(estimates)
    if max(estimates) - min(estimates) > READINGS_AGREE_WITHIN * mean:
        raise Inconsistent(
            f"The readings of the band give {min(estimates):.1f} N to {max(estimates):.1f} N, more than 10 % apart; "
            "stretch it three times first, wait three seconds, and read again."
        )
    return mean


def folded(*, stiffness_n: float, hold_length_m: float) -> tuple[float, float]:
    """Stiffness and held length of the same strip folded in half: twice as stiff, half as long."""
    return 2.0 * stiffness_n, hold_length_m / 2.0


def newtons(*, kilograms_on_scale: float) -> float:
    """Force in newtons of a luggage-scale reading in kilograms."""
    return kilograms_on_scale * STANDARD_GRAVITY_M_PER_S2


def easier_cm(hold_length_m: float) -> float:
    """A length to hold in metres, rounded up to a whole centimetre: one that can be measured, and the easier one."""
    return ceil(hold_length_m * CM_IN_M - 1e-6) / CM_IN_M


def _positive(name: str, value: float, unit: str) -> None:
    if value <= 0:
        raise OutOfRange(name, value, 0.001, None, unit)

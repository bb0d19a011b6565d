"""Upper limits on heart rate, and the one rule that combines them: the lowest wins, and a range is never inverted.

Who or what may set a limit, and with which margin, is the protocol's; here is only the arithmetic (design rule, no
source).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from haleward.formula import Range, formula

LIMIT = Range(0, 300, "bpm", "Limit on heart rate")


@dataclass(frozen=True)
class CombinedRange:
    """A heart-rate range under its limits. ``low_bpm`` and ``high_bpm`` are None when there is a conflict.

    ``upper_bpm`` is the lowest of the range's own top and all limits; ``limited`` says that a limit set it.
    """

    low_bpm: float | None
    high_bpm: float | None
    upper_bpm: float
    limited: bool

    @property
    def conflict(self) -> bool:
        """Whether the lowest limit leaves no whole beat of the range."""
        return self.high_bpm is None


@formula(
    title="Ceiling under a threshold",
    equation="threshold − margin",
    unit="bpm",
    ranges={
        "threshold_bpm": Range(40, 260, "bpm", "Threshold"),
        "margin_bpm": Range(0, 40, "bpm", "Margin", stated_low=10, stated_high=20),
    },
    source="10 bpm under ischaemia; 10 to 20 bpm under a defibrillator's detection rate, by country",
    trust="from memory, unverified",
    error="Published margins differ from 10 to 20 bpm; the protocol names one.",
)
def ceiling_under_threshold_bpm(*, threshold_bpm: float, margin_bpm: float) -> float:
    """Highest heart rate allowed under a threshold at which something happens (ischaemia, a device's treatment)."""
    return threshold_bpm - margin_bpm


def combine_ceilings(*, low_bpm: float, high_bpm: float, limits_bpm: Sequence[float]) -> CombinedRange:
    """The range from ``low_bpm`` to the lowest of ``high_bpm`` and all limits.

    Shown in whole beats, bottom up and top down; when nothing is left, there is a conflict and no range, never a range
    turned round. A range that is turned round to begin with is a conflict too. Raises :class:`OutOfRange`.
    """
    for bpm in (low_bpm, high_bpm, *limits_bpm):
        LIMIT.check(bpm)
    upper = min((high_bpm, *limits_bpm))
    limited = upper < high_bpm
    if math.floor(upper) < math.ceil(low_bpm):
        return CombinedRange(None, None, upper, limited)
    return CombinedRange(low_bpm, upper, upper, limited)

"""How hard to work, in the person's words: the heart-rate range with its limit, or why there is none."""

from __future__ import annotations

from collections.abc import Mapping
from math import ceil

from haleward.dose.intensity import lowest_ceiling, shown_range
from haleward.dose.model import Intensity
from haleward.wording import Wording

_LIMITS = {
    "device": "intensity_ceiling_device",
    "ischaemia": "intensity_ceiling_chest",
    "clinician": "intensity_ceiling_team",
}
_ABOVE = ("intensity_above_1", "intensity_above_3", "intensity_above_4")


def how_hard_lines(
    intensity: Intensity | None, *, wording: Wording, values: Mapping[str, str], walking: bool
) -> tuple[str, ...]:
    """The lines for page and print; none without an intensity.

    A walk gets the range itself. A strength session is led by effort, so it gets only the rate not to go over.
    """
    if intensity is None:
        return ()
    effort = [] if intensity.effort_scale != "0-10" else ["intensity_effort"]
    shown = shown_range(intensity)
    limits = dict.fromkeys(ceiling.origin for ceiling in intensity.ceilings if ceiling.origin in _LIMITS)
    told = [_LIMITS[origin] for origin in limits]
    rate = {"hr_ceiling": rate_ceiling(intensity)}
    if shown is None:
        limit = ["intensity_ceiling", *told] if rate["hr_ceiling"] else []
        keys = [*_no_range(intensity), *limit, *effort, "intensity_talk", "intensity_day"]
        return _lines(keys, intensity, wording, {**values, **rate})
    keys = ["intensity_range"] if walking else ["intensity_ceiling"]
    keys += told
    miss = _largest_miss(intensity)
    keys += ["intensity_sure_1", "intensity_sure_2"] if miss else []
    above = _ABOVE if walking else _ABOVE[1:]  # the first speaks of the range, which only a walk has
    keys += [*effort, "intensity_talk", *above, "intensity_day"]
    rates = {"hr_low": str(shown[0]), "hr_high": str(shown[1]), "beats": str(miss), **rate}
    return _lines(keys, intensity, wording, {**values, **rates})


def _largest_miss(intensity: Intensity) -> int:
    """By how many beats a predicted maximum may put the range off, at the bound it moves most; 0 if it was measured."""
    bounds = [one for one in (intensity.low, intensity.high) if one is not None]
    ends = [(one.value, end) for one in bounds for end in (one.low, one.high) if end is not None]
    return max((ceil(abs(value - end)) for value, end in ends), default=0)


def rate_ceiling(intensity: Intensity | None) -> str:
    """The rate not to go over as digits; "" where nothing limits it. A device's limit holds without a range too."""
    ceiling = lowest_ceiling(intensity) if intensity else None
    return "" if ceiling is None else str(ceiling)


def _no_range(intensity: Intensity) -> list[str]:
    return ["intensity_no_hr", "intensity_no_hr_2"] if intensity.not_usable_reason else ["intensity_no_hr_2"]


def _lines(keys: list[str], intensity: Intensity, wording: Wording, values: Mapping[str, str]) -> tuple[str, ...]:
    filled = {**values, "reason": intensity.not_usable_reason}
    return tuple(wording.text(key, filled) for key in keys if wording.has_values(key, filled))

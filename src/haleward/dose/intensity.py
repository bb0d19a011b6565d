"""How hard to work: a heart-rate range under the lowest ceiling when heart rate is usable, effort and talk always.

Target = rest + fraction x (maximum - rest) (Karvonen 1957). A range is set only when everything it rests on is
recorded and belongs to the medicines taken now; otherwise the result says what is missing.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date

from haleward.dose.ceilings import ceiling_step, outside_ceilings
from haleward.dose.heart_rate import usability_step, why_not_usable
from haleward.dose.maximum import Maximum, maximum_for
from haleward.dose.model import Ceiling, Intensity
from haleward.dose.words import shown, words
from haleward.errors import OutOfRange
from haleward.formula import find
from haleward.physiology.ceilings import combine_ceilings
from haleward.physiology.heart_rate import reserve_target_bpm
from haleward.record import HeartRate, Record
from haleward.safety.policy import IntensityPolicy
from haleward.safety.protocol import Protocol
from haleward.units import likely
from haleward.worksheet import Figure, Input, Step, Worksheet

Facts = Mapping[str, bool | float | str]


@dataclass(frozen=True)
class _Band:
    """The range before any ceiling cuts it, with the lines that lead to it."""

    low: Figure
    high: Figure
    maximum: Figure
    steps: tuple[Step, ...]


def set_intensity(record: Record, facts: Facts, *, protocol: Protocol, today: date) -> Intensity:
    """Set how hard this person works aerobically today.

    ``facts`` are the safety facts of the same person (:func:`haleward.safety.facts.facts_of`); a day check in them can
    end a range (new irregular pulse, changed medicines). Bounds are returned unrounded: show them with
    :func:`shown_range`.
    """
    policy = protocol.policies.intensity
    reason = why_not_usable(record, facts, policy=policy, today=today)
    reading = record.resting_heart_rate
    outside = outside_ceilings(record, facts, policy=policy)  # they hold without a range too
    if reason or reading is None:
        why = reason or words("hr_rest_missing")
        return _effort_only(policy, why, outside, (usability_step(record, why, policy=policy),))
    maximum = maximum_for(record, policy=policy, today=today)
    if isinstance(maximum, str):
        return _effort_only(policy, maximum, outside, (usability_step(record, maximum, policy=policy),))
    reserve = _reserve_step(reading, maximum, policy)
    if maximum.bpm - reading.bpm < policy.smallest_reserve_bpm:
        return _effort_only(policy, words("hr_reserve_small"), outside, (*maximum.steps, reserve))
    try:
        band = _band(reading, maximum, policy, (*maximum.steps, reserve))
    except OutOfRange:
        return _effort_only(policy, words("hr_method_range"), outside, (*maximum.steps, reserve))
    return _under_ceilings(band, outside, record, maximum, policy)


def shown_range(intensity: Intensity) -> tuple[int, int] | None:
    """The range in whole bpm as screens and prints show it: the bottom rounded up, the top rounded down."""
    if intensity.low_bpm is None or intensity.high_bpm is None:
        return None
    return math.ceil(intensity.low_bpm), math.floor(intensity.high_bpm)


def lowest_ceiling(intensity: Intensity) -> int | None:
    """The rate not to go over in whole bpm, as screens and prints show it: with a range its top, without one the lowest
    limit of device, chest pain or team; None where nothing limits it.
    """
    shown = shown_range(intensity)
    limits = [shown[1]] if shown else [math.floor(ceiling.bpm) for ceiling in intensity.ceilings]
    return min(limits, default=None)


def _effort_only(
    policy: IntensityPolicy, reason: str, outside: tuple[Ceiling, ...], steps: tuple[Step, ...]
) -> Intensity:
    line = words("intensity_not_usable", **_effort(policy))
    return Intensity(
        low_bpm=None,
        high_bpm=None,
        ceilings=outside,
        effort_low=policy.effort_low,
        effort_high=policy.effort_high,
        effort_scale=policy.effort_scale,
        not_usable_reason=reason,
        conflict="",
        method=words("method_effort"),
        worksheet=Worksheet(words("intensity_title"), line, steps),
    )


def _effort(policy: IntensityPolicy) -> dict[str, object]:
    return {"effort_low": policy.effort_low, "effort_high": policy.effort_high, "scale": policy.effort_scale}


def _reserve_step(reading: HeartRate, maximum: Maximum, policy: IntensityPolicy) -> Step:
    top = maximum.above(reading.bpm)
    origin = maximum.formula or "measured peak"
    return Step(
        title="Heart-rate reserve",
        formula="maximum − rest",
        inputs=(Input("Maximum", top.value, "bpm", origin, top.low, top.high), _rest_input(reading)),
        result=maximum.bpm - reading.bpm,
        unit="bpm",
        source=policy.source,
        rule_id="intensity.smallest_reserve_bpm",
        low=None if top.low is None else top.low - reading.bpm,
        high=None if top.high is None else top.high - reading.bpm,
    )


def _rest_input(reading: HeartRate) -> Input:
    origin = ", ".join(part for part in (f"taken {shown(reading.taken_on)}", reading.how) if part)
    return Input("Resting heart rate", reading.bpm, "bpm", origin)


def _band(reading: HeartRate, maximum: Maximum, policy: IntensityPolicy, before: tuple[Step, ...]) -> _Band:
    low, high = (
        _target_step(title, fraction, rule_id, reading, maximum, policy)
        for title, fraction, rule_id in (
            ("Bottom of the band", policy.reserve_fraction_low, "intensity.reserve_fraction_low"),
            ("Top of the band, before any ceiling", policy.reserve_fraction_high, "intensity.reserve_fraction_high"),
        )
    )
    return _Band(_figure(low), _figure(high), maximum.above(reading.bpm), (*before, low, high))


def _figure(step: Step) -> Figure:
    return Figure(float(step.result), "bpm", step.low, step.high)


def _target_step(
    title: str, fraction: float, rule_id: str, reading: HeartRate, maximum: Maximum, policy: IntensityPolicy
) -> Step:
    origins = {
        "resting_bpm": _rest_input(reading).origin,
        "maximum_bpm": maximum.formula or "measured peak",
        "fraction": "protocol",
    }
    step = find(reserve_target_bpm.__name__).step(
        title,
        origins=origins,
        rule_id=rule_id,
        resting_bpm=reading.bpm,
        maximum_bpm=maximum.above(reading.bpm),
        fraction=fraction,
    )
    return replace(step, source=f"{step.source}; {policy.source}")


def _under_ceilings(
    band: _Band, outside: tuple[Ceiling, ...], record: Record, maximum: Maximum, policy: IntensityPolicy
) -> Intensity:
    """Cut the band to the lowest ceiling. A cut top is not listed: only the worksheet line of the band keeps it."""
    limits = [ceiling.bpm for ceiling in outside]
    combined = combine_ceilings(low_bpm=band.low.value, high_bpm=band.high.value, limits_bpm=limits)
    ceilings = outside
    if not combined.limited:
        top = Ceiling(band.high.value, "band_top", words("ceiling_band_top"), "intensity.reserve_fraction_high")
        ceilings = (top, *outside)
    high_bpm = combined.upper_bpm
    low_shown, high_shown = math.ceil(band.low.value), math.floor(high_bpm)
    conflict = ""
    if combined.conflict:
        conflict = words("intensity_conflict", ceiling=high_bpm, origin=ceilings[0].reason, low=band.low.value)
    high = _under(band.high, outside)
    error = "" if conflict else _error(band, high)
    return Intensity(
        low_bpm=None if conflict else band.low.value,
        high_bpm=None if conflict else high_bpm,
        ceilings=ceilings,
        effort_low=policy.effort_low,
        effort_high=policy.effort_high,
        effort_scale=policy.effort_scale,
        not_usable_reason="",
        conflict=conflict,
        method=_method(maximum, policy),
        worksheet=Worksheet(
            title=words("intensity_title"),
            result=conflict or words("intensity_result", low=low_shown, high=high_shown, **_effort(policy)),
            steps=(*band.steps, ceiling_step(ceilings, source=policy.source)),
            cautions=(*((error,) if error else ()), *_cautions(record, maximum, high_bpm)),
        ),
        maximum=band.maximum,
        low=None if conflict else band.low,
        high=None if conflict else high,
        error=error,
    )


def _under(top: Figure, outside: tuple[Ceiling, ...]) -> Figure:
    """The top of the band with neither its value nor its likely range above the lowest ceiling."""
    if not outside:
        return top
    lowest = outside[0].bpm
    low, high = (None if end is None else min(end, lowest) for end in (top.low, top.high))
    return Figure(min(top.value, lowest), top.unit, low, high)


def _error(band: _Band, high: Figure) -> str:
    """What a predicted maximum's error does to the range, in a sentence; "" where the maximum was measured."""
    if band.low.low is None or band.low.high is None or high.low is None or high.high is None:
        return ""
    return words(
        "intensity_error",
        maximum=likely(band.maximum),
        low_from=math.ceil(band.low.low),
        low_to=math.ceil(band.low.high),
        high_from=math.floor(high.low),
        high_to=math.floor(high.high),
    )


def _method(maximum: Maximum, policy: IntensityPolicy) -> str:
    per_cent: dict[str, object] = {
        "low": 100 * policy.reserve_fraction_low,
        "high": 100 * policy.reserve_fraction_high,
    }
    if maximum.measured:
        return words("method_measured", **per_cent)
    if maximum.subtract_bpm:
        return words("method_predicted_less", formula=maximum.formula, subtract=maximum.subtract_bpm, **per_cent)
    return words("method_predicted", formula=maximum.formula, **per_cent)


def _cautions(record: Record, maximum: Maximum, high_bpm: float) -> tuple[str, ...]:
    found = list(maximum.cautions) if maximum.measured else [words("caution_predicted"), *maximum.cautions]
    device = record.device
    if device is not None and device.lowest_detection_bpm is not None and device.read_on is None:
        found.append(words("caution_device_unread"))
    if device is not None and device.upper_rate_bpm is not None and device.upper_rate_bpm < high_bpm:
        found.append(words("caution_upper_rate", value=device.upper_rate_bpm))
    return tuple(found)

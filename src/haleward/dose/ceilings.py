"""Upper limits on heart rate: who or what set each one. The lowest wins."""

from __future__ import annotations

from collections.abc import Mapping

from haleward.dose.model import Ceiling
from haleward.dose.words import words
from haleward.record import Record
from haleward.safety.policy import IntensityPolicy
from haleward.worksheet import Input, Step

Facts = Mapping[str, bool | float | str]


def outside_ceilings(record: Record, facts: Facts, *, policy: IntensityPolicy) -> tuple[Ceiling, ...]:
    """Every limit but the top of the band itself, lowest first.

    A device rate counts whatever the device is called: a recorded treatment rate is a limit.
    """
    found = [
        _less_margin(
            "ischaemia",
            _lowest(record.ischaemic_threshold_bpm, facts.get("ischaemic_threshold_hr")),
            policy.ischaemia_margin_bpm,
            "intensity.ischaemia_margin_bpm",
        ),
        _less_margin(
            "device",
            _lowest(record.device.lowest_detection_bpm if record.device else None, facts.get("icd_detect_bpm")),
            policy.device_margin_bpm,
            "intensity.device_margin_bpm",
        ),
        _clinician(record),
    ]
    return tuple(sorted((c for c in found if c is not None), key=lambda ceiling: ceiling.bpm))


def ceiling_step(ceilings: tuple[Ceiling, ...], *, source: str) -> Step:
    """The worksheet line that compares the limits."""
    return Step(
        title="Lowest ceiling",
        formula="lowest of all ceilings",
        inputs=tuple(Input(c.reason, c.bpm, "bpm", c.rule_id) for c in ceilings),
        result=min(c.bpm for c in ceilings),
        unit="bpm",
        source=source,
        rule_id="intensity.ceilings",
    )


def _less_margin(origin: str, threshold_bpm: float | None, margin_bpm: float, rule_id: str) -> Ceiling | None:
    if threshold_bpm is None:
        return None
    reason = words(f"ceiling_{origin}", value=threshold_bpm, margin=margin_bpm)
    if origin == "ischaemia":
        return Ceiling(threshold_bpm - margin_bpm, "ischaemia", reason, rule_id)
    return Ceiling(threshold_bpm - margin_bpm, "device", reason, rule_id)


def _clinician(record: Record) -> Ceiling | None:
    if record.clinician_ceiling_bpm is None:
        return None
    author = record.clinician_ceiling_by
    reason = words("ceiling_clinician", author=author) if author else words("ceiling_clinician_unnamed")
    return Ceiling(record.clinician_ceiling_bpm, "clinician", reason, "record.clinician_ceiling_bpm")


def _lowest(*values: object) -> float | None:
    numbers = [float(v) for v in values if isinstance(v, int | float) and not isinstance(v, bool)]
    return min(numbers, default=None)

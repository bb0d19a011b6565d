"""The highest heart rate a range may be built on: measured on current medicines first, else predicted by protocol."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

import haleward.physiology.heart_rate  # noqa: F401 - registers the methods a protocol may name
from haleward.dose.heart_rate import epoch_medicines
from haleward.dose.words import words
from haleward.errors import OutOfRange
from haleward.formula import find
from haleward.record import Record
from haleward.safety.policy import IntensityPolicy
from haleward.worksheet import Figure, Input, Step

LEAST_RESERVE_BPM = 1  # a maximum has to be above rest for a target to exist


@dataclass(frozen=True)
class Maximum:
    """The highest heart rate, how it was found, and the worksheet lines."""

    bpm: float
    measured: bool
    formula: str
    subtract_bpm: float
    steps: tuple[Step, ...]
    cautions: tuple[str, ...] = ()
    low_bpm: float | None = None  # the likely range of a predicted one
    high_bpm: float | None = None

    def above(self, resting_bpm: float) -> Figure:
        """The maximum with its likely range, which ends above the resting rate: no maximum lies at or below rest."""
        if self.low_bpm is None or self.high_bpm is None:
            return Figure(self.bpm, "bpm")
        low = max(self.low_bpm, resting_bpm + LEAST_RESERVE_BPM)
        return Figure(self.bpm, "bpm", min(low, self.bpm), max(self.high_bpm, self.bpm))


def maximum_for(record: Record, *, policy: IntensityPolicy, today: date) -> Maximum | str:
    """The maximum for this person, or the clause that says why there is none."""
    unused = _why_peak_not_used(record, policy)
    if record.peak_bpm_on_medicines is not None and not unused:
        return _measured(record.peak_bpm_on_medicines)
    blocking = [m for m in record.medicines or () if m.drug_class in policy.prediction_not_with]
    if blocking:
        return words("hr_no_prediction", medicine=blocking[0].name)
    predicted = _predicted(record, policy=policy, today=today)
    if isinstance(predicted, Maximum) and unused:
        return replace(predicted, cautions=(unused, *predicted.cautions))
    return predicted


def _why_peak_not_used(record: Record, policy: IntensityPolicy) -> str:
    """A peak holds for the medicines it was measured on: none may have begun, ended or changed since or on its day."""
    if record.peak_bpm_on_medicines is None:
        return ""
    changes = [medicine.since for medicine in epoch_medicines(record, policy=policy)]
    changes += [one.ended_by for one in record.former_medicines if one.drug_class in policy.epoch_medicines]
    if not changes:
        return ""
    taken_on = record.peak_taken_on
    if taken_on is None:
        return words("hr_peak_undated")
    return words("hr_peak_outlived") if any(one is None or one >= taken_on for one in changes) else ""


def _measured(peak_bpm: float) -> Maximum:
    step = Step(
        title="Highest heart rate",
        formula="highest rate reached in a maximal test on current medicines",
        inputs=(Input("Measured peak", peak_bpm, "bpm", "assessment"),),
        result=peak_bpm,
        unit="bpm",
        rule_id="intensity.maximum_measured",
    )
    return Maximum(peak_bpm, True, "", 0.0, (step,))


def _predicted(record: Record, *, policy: IntensityPolicy, today: date) -> Maximum | str:
    blocked = record.takes("beta_blocker") is True
    rule_id = "intensity.beta_blocker_method" if blocked else "intensity.maximum_method"
    method = find(policy.beta_blocker_method if blocked else policy.maximum_method)
    values = _inputs(record, tuple(method.ranges), today)
    if isinstance(values, str):
        return values
    try:
        step = method.step(origins=dict.fromkeys(values, "assessment"), rule_id=rule_id, **values)
    except OutOfRange:
        return words("hr_method_range")
    cautions = (*method.cautions(**values), *((method.error,) if method.error else ()))
    if not blocked:
        return Maximum(float(step.result), False, method.title, 0.0, (step,), cautions, step.low, step.high)
    less = _less_for_beta_blocker(step, policy)
    subtract_bpm = policy.beta_blocker_subtract_bpm
    return Maximum(float(less.result), False, method.title, subtract_bpm, (step, less), cautions, less.low, less.high)


def _less_for_beta_blocker(predicted: Step, policy: IntensityPolicy) -> Step:
    """The predicted maximum less what the protocol subtracts; its likely range moves with it."""
    less_bpm = policy.beta_blocker_subtract_bpm
    predicted_bpm = float(predicted.result)
    return Step(
        title="Less, for the beta-blocker",
        formula="predicted maximum − subtract",
        inputs=(
            Input("Predicted maximum", predicted_bpm, "bpm", "line above", predicted.low, predicted.high),
            Input("Subtract", less_bpm, "bpm", "protocol"),
        ),
        result=predicted_bpm - less_bpm,
        unit="bpm",
        source=policy.source,
        rule_id="intensity.beta_blocker_subtract_bpm",
        low=None if predicted.low is None else predicted.low - less_bpm,
        high=None if predicted.high is None else predicted.high - less_bpm,
    )


def _inputs(record: Record, names: tuple[str, ...], today: date) -> dict[str, Any] | str:
    """The formula's inputs from the record, or the clause that names the one that is not recorded."""
    known: Mapping[str, float | str | None] = {
        "age_y": record.age_y(today),
        "sex": record.sex,
        "resting_bpm": record.resting_heart_rate.bpm if record.resting_heart_rate else None,
    }
    missing = {"age_y": "hr_age_unknown", "sex": "hr_sex_unknown", "resting_bpm": "hr_rest_missing"}
    values: dict[str, Any] = {}
    for name in names:
        value = known.get(name)
        if value is None:
            return words(missing.get(name, "hr_method_range"))
        values[name] = value
    return values

"""Can heart rate guide this person today? If not, why not, as a clause the person can read."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from haleward.dose.words import shown, words
from haleward.record import Medicine, Record
from haleward.safety.policy import IntensityPolicy
from haleward.worksheet import Input, Step

Facts = Mapping[str, bool | float | str]


def why_not_usable(record: Record, facts: Facts, *, policy: IntensityPolicy, today: date) -> str:
    """The reason that heart rate cannot be used now, finishing "because ..."; "" when nothing stands against it.

    What can never work (rhythm, transplant, pump, pacing) comes before what is only missing, so that nobody is asked
    for a reading that would not help.
    """
    return (
        _never(record, facts, policy)
        or _missing(record)
        or _device_rate_missing(record, facts, policy)
        or _reading_out_of_date(record, facts, policy, today)
    )


def usability_step(record: Record, reason: str, *, policy: IntensityPolicy) -> Step:
    """The line of working behind "heart rate is not used": what was looked at, and what stood against it."""
    slowing = [m.name for m in epoch_medicines(record, policy=policy)]
    reading = record.resting_heart_rate
    taken = "none" if record.medicines is not None else "not recorded"
    inputs = (
        Input("Rhythm", _text(record.rhythm)),
        Input("Device", _text(record.device.kind if record.device else None)),
        Input("Events", ", ".join(_text(event.kind) for event in record.events) or "not recorded"),
        Input("Medicines that change the heart rate", ", ".join(slowing) or taken),
        Input("Resting heart rate taken", shown(reading.taken_on) if reading else "not recorded"),
    )
    return Step(
        title="Can heart rate be used?",
        formula="rhythm, device, events, medicines and the day of the reading, each against the protocol",
        inputs=inputs,
        result=f"no: {reason}",
        source=policy.source,
        rule_id="intensity",
    )


def _text(code: str | None) -> str:
    return code.replace("_", " ") if code else "not recorded"


def epoch_medicines(record: Record, *, policy: IntensityPolicy) -> tuple[Medicine, ...]:
    """The medicines taken now whose change ends a heart-rate range."""
    return tuple(m for m in record.medicines or () if m.drug_class in policy.epoch_medicines)


def _never(record: Record, facts: Facts, policy: IntensityPolicy) -> str:
    if record.rhythm in policy.not_usable_rhythms:
        return words(f"hr_rhythm_{record.rhythm}")
    if facts.get("rhythm_new_irregular") is True:
        return words("hr_rhythm_new")
    if facts.get("lvad") is True:
        return words("hr_event_lvad")
    for event in record.events:
        if event.kind in policy.not_usable_events:
            return words(f"hr_event_{event.kind}")
    if record.device is not None and record.device.kind in policy.not_usable_devices:
        return words("hr_device_lvad" if record.device.kind == "lvad" else "hr_device_pacing")
    for name in policy.not_usable_facts or ():
        if facts.get(name) is True:
            return words(f"hr_fact_{name}")
    return ""


def _missing(record: Record) -> str:
    if record.rhythm is None:
        return words("hr_rhythm_unknown")
    if record.medicines is None:
        return words("hr_medicines_unknown")
    if record.device is None:
        return words("hr_device_unknown")
    return ""


def _device_rate_missing(record: Record, facts: Facts, policy: IntensityPolicy) -> str:
    detects = record.device is not None and record.device.kind in policy.detecting_devices
    rate_known = record.device is not None and record.device.lowest_detection_bpm is not None
    if (detects or facts.get("icd") is True) and not rate_known:
        return words("hr_detection_unknown")
    return ""


def _reading_out_of_date(record: Record, facts: Facts, policy: IntensityPolicy, today: date) -> str:
    reading = record.resting_heart_rate
    if reading is None:
        return words("hr_rest_missing")
    if reading.taken_on > today:
        return words("hr_rest_future")
    for medicine in epoch_medicines(record, policy=policy):
        if medicine.since is None:
            return words("hr_medicine_since_unknown", medicine=medicine.name)
        if medicine.since >= reading.taken_on:  # taken on the day of the change, it may be from before the change
            return words("hr_medicine_changed")
    if any(m.drug_class in policy.epoch_medicines and m.ended_by >= reading.taken_on for m in record.former_medicines):
        return words("hr_medicine_changed")
    if facts.get("meds_changed") is True:
        return words("hr_medicine_changed")
    if (today - reading.taken_on).days > policy.reading_valid_days:
        return words("hr_rest_old")
    return ""

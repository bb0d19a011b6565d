"""The facts that rules are asked about, derived from a record and the day's answers. Nothing is invented.

Answers of the day (inputs.csv, column "asked") come from a day check made on that day. One that is stored with the
record never reassures, since a record can be carried to a new day without asking again; a worrying one counts on the
day of the assessment. What is asked at entry and on the day counts from the record until it is asked on the day. Blood
pressure and heart rate count when they were taken that day. An input that is missing from the result is unknown.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from haleward.record import DayCheck, Event, Record
from haleward.safety.inputs import default_inputs

Answers = dict[str, bool | float | str]
# What lasts, whatever happened to the heart later.
_LASTING = {
    "aortic_ever": ("aortic_dissection", "aortic_repair", "evar"),
    "scad_ever": ("scad",),
    "transplant_ever": ("transplant",),
}
_DEFIBRILLATORS = ("icd", "crt_d")
# Answered "yes" in the record, these stay "yes" whatever lists and readings beside them say.
_WORSE_IF_TRUE = frozenset(
    ("af_known", "device_fitted", "gtn_prescribed", "icd", "insulin_or_su", "lvad", "pregnant", "sternotomy")
)


def facts_of(record: Record, *, today: date, day_check: DayCheck | None = None) -> Answers:
    """Every fact known about the person on ``today``; a missing name is unknown."""
    day = day_check.answers if day_check is not None and day_check.asked_at.date() == today else None
    facts = _stored(record, today=today, asked_today=day is not None)
    for name, value in _derived(record, today=today):
        if value is not None and not (value is False and facts.get(name) is True and name in _WORSE_IF_TRUE):
            facts[name] = value
    facts.update({name: value for name, value in (day or {}).items() if value is not None})
    return _weighed(facts)


def _stored(record: Record, *, today: date, asked_today: bool) -> Answers:
    """The record's own answers, without those of a day, unless they worry and the record was assessed on ``today``."""
    kept = {"entry"} if asked_today else {"entry", "entry and day"}
    inputs = default_inputs()
    return {
        name: value
        for name, value in record.answers.items()
        if value is not None
        and (
            name not in inputs
            or inputs[name].asked in kept
            or (record.assessed_on == today and value is inputs[name].worrying)
        )
    }


def _derived(record: Record, *, today: date) -> Iterator[tuple[str, bool | float | str | None]]:
    yield "age_y", record.age_y(today)
    yield "pregnant", False if record.sex == "male" else None
    yield "birth_recent", False if record.sex == "male" else None
    yield "af_known", {"atrial_fibrillation": True, "sinus": False}.get(record.rhythm or "")
    yield "gtn_prescribed", record.nitrate_prescribed
    yield "ischaemic_threshold_hr", record.ischaemic_threshold_bpm
    yield "insulin_or_su", _either(record.takes("insulin"), record.takes("sulfonylurea"))
    yield "balance_restriction", _balance_restricted(record, today)
    yield from _events(record.events, today)
    yield from _device(record, today)
    yield from _readings(record, today)
    yield from _tests(record)


def _events(events: tuple[Event, ...], today: date) -> Iterator[tuple[str, bool | float | str | None]]:
    dated = [(event.on, event) for event in events if event.on is not None and event.on <= today]
    if len(events) == 1:
        yield "event_type", events[0].kind
    if events and len(dated) == len(events):  # with an undated event nobody knows which was last
        last_on, last = max(dated, key=lambda pair: pair[0])
        yield "event_type", last.kind
        yield "weeks_since_event", (today - last_on).days / 7
        yield "complicated_event", last.complicated
    attacks = [event.on for event in events if event.kind == "mi"]
    if attacks and all(on is not None and on <= today for on in attacks):
        yield "mi_days", (today - max(on for on in attacks if on is not None)).days
    for name, kinds in _LASTING.items():
        yield name, any(event.kind in kinds for event in events) if events else None
    yield from _sternotomy(events, today)


def _sternotomy(events: tuple[Event, ...], today: date) -> Iterator[tuple[str, bool | float | None]]:
    opened = [event.on for event in events if event.sternotomy]
    if opened:
        yield "sternotomy", True
        if all(on is not None and on <= today for on in opened):
            yield "weeks_since_sternotomy", (today - max(on for on in opened if on is not None)).days / 7
    elif events and all(event.sternotomy is False for event in events):
        yield "sternotomy", False


def _device(record: Record, today: date) -> Iterator[tuple[str, bool | float | None]]:
    device = record.device
    pump_event = any(event.kind == "lvad" for event in record.events)
    if device is None:
        yield "lvad", True if pump_event else None
        return
    defibrillator = device.kind in _DEFIBRILLATORS
    yield "device_fitted", device.kind != "none" or pump_event
    yield "icd", defibrillator
    yield "lvad", device.kind == "lvad" or pump_event
    yield "icd_detect_known", device.lowest_detection_bpm is not None if defibrillator else None
    yield "icd_detect_bpm", device.lowest_detection_bpm if defibrillator else None
    if device.implanted_on is not None and device.implanted_on <= today:
        yield "weeks_since_device", (today - device.implanted_on).days / 7


def _readings(record: Record, today: date) -> Iterator[tuple[str, float | None]]:
    pressure, rate = record.blood_pressure, record.resting_heart_rate
    if pressure is not None and pressure.taken_on == today:
        yield "sbp_rest", pressure.systolic_mmhg
        yield "dbp_rest", pressure.diastolic_mmhg
    if rate is not None and rate.taken_on == today:
        yield "hr_rest", rate.bpm


def _tests(record: Record) -> Iterator[tuple[str, bool | float | None]]:
    tests = record.tests
    rises = tests.rises_without_arms
    if rises is None and tests.chair_stands_30s is not None:
        rises = tests.chair_stands_30s > 0  # the test is done without using the arms
    yield "rises_without_arms", rises
    yield "chair_stands_30s", tests.chair_stands_30s
    yield "side_by_side_s", tests.side_by_side_s
    yield "semi_tandem_s", tests.semi_tandem_s
    yield "tandem_s", tests.tandem_s
    yield "gait_m_per_s", tests.gait_speed_m_per_s
    yield "up_and_go_s", tests.up_and_go_s
    yield "sppb_points", tests.sppb_points


def _balance_restricted(record: Record, today: date) -> bool:
    return any(
        one.kind == "balance" and one.start_on <= today and (one.released_on is None or one.released_on > today)
        for one in record.restrictions
    )


def _either(first: bool | None, second: bool | None) -> bool | None:
    if first or second:
        return True
    return None if first is None or second is None else False


def _weighed(facts: Answers) -> Answers:
    """Weight gain and loss from today's weight and the one it is compared with, where both are known."""
    now, earlier = facts.get("weight_today_kg"), facts.get("weight_earlier_kg")
    if isinstance(now, int | float) and isinstance(earlier, int | float):
        facts.setdefault("weight_gain_kg_3d", round(max(0.0, now - earlier), 3))
        facts.setdefault("weight_loss_kg_3d", round(max(0.0, earlier - now), 3))
    return facts

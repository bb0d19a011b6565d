"""A record in a few readable lines."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from haleward.record import Band, Record, Restriction
from haleward.web.assessment.forms import DEVICES, EVENTS, MEDICINES, RHYTHMS, RestrictionRow
from haleward.web.assessment.forms_home import ROOM_CHOICES, band_told
from haleward.web.project.templatetags.show import bpm, day, number

_EVENTS, _MEDICINES = dict(EVENTS), dict(MEDICINES)
_RHYTHMS, _DEVICES = dict(RHYTHMS), dict(DEVICES)
UNKNOWN = "not recorded"


@dataclass(frozen=True)
class Fact:
    """One line: what, and the value in words."""

    what: str
    value: str


@dataclass(frozen=True)
class RestrictionLine:
    """A restriction with its place in the record."""

    index: int
    restriction: Restriction
    kind: str
    review_due: bool


def facts_in_short(record: Record) -> tuple[Fact, ...]:
    """What staff look for first. An unknown is said, never left out."""
    lines = (
        Fact("Events", _joined(f"{_EVENTS[event.kind]}, {day(event.on)}" for event in record.events) or UNKNOWN),
        Fact("Medicines", _medicines(record)),
        Fact("Rhythm", _RHYTHMS.get(record.rhythm or "", UNKNOWN)),
        Fact("Device", _device(record)),
        Fact("Resting heart rate", _heart_rate(record)),
        Fact("Blood pressure", _blood_pressure(record)),
        Fact("Height and weight", f"{_size(record.stature_m, 100, 'cm')}, {_size(record.mass_kg, 1, 'kg')}"),
        Fact("Falls in 12 months", number(_number(record.answers.get("falls_12m")), 0)),
        Fact("Pain", record.pain or UNKNOWN),
        Fact("Kit", _kit(record)),
        Fact("Walk test", _walk(record)),
        Fact("Goal", record.goal or UNKNOWN),
    )
    return tuple(Fact(line.what, line.value[:1].upper() + line.value[1:]) for line in lines)


def restriction_lines(record: Record, today: date) -> tuple[RestrictionLine, ...]:
    """The restrictions that are not released, with those due for review marked."""
    kinds = dict(RestrictionRow.KINDS)
    return tuple(
        RestrictionLine(index, one, kinds[one.kind], one.review_on <= today)
        for index, one in enumerate(record.restrictions)
        if one.released_on is None
    )


def _medicines(record: Record) -> str:
    if record.medicines is None:
        return UNKNOWN
    lines = (
        f"{medicine.name} {medicine.dose}".strip() + f" ({_MEDICINES[medicine.drug_class]})"
        for medicine in record.medicines
    )
    return _joined(lines) or "none"


def _device(record: Record) -> str:
    if record.device is None:
        return UNKNOWN
    device = record.device
    kind = _DEVICES[device.kind]
    if device.lowest_detection_bpm is None:
        return kind
    return f"{kind}, treats from {bpm(device.lowest_detection_bpm)} (read {day(device.read_on)})"


def _heart_rate(record: Record) -> str:
    reading = record.resting_heart_rate
    return f"{bpm(reading.bpm)}, {day(reading.taken_on)}" if reading else UNKNOWN


def _blood_pressure(record: Record) -> str:
    reading = record.blood_pressure
    if reading is None:
        return UNKNOWN
    return f"{reading.systolic_mmhg:g} over {reading.diastolic_mmhg:g} mmHg, {day(reading.taken_on)}"


def _kit(record: Record) -> str:
    kit = record.kit
    groups = (
        ("hand weights", kit.hand_weight_pairs_kg),
        ("bottles", kit.bottle_pairs_kg),
        ("ankle weights", kit.ankle_weight_pairs_kg),
    )
    lines = [f"{name} {_joined(f'{kg:g} kg' for kg in masses)}" for name, masses in groups if masses]
    lines += [_band(band) for band in kit.bands or ()]
    places = (("firm chair", kit.firm_chair), ("armchair", kit.armchair), ("worktop", kit.worktop))
    lines += [name for name, there in places if there]
    lines += [f"room {words}" for room, words in ROOM_CHOICES if room and room == kit.room]
    return _joined(lines) or UNKNOWN


def _band(band: Band) -> str:
    """A band by its stiffness, how well its readings agree, and when it has to be measured again."""
    told = band_told(band.misfit, band.measured_on)
    return f"band {band.name} ({band.stiffness_n:.0f} N{'. ' + told.rstrip('.') if told else ''})"


def _walk(record: Record) -> str:
    walk = record.walk
    if walk is None:
        return UNKNOWN
    kind = {"six_minute_walk": "Six-minute walk", "shuttle_walk": "Shuttle walk"}[walk.kind]
    return f"{kind}, {walk.distance_m:g} m, {day(walk.tested_on)}"


def _size(value: float | None, times: float, unit: str) -> str:
    return UNKNOWN if value is None else f"{number(value * times)} {unit}"


def _number(value: bool | float | str | None) -> float | None:
    return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else None


def _joined(items: object) -> str:
    return ", ".join(items)  # type: ignore[arg-type]

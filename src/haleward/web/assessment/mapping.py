"""The one place where the assessment form, its stored row and the domain's :class:`Record` meet."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, replace
from datetime import date
from typing import Any

from haleward.errors import HalewardError
from haleward.plain import from_plain, to_plain
from haleward.record import (
    Band,
    BloodPressure,
    Device,
    Event,
    FormerMedicine,
    FunctionTests,
    HeartRate,
    Kit,
    Medicine,
    Record,
    Restriction,
    WalkTest,
)
from haleward.web.assessment.models import RECORD_FORMAT, Assessment
from haleward.web.assessment.questions import asked_names
from haleward.web.people.models import Person

Parts = Mapping[str, Any]  # part of the form -> its values: a dictionary, or a list of dictionaries for rows

HEART = (
    "peak_bpm_on_medicines",
    "peak_taken_on",
    "ischaemic_threshold_bpm",
    "clinician_ceiling_bpm",
    "clinician_ceiling_by",
)
DEVICE = tuple(field.name for field in fields(Device) if field.name != "kind")
BAND = ("stiffness_n", "measured_on", "latex", "readings", "misfit", "latex_ok", "can_grip")
KIT = tuple(field.name for field in fields(Kit) if field.name != "bands")
TESTS = tuple(field.name for field in fields(FunctionTests))
WALK = tuple(field.name for field in fields(WalkTest))


def identity(person: Person) -> dict[str, Any]:
    """What the person's own row says: it is corrected there, never in an assessment."""
    return {
        "person_id": str(person.pk),
        "first_name": person.first_name,
        "last_name": person.last_name,
        "born_on": person.born_on,
        "sex": person.sex or None,
        "look": person.look,
    }


def record_of(row: Assessment) -> Record:
    """The stored record with the person's identity as it is now. Raises for a format this version cannot read."""
    if row.record_format != RECORD_FORMAT:
        raise HalewardError(
            f"Assessment {row.pk} is stored as {row.record_format}; this version reads {RECORD_FORMAT}. "
            "Update the program."
        )
    return replace(from_plain(Record, row.record), **identity(row.person))


def stored(record: Record) -> Any:
    """A record as it is kept in the row."""
    return to_plain(record)


def initial_of(record: Record) -> dict[str, Any]:
    """The form's first values. Every unknown is left out, so that its control shows "not known"."""
    reading, pressure = record.resting_heart_rate, record.blood_pressure
    questions = {name: record.answers[name] for name in record.answers if name != "glucose_mmol"}
    return {
        "start": {"assessed_on": record.assessed_on},
        "event": [_values(event) for event in record.events],
        "medicines": {
            "takes_none": record.medicines == (),
            "nitrate_prescribed": record.nitrate_prescribed,
            "fluid_limited": record.fluid_limited,
        },
        "medicine": [_values(medicine) for medicine in record.medicines or ()],
        "heart": _heart_initial(record),
        "readings": {
            **({"bpm": reading.bpm, "bpm_on": reading.taken_on, "bpm_how": reading.how} if reading else {}),
            **(_pressure_initial(pressure) if pressure else {}),
            **({"glucose_mmol": record.answers["glucose_mmol"]} if "glucose_mmol" in record.answers else {}),
        },
        "questions": questions,
        "restriction": [_values(r) for r in record.restrictions if r.released_on is None],
        "function": {**_values(record.tests), "pain": record.pain},
        "kit": {**_values(record.kit), "no_bands": record.kit.bands == ()},
        "band": [_band_initial(band) for band in record.kit.bands or ()],
        "body": {"stature_m": record.stature_m, "mass_kg": record.mass_kg},
        "plan": {
            "goal": record.goal,
            "new_to_exercise": record.new_to_exercise,
            "exercise_days": list(record.exercise_days),
        },
        "walk": _values(record.walk) if record.walk else {},
    }


def record_from(parts: Parts, *, person: Person, before: Record | None = None, names: tuple[str, ...] = ()) -> Record:
    """The record that the cleaned form describes.

    ``before`` is the record the form started from: what the form does not show (released restrictions, answers to
    inputs that no question asks) is carried over from it. ``names`` are the protocol's further questions.
    """
    medicines, heart, plan = parts["medicines"], parts["heart"], parts["plan"]
    medicines_now = _medicines(parts)
    return Record(
        **identity(person),
        assessed_on=parts["start"]["assessed_on"],
        stature_m=parts["body"]["stature_m"],
        mass_kg=parts["body"]["mass_kg"],
        goal=plan["goal"],
        events=tuple(Event(**_chosen(row)) for row in parts["event"]),
        medicines=medicines_now,
        rhythm=heart["rhythm"] or None,
        device=_device(heart),
        resting_heart_rate=_heart_rate(parts["readings"]),
        blood_pressure=_blood_pressure(parts["readings"]),
        **{name: heart[name] for name in HEART},
        restrictions=_restrictions(parts, before),
        kit=_kit(parts),
        tests=FunctionTests(**{name: parts["function"][name] for name in TESTS}),
        walk=WalkTest(**{name: parts["walk"][name] for name in WALK}) if parts["walk"].get("kind") else None,
        new_to_exercise=plan["new_to_exercise"],
        nitrate_prescribed=medicines["nitrate_prescribed"],
        fluid_limited=medicines["fluid_limited"],
        exercise_days=tuple(plan["exercise_days"]),
        answers=_answers(parts, before, names),
        pain=parts["function"]["pain"],
        former_medicines=_former(medicines_now, before, ended_by=parts["start"]["assessed_on"]),
    )


def release(record: Record, index: int, *, released_on: date, by: str, reason: str) -> Record:
    """The record with one restriction released; the others stay as they are."""
    released = replace(record.restrictions[index], released_on=released_on, released_by=by, release_reason=reason)
    kept = record.restrictions
    return replace(record, assessed_on=released_on, restrictions=(*kept[:index], released, *kept[index + 1 :]))


def _values(value: Any) -> dict[str, Any]:
    return {field.name: getattr(value, field.name) for field in fields(value)}


def _chosen(row: Mapping[str, Any]) -> dict[str, Any]:
    """A row's values with an empty choice as unknown."""
    return {name: None if value == "" and name in ("side", "implant_side") else value for name, value in row.items()}


def _heart_initial(record: Record) -> dict[str, Any]:
    device = {f"{name}": getattr(record.device, name) for name in DEVICE} if record.device else {}
    kind = {"device_kind": record.device.kind} if record.device else {}
    return {"rhythm": record.rhythm, **kind, **device, **{name: getattr(record, name) for name in HEART}}


def _pressure_initial(pressure: BloodPressure) -> dict[str, Any]:
    return {
        "systolic_mmhg": pressure.systolic_mmhg,
        "diastolic_mmhg": pressure.diastolic_mmhg,
        "pressure_on": pressure.taken_on,
        "pressure_how": pressure.how,
    }


def _band_initial(band: Band) -> dict[str, Any]:
    """A band with its readings is edited by them; the stiffness they gave is not typed a second time."""
    readings = ", ".join(f"{stretch:g} at {kilograms:g}" for stretch, kilograms in band.readings)
    shown = {**_values(band), "rest_length": f"{band.rest_length_m:g} m", "readings": readings}
    return shown | ({"stiffness_n": None} if readings else {})


def _medicines(parts: Parts) -> tuple[Medicine, ...] | None:
    if parts["medicine"]:
        return tuple(Medicine(**row) for row in parts["medicine"])
    return () if parts["medicines"]["takes_none"] else None


def _former(now: tuple[Medicine, ...] | None, before: Record | None, *, ended_by: date) -> tuple[FormerMedicine, ...]:
    """What was taken before and is not taken like that now. With unknown medicines nothing is known to have ended."""
    if before is None:
        return ()
    if now is None:
        return before.former_medicines
    kept = {(m.drug_class, m.name.casefold(), m.dose) for m in now}
    ended = (
        FormerMedicine(m.drug_class, m.name, m.dose, ended_by)
        for m in before.medicines or ()
        if (m.drug_class, m.name.casefold(), m.dose) not in kept
    )
    earlier = (
        m
        for m in before.former_medicines  # a draft that left one out by mistake takes nothing away for good
        if m.ended_by != ended_by or (m.drug_class, m.name.casefold(), m.dose) not in kept
    )
    return tuple(dict.fromkeys((*earlier, *ended)))


def _device(heart: Mapping[str, Any]) -> Device | None:
    if not heart["device_kind"]:
        return None
    return Device(heart["device_kind"], **_chosen({name: heart[name] for name in DEVICE}))


def _heart_rate(readings: Mapping[str, Any]) -> HeartRate | None:
    if readings["bpm"] is None:
        return None
    return HeartRate(readings["bpm"], readings["bpm_on"], readings["bpm_how"])


def _blood_pressure(readings: Mapping[str, Any]) -> BloodPressure | None:
    if readings["systolic_mmhg"] is None:
        return None
    return BloodPressure(
        readings["systolic_mmhg"], readings["diastolic_mmhg"], readings["pressure_on"], readings["pressure_how"]
    )


def _restrictions(parts: Parts, before: Record | None) -> tuple[Restriction, ...]:
    open_ones = tuple(
        Restriction(**{**_chosen(row), "movement_ids": tuple(row["movement_ids"])}) for row in parts["restriction"]
    )
    return open_ones + tuple(r for r in (before.restrictions if before else ()) if r.released_on is not None)


def _kit(parts: Parts) -> Kit:
    kit = parts["kit"]
    bands = tuple(
        Band(
            name=row["name"],
            rest_length_m=row["rest_length"],
            **{name: row[name] for name in BAND},
        )
        for row in parts["band"]
    )
    return Kit(**{name: kit[name] for name in KIT}, bands=bands or (() if kit["no_bands"] else None))


def _answers(parts: Parts, before: Record | None, names: tuple[str, ...]) -> dict[str, bool | float | str]:
    """What was answered now, and from the record before only what this form does not ask."""
    asked = {*asked_names(names), "glucose_mmol"}
    carried = {name: value for name, value in (before.answers if before else {}).items() if name not in asked}
    given = {**parts["questions"], "glucose_mmol": parts["readings"]["glucose_mmol"]}
    return carried | {name: value for name, value in given.items() if value not in (None, "")}

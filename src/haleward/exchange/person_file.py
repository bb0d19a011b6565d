"""One person's plain TOML file -> the record, the service's numbers and the part to make.

The format is ``haleward-person/1``; ``examples/README.md`` lists its sections. Whatever is not written stays unknown.
Every fault of a file is reported in one pass, each as one sentence with its line.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import Any, cast, get_args

from haleward.exchange.guards import check_blood_pressure, check_body, parse_length_m, parse_mass_kg
from haleward.exchange.person_answers import read_answers, read_day, read_service, service_notes
from haleward.exchange.person_kit import read_kit
from haleward.exchange.person_table import PersonTable
from haleward.record import (
    BloodPressure,
    DayCheck,
    Device,
    DeviceKind,
    DrugClass,
    Event,
    EventType,
    FunctionTests,
    HeartRate,
    Medicine,
    Record,
    Restriction,
    RestrictionKind,
    Rhythm,
    Sex,
    Side,
    WalkTest,
)
from haleward.strict_toml import TomlFile
from haleward.wording import Service

FORMAT = "haleward-person/1"
WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")


@dataclass(frozen=True)
class PersonFile:
    """What a person's file says. ``notes`` tell what was computed from it, one sentence each."""

    record: Record
    service: Service
    part: str  # "one" or "two"
    notes: tuple[str, ...] = ()
    day: DayCheck | None = None  # the answers of one day, if the file gives them


def read_person_file(path: Path | str, *, today: date) -> PersonFile:
    """Read the file at ``path``; dates after ``today`` are faults.

    Raises :class:`FileFault` with one sentence for each fault, and OSError if the file cannot be opened.
    """
    return _person_file(TomlFile.read(Path(path)), today)


def read_person_text(text: str, *, file: str, today: date) -> PersonFile:
    """The same for text; ``file`` is the name used in the sentences about faults."""
    return _person_file(TomlFile.parse(text, name=file), today)


def _person_file(file: TomlFile, today: date) -> PersonFile:
    top = PersonTable(file, (), file.values, today)
    if (written := top.text("format", required=True)) not in ("", FORMAT):
        top.fault("format", f'format is "{written}"; this program reads "{FORMAT}".')
    assessed_on = top.day("assessed_on", required=True)
    part = top.choice("part", ("one", "two")) or "one"
    person = _person(top.table("person"))
    kit, notes = read_kit(top.table("kit", required=False))
    fields: dict[str, Any] = {
        **person,
        **_heart_rate(top.table("heart_rate", required=False)),
        **_plan(top.table("plan", required=False)),
        "events": _all(top, "event", _event) or (),
        "medicines": _all(top, "medicine", _medicine),
        "device": _device(top.table("device")) if top.has("device") else None,
        "blood_pressure": _blood_pressure(top.table("blood_pressure")) if top.has("blood_pressure") else None,
        "restrictions": _all(top, "restriction", _restriction) or (),
        "kit": kit,
        "tests": _tests(top.table("tests", required=False)),
        "walk": _walk(top.table("walk")) if top.has("walk") else None,
        "goal": _goal(top.table("goal", required=False)),
        "answers": read_answers(top.table("answers", required=False)),
    }
    day = read_day(top.table("today", required=False))
    service = read_service(top.table("service", required=False))
    top.close()
    file.finish()
    record = Record(assessed_on=cast(date, assessed_on), **fields)  # required, so finish() has told if it is missing
    return PersonFile(record, service, part, (*notes, *service_notes(service)), day)


def _person(table: PersonTable) -> dict[str, Any]:
    first_name = table.text("first_name", required=True, most=60)
    fields: dict[str, Any] = {
        "first_name": first_name,
        "person_id": table.text("id", most=60) or first_name.lower(),
        "last_name": table.text("last_name", most=60),
        "born_on": table.day("born", birth=True),
        "sex": cast(Sex | None, table.choice("sex", get_args(Sex))),
        "stature_m": table.quantity("height", lambda text: parse_length_m(text, field="Height"), example="172 cm"),
        "mass_kg": table.quantity("weight", lambda text: parse_mass_kg(text, field="Weight"), example="81 kg"),
        "look": table.text("look", most=60),
    }
    stature_m, mass_kg = fields["stature_m"], fields["mass_kg"]
    if stature_m is not None and mass_kg is not None:
        table.guard("weight", lambda: check_body(stature_m, mass_kg))
    table.close()
    return fields


def _heart_rate(table: PersonTable) -> dict[str, Any]:
    bpm = table.number("resting_bpm", "resting_bpm")
    taken_on = table.day("taken_on", required=bpm is not None)
    how = table.text("how")
    fields: dict[str, Any] = {
        "rhythm": cast(Rhythm | None, table.choice("rhythm", get_args(Rhythm))),
        "resting_heart_rate": HeartRate(bpm, taken_on, how) if bpm is not None and taken_on else None,
        "peak_bpm_on_medicines": table.number("peak_bpm_on_medicines", "rate_bpm"),
        "peak_taken_on": table.day("peak_taken_on"),
        "ischaemic_threshold_bpm": table.number("ischaemic_threshold_bpm", "rate_bpm"),
        "clinician_ceiling_bpm": table.number("clinician_ceiling_bpm", "rate_bpm"),
        "clinician_ceiling_by": table.text("clinician_ceiling_by", most=80),
    }
    if fields["clinician_ceiling_bpm"] is not None and not fields["clinician_ceiling_by"]:
        table.fault("clinician_ceiling_bpm", "heart_rate.clinician_ceiling_by is missing; write who set the ceiling.")
    table.close()
    return fields


def _plan(table: PersonTable) -> dict[str, Any]:
    days = table.words("exercise_days") or ()
    known = [table.one_of("exercise_days", day.lower(), WEEKDAYS) for day in days]
    fields = {
        "new_to_exercise": table.flag("new_to_exercise"),
        "nitrate_prescribed": table.flag("nitrate_prescribed"),
        "fluid_limited": table.flag("fluid_limited"),
        "exercise_days": tuple(day for day in known if day),
    }
    table.close()
    return fields


def _event(table: PersonTable) -> Event | None:
    kind = table.choice("kind", get_args(EventType), required=True)
    event = Event(cast(EventType, kind), table.day("on"), table.flag("sternotomy"), table.flag("complicated"))
    table.close()
    return event if kind else None


def _medicine(table: PersonTable) -> Medicine | None:
    name = table.text("name", required=True, most=80)
    drug_class = table.choice("class", get_args(DrugClass), required=True)
    medicine = Medicine(cast(DrugClass, drug_class), name, table.text("dose", most=120), table.day("since"))
    table.close()
    return medicine if name and drug_class else None


def _device(table: PersonTable) -> Device | None:
    kind = table.choice("kind", get_args(DeviceKind), required=True)
    device = Device(
        kind=cast(DeviceKind, kind),
        lowest_detection_bpm=table.number("lowest_detection_bpm", "device_rate_bpm"),
        lower_rate_bpm=table.number("lower_rate_bpm", "device_rate_bpm"),
        upper_rate_bpm=table.number("upper_rate_bpm", "device_rate_bpm"),
        implanted_on=table.day("implanted_on"),
        read_on=table.day("read_on"),
        implant_side=cast(Side | None, table.choice("side", get_args(Side))),
    )
    table.close()
    return device if kind else None


def _blood_pressure(table: PersonTable) -> BloodPressure | None:
    upper = table.number("systolic_mmhg", "systolic_mmhg", required=True)
    lower = table.number("diastolic_mmhg", "diastolic_mmhg", required=True)
    taken_on, how = table.day("taken_on", required=True), table.text("how")
    table.close()
    if upper is None or lower is None or taken_on is None:
        return None
    table.guard("systolic_mmhg", lambda: check_blood_pressure(upper, lower))
    return BloodPressure(upper, lower, taken_on, how)


def _restriction(table: PersonTable) -> Restriction | None:
    kind = table.choice("kind", get_args(RestrictionKind), required=True)
    words, author = table.text("words", required=True), table.text("author", required=True, most=80)
    start, review = table.day("start", required=True), table.day("review", required=True, future_ok=True)
    limit = table.quantity(
        "load_limit",
        lambda text: parse_mass_kg(text, field="Load limit", quantity="hand_mass_kg"),
        example="2 kg",
    )
    side, movements = table.choice("side", get_args(Side)), table.words("movements") or ()
    released_on = table.day("released")
    table.close()
    if start and review and review < start:
        table.fault("review", f"restriction.review ({review}) is before its start ({start}); check both dates.")
    if kind == "arm" and side is None:
        table.fault("kind", 'restriction.side is missing; kind = "arm" needs the side of the arm that rests.')
    if kind == "movement" and not movements:
        table.fault("kind", 'restriction.movements is missing; name the movements that kind = "movement" forbids.')
    if not (kind and words and author and start and review):
        return None
    found = Restriction(cast(RestrictionKind, kind), words, author, start, review, load_limit_kg=limit)
    return replace(found, side=cast(Side | None, side), movement_ids=movements, released_on=released_on)


def _tests(table: PersonTable) -> FunctionTests:
    tests = FunctionTests(
        tested_on=table.day("tested_on"),
        rises_without_arms=table.flag("rises_without_arms"),
        chair_stands_30s=table.whole("chair_stands_30s", "chair_stands"),
        side_by_side_s=table.number("side_by_side_s", "stance_s"),
        semi_tandem_s=table.number("semi_tandem_s", "stance_s"),
        tandem_s=table.number("tandem_s", "stance_s"),
        gait_speed_m_per_s=table.number("gait_speed_m_per_s", "gait_speed_m_per_s"),
        up_and_go_s=table.number("up_and_go_s", "up_and_go_s"),
        sppb_points=table.whole("sppb_points", "sppb_points"),
    )
    table.close()
    return tests


def _walk(table: PersonTable) -> WalkTest | None:
    kind = table.choice("kind", ("six_minute_walk", "shuttle_walk"), required=True)
    distance_m, tested_on = (
        table.number("distance_m", "walk_distance_m", required=True),
        table.day("tested_on", required=True),
    )
    fields: dict[str, Any] = {
        "course_m": table.number("course_m", "course_m"),
        "practice_done": table.flag("practice_done"),
        "peak_bpm": table.number("peak_bpm", "rate_bpm"),
        "peak_effort": table.number("peak_effort", "effort"),
        "stopped_for": table.text("stopped_for"),
        "aid": table.text("aid"),
        "symptoms": table.flag("symptoms"),
    }
    table.close()
    if kind is None or distance_m is None or tested_on is None:
        return None
    return WalkTest(kind=cast(Any, kind), distance_m=distance_m, tested_on=tested_on, **fields)


def _goal(table: PersonTable) -> str:
    words = table.text("words", most=200)
    table.close()
    return words


def _all(top: PersonTable, key: str, read: Any) -> tuple[Any, ...] | None:
    """Every ``[[key]]`` that could be read; ``None`` if the file says nothing about it."""
    tables = top.every(key)
    return None if tables is None else tuple(item for item in map(read, tables) if item is not None)

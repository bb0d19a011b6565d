"""Any number of invented people, the same for the same seed: mostly complete records, some with gaps."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta
from random import Random
from typing import Any

from haleward.dose.preview import Subject
from haleward.record import (
    BloodPressure,
    DayCheck,
    Device,
    Event,
    FunctionTests,
    HeartRate,
    Medicine,
    Record,
    Restriction,
    WalkTest,
)
from haleward.safety.inputs import default_inputs
from tests.dose.people import HOME, TODAY

EVENTS = ("mi", "pci", "cabg", "valve", "device", "hf", "scad", "other")
MEDICINES = (
    "beta_blocker",
    "ivabradine",
    "rate_limiting_ccb",
    "nitrate",
    "ace_arb_arni",
    "diuretic",
    "insulin",
    "statin",
)
DAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
RARELY = 0.004  # an answer that is not reassuring
BLANK = 0.02  # a part of the record nobody filled in
UNANSWERED = 0.002  # a question nobody answered
OF_THE_EVENTS = ("aortic_ever", "scad_ever", "transplant_ever")  # nobody is asked: the list of events says it


def crowd(count: int, *, seed: int = 1, today: date = TODAY) -> list[Subject]:
    """``count`` people, most with a check of a recent day."""
    random = Random(seed)
    return [_subject(number, random, today) for number in range(count)]


def _subject(number: int, random: Random, today: date) -> Subject:
    record = _record(number, random, today)
    place = random.choice(("home", "home", "hall"))
    check = _check(random, today, readings=0.98 if place == "hall" else 0.4) if random.random() < 0.8 else None
    return Subject(record.person_id, record, check, place=place)


def _record(number: int, random: Random, today: date) -> Record:
    events = _events(random, today)
    operated = any(event.kind in ("cabg", "valve") for event in events)
    return Record(
        person_id=f"P-{number}",
        first_name=f"Person {number}",
        assessed_on=today - timedelta(days=random.randint(0, 40)),
        born_on=_maybe(random, date(random.randint(1935, 1985), random.randint(1, 12), random.randint(1, 28))),
        sex=random.choice(("female", "male")),
        stature_m=_maybe(random, round(random.gauss(1.69, 0.09), 2)),
        mass_kg=_maybe(random, round(random.gauss(80, 13), 1)),
        events=tuple(replace(event, sternotomy=operated and event.kind in ("cabg", "valve")) for event in events),
        medicines=_maybe(random, _medicines(random, today)),
        rhythm=random.choice(("sinus",) * 8 + ("atrial_fibrillation", "paced", None)),
        device=_maybe(random, _device(random, today)),
        resting_heart_rate=_maybe(random, _rate(random, today)),
        blood_pressure=_maybe(random, _pressure(random, today)),
        peak_bpm_on_medicines=random.choice((None, None, None, float(random.randint(95, 160)))),
        ischaemic_threshold_bpm=random.choice((None,) * 9 + (float(random.randint(100, 130)),)),
        restrictions=_restrictions(random, today),
        kit=HOME,
        tests=_tests(random, today),
        walk=_maybe(random, _walk(random, today)),
        new_to_exercise=random.choice((True, False, None)),
        nitrate_prescribed=_maybe(random, random.random() < 0.5),
        exercise_days=tuple(sorted(random.sample(DAYS, random.randint(0, 4)), key=DAYS.index)),
        answers=_answers(random, ("entry", "entry and day")),
    )


def _maybe(random: Random, value: Any) -> Any:
    return None if random.random() < BLANK else value


def _ago(random: Random, today: date, most: int) -> date:
    return today - timedelta(days=random.randint(0, most))


def _events(random: Random, today: date) -> tuple[Event, ...]:
    found = [Event(random.choice(EVENTS), _maybe(random, _ago(random, today, 200)), complicated=random.random() < 0.2)]
    if random.random() < 0.2:
        found.append(Event(random.choice(EVENTS), _ago(random, today, 2000), complicated=False))
    return tuple(found)


def _medicines(random: Random, today: date) -> tuple[Medicine, ...]:
    chosen = random.sample(MEDICINES, random.randint(0, 4))
    return tuple(Medicine(one, one.replace("_", " "), since=_maybe(random, _ago(random, today, 90))) for one in chosen)


def _device(random: Random, today: date) -> Device:
    kind = random.choice(("none",) * 8 + ("pacemaker", "icd", "crt_d"))
    if kind == "none":
        return Device("none")
    rate = _maybe(random, float(random.randint(130, 200)))
    return Device(kind, lowest_detection_bpm=rate, implanted_on=_ago(random, today, 900), implant_side="left")


def _rate(random: Random, today: date) -> HeartRate:
    return HeartRate(float(round(random.gauss(70, 13))), _ago(random, today, 35))


def _pressure(random: Random, today: date) -> BloodPressure:
    taken = random.choice((today, _ago(random, today, 30)))
    return BloodPressure(float(round(random.gauss(134, 20))), float(round(random.gauss(78, 12))), taken)


def _restrictions(random: Random, today: date) -> tuple[Restriction, ...]:
    if random.random() > 0.2:
        return ()
    kind = random.choice(("sternum", "shoulder", "balance", "no_overhead", "no_grip"))
    return (Restriction(kind, "as the surgeon wrote", "Surgeon", _ago(random, today, 60), today + timedelta(days=30)),)


def _tests(random: Random, today: date) -> FunctionTests:
    tandem = random.choice((10.0,) * 5 + tuple(float(n) for n in range(10)))
    return FunctionTests(
        tested_on=_ago(random, today, 20),
        rises_without_arms=_maybe(random, random.random() < 0.85),
        chair_stands_30s=_maybe(random, random.randint(0, 20)),
        side_by_side_s=10.0,
        semi_tandem_s=10.0,
        tandem_s=_maybe(random, tandem),
        gait_speed_m_per_s=_maybe(random, round(max(0.2, random.gauss(1.0, 0.25)), 2)),
        up_and_go_s=_maybe(random, round(max(5, random.gauss(10, 4)), 1)),
        sppb_points=random.randint(3, 12),
    )


def _walk(random: Random, today: date) -> WalkTest:
    kind = random.choice(("six_minute_walk", "six_minute_walk", "shuttle_walk"))
    distance = float(round(random.gauss(420, 110), -1))
    return WalkTest(kind, max(50.0, distance), _ago(random, today, 40), course_m=30, practice_done=True)


def _check(random: Random, today: date, *, readings: float) -> DayCheck:
    day = _ago(random, today, 6)
    answers = _answers(random, ("day", "entry and day"))
    pressure = {"sbp_rest": float(round(random.gauss(134, 20))), "dbp_rest": float(round(random.gauss(78, 12)))}
    rate = {"hr_rest": float(round(random.gauss(72, 14)))}
    for taken in (pressure, rate):  # blood pressure is one reading of two numbers
        if random.random() < readings:
            answers.update(taken)
        else:
            answers = {name: value for name, value in answers.items() if name not in taken}
    return DayCheck(datetime(day.year, day.month, day.day, 9, 30), answers)  # noqa: DTZ001


def _answers(random: Random, asked: tuple[str, ...]) -> dict[str, bool | float | str]:
    """Answers to the yes/no questions and a few numbers, mostly reassuring, some left blank."""
    found: dict[str, bool | float | str] = {}
    for name, one in default_inputs().items():
        if name in OF_THE_EVENTS or one.asked not in asked or random.random() < UNANSWERED:
            continue
        if one.kind == "bool":
            reassuring = one.worrying is False
            found[name] = reassuring if random.random() > RARELY else not reassuring
        elif name in _NUMBERS:
            middle, spread = _NUMBERS[name]
            found[name] = round(max(0.0, random.gauss(middle, spread)), 1)
    if "entry" in asked:
        found["aortic_stenosis"] = random.choice(("none",) * 20 + ("mild", "moderate", "severe"))
    for name in ("screening_complete", "session_complete"):
        found.pop(name, None)
    return found


_NUMBERS = {
    "lvef_pct": (52, 10),
    "falls_12m": (0.3, 0.8),
    "nyha": (1.5, 0.6),
    "glucose_mmol": (8, 3),
    "weight_gain_kg_3d": (0.2, 0.5),
    "st_depression_mm": (0.2, 0.5),
}
assert set(_NUMBERS) <= set(default_inputs())

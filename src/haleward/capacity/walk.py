"""Capacity from the recorded walk test, with its likely range, its cautions and its working."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

from haleward.capacity import shuttle
from haleward.capacity.field_vo2 import SIX_MINUTE_DISTANCE, general_error
from haleward.capacity.model import Capacity
from haleward.capacity.validity import day, open_questions, walk_cautions
from haleward.errors import HalewardError
from haleward.formula import Formula, find
from haleward.physiology.metabolic import WALKING_SPEED
from haleward.physiology.tables import rows, texts
from haleward.record import Record, WalkTest
from haleward.units import likely, m_per_min_from_km_per_h, rounded
from haleward.worksheet import Figure, Input, NotComputed, Step, Worksheet

VO2_UNIT = "mL/kg/min"
GENERAL_ERROR = "field_test_standard_error"
TEST_NAMES = {"six_minute_walk": "six-minute walk", "shuttle_walk": "shuttle walk"}


def estimate_capacity(
    record: Record, *, six_minute_method: str, shuttle_method: str, today: date
) -> Capacity | NotComputed:
    """Peak oxygen uptake and METs from the walk test of ``record``, by the method that the protocol names.

    Rhythm, medicine and device void nothing here: both walks are read by distance or pace, never by heart rate, and a
    method that takes anything else is refused. What does limit the estimate is among its cautions.
    Missing input gives :class:`NotComputed` with the question to ask. A shuttle method that takes a pace is given the
    published pace of the last completed level. Raises :class:`HalewardError` for a method that is not registered or
    does not take what a walk gives.
    """
    walk = record.walk
    if walk is None:
        return _not_computed("no_walk", "ask_walk")
    method = find(six_minute_method if walk.kind == "six_minute_walk" else shuttle_method)
    if walk.tested_on > today:
        return _not_computed("future", "ask_date", tested_on=day(walk.tested_on))
    most = shuttle.levels()[-1].distance_done_m if walk.kind == "shuttle_walk" else SIX_MINUTE_DISTANCE.high
    if not 0 < walk.distance_m <= most:
        return _not_computed("distance_not_possible", "ask_distance", distance=f"{walk.distance_m:g} m")
    if walk.kind == "shuttle_walk" and not shuttle.reached(distance_m=walk.distance_m).completed_level:
        return _not_computed("no_level", "ask_other_test")
    return _capacity(record, walk, method)


def _capacity(record: Record, walk: WalkTest, method: Formula) -> Capacity:
    origin = f"{TEST_NAMES[walk.kind]}, {day(walk.tested_on)}"
    steps, pace_m_per_min = _walk_steps(walk, origin)
    estimate = method.step(origins=dict.fromkeys(method.ranges, origin), **_arguments(walk, method))
    vo2, range_step, range_text = _with_range(float(estimate.result), method)
    estimate = replace(estimate, low=vo2.low, high=vo2.high)
    met = find("met_from_oxygen_uptake").figure(vo2_ml_per_kg_min=vo2)
    met_step = find("met_from_oxygen_uptake").step(vo2_ml_per_kg_min=vo2)
    work = _work_of_the_walk(pace_m_per_min, origin)
    cautions = (
        *method.cautions(**_arguments(walk, method)),
        *walk_cautions(record, walk),
        *_pace_caution(pace_m_per_min),
        range_text,
        texts("capacity_wording")["met_overstates"],
        texts("capacity_wording")["raw_result"],
    )
    result = f"{likely(vo2)}; {likely(met)}"
    sheet = Worksheet("Capacity", result, (*steps, estimate, range_step, met_step, *work), cautions, met)
    return Capacity(vo2, met, method.name, sheet, open_questions(walk))


def _arguments(walk: WalkTest, method: Formula) -> dict[str, Any]:
    known = {"distance_m": walk.distance_m}
    if walk.kind == "shuttle_walk":
        known["speed_km_per_h"] = _completed(walk).published_speed_km_per_h
    if method.unit != VO2_UNIT or not set(method.ranges) <= set(known):
        raise HalewardError(
            f"{method.name} cannot turn a {TEST_NAMES[walk.kind]} into oxygen uptake; it takes "
            f"{', '.join(method.ranges)} and gives {method.unit}."
        )
    return {key: known[key] for key in method.ranges}


def _completed(walk: WalkTest) -> shuttle.Level:
    return shuttle.level(shuttle.reached(distance_m=walk.distance_m).completed_level)


def _walk_steps(walk: WalkTest, origin: str) -> tuple[tuple[Step, ...], float]:
    """The step from distance to pace, and the pace in m/min."""
    if walk.kind == "six_minute_walk":
        step = find("six_minute_walk_m_per_min").step(origins={"distance_m": origin}, distance_m=walk.distance_m)
        return (step,), float(step.result)
    level = _completed(walk)
    step = Step(
        "Pace of the last completed level",
        "published speed of that level; a partly done level does not count",
        (
            Input("Distance", walk.distance_m, "m", origin),
            Input("Last completed level", level.level, "", f"complete at {level.distance_done_m} m"),
        ),
        level.published_speed_km_per_h,
        "km/h",
        "Almodhy 2014, level table [source seen]; use of the completed level: common practice, no source",
    )
    return (step,), m_per_min_from_km_per_h(speed_km_per_h=level.published_speed_km_per_h)


def _with_range(value: float, method: Formula) -> tuple[Figure, Step, str]:
    """The estimate with its likely range, the step that made it, and a sentence saying what the range is."""
    own = method.standard_error is not None
    error = method.standard_error if method.standard_error is not None else general_error()
    low, high = max(0.0, value - error), value + error
    text = texts("capacity_wording")["own_range" if own else "general_range"].format(error=f"{error:g}")
    step = Step(
        "Likely range of the estimate",
        "estimate − error, not below 0, to estimate + error",
        (Input("Estimate", value, VO2_UNIT, method.name), Input("Standard error", error, VO2_UNIT)),
        f"{rounded(low, VO2_UNIT)} to {rounded(high, VO2_UNIT)}",
        VO2_UNIT,
        method.cited if own else _general_source(),
    )
    return Figure(value, VO2_UNIT, low, high), step, text


def _general_source() -> str:
    return next(f"{r['source']} [{r['trust']}]" for r in rows("field_test_settings") if r["key"] == GENERAL_ERROR)


def _work_of_the_walk(pace_m_per_min: float, origin: str) -> tuple[Step, ...]:
    """The cost of the walk itself: a working rate, not a peak. None at a pace that the walking equation refuses."""
    if pace_m_per_min > WALKING_SPEED.high:
        return ()
    cost = find("vo2_walking_acsm").step(
        "Oxygen uptake of this walk itself, on the level (a working rate, not a peak)",
        origins={"speed_m_per_min": origin, "grade_fraction": "level course"},
        speed_m_per_min=pace_m_per_min,
        grade_fraction=0.0,
    )
    uptake = Figure(float(cost.result), cost.unit, cost.low, cost.high)
    return cost, find("met_from_oxygen_uptake").step("METs of this walk itself", vo2_ml_per_kg_min=uptake)


def _pace_caution(pace_m_per_min: float) -> tuple[str, ...]:
    if not WALKING_SPEED.extrapolated(pace_m_per_min):
        return ()
    text = texts("capacity_wording")["extrapolated_pace"]
    low, high = WALKING_SPEED.stated_low, WALKING_SPEED.stated_high
    return (text.format(pace=rounded(pace_m_per_min, "m/min"), low=f"{low:g}", high=f"{high:g}"),)


def _not_computed(reason: str, ask: str, **values: str) -> NotComputed:
    wording = texts("capacity_wording")
    return NotComputed("Capacity", wording[reason].format(**values), (wording[ask],))

"""What the two field walks say: distance, capacity, comparison, and what change matters."""

from __future__ import annotations

import dataclasses

from haleward.capacity import shuttle
from haleward.capacity.field_answers import (
    Pool,
    by_formula,
    change_notes,
    measured,
    missing_of,
    names_from,
    part,
    percent_of_predicted,
    pool_of,
    words,
)
from haleward.capacity.field_values import Given, Part, Reckoned, Result
from haleward.capacity.model import Capacity
from haleward.capacity.norms import norm_findings
from haleward.capacity.shuttle_mets import METHODS, SOURCES, SPREADS, LevelMethod, level_met
from haleward.capacity.void import methods, why_void
from haleward.capacity.walk import estimate_capacity
from haleward.formula import find
from haleward.physiology.finding import Finding
from haleward.record import Record, WalkTest
from haleward.units import likely, shown, spread_in_words
from haleward.worksheet import Figure, Input, NotComputed, Step, Worksheet

VO2_UNIT = "mL/kg/min"
RATE_ARGUMENT = "peak_fraction"


def six_minute_walk(given: Given) -> tuple[Part, ...]:
    """Distance from laps, mean pace, capacity by each method, and per cent of what each equation predicts."""
    distance = _walked(given)
    if isinstance(distance, NotComputed):
        return (part("measured", distance),)
    metres = distance.figure.value
    pool = pool_of(given.about, distance_m=metres, **_rate_share(given))
    pace = by_formula("six_minute_walk_m_per_min", pool, title=words("pace"))
    rests = given.number("rests")
    counted = measured(words("rests"), rests or 0, "repetitions", words("distance_typed_how"), ())
    rested = (dataclasses.replace(counted, text=f"{rests:g}"),) if rests else ()
    walk = _walk_test(given, "six_minute_walk", metres)
    return (
        part("measured", distance, pace, *rested),
        *_capacity(given, walk, pool),
        part("compared", *_rivals(_predicted(given, pool, metres))),
        part("change", *change_notes(given.measure)),
    )


def shuttle_walk(given: Given) -> tuple[Part, ...]:
    """Distance from level and shuttles, time, capacity by each method, and comparison."""
    distance = _shuttled(given)
    if isinstance(distance, NotComputed):
        return (part("measured", distance),)
    metres = distance.figure.value
    pool = pool_of(given.about, distance_m=metres)
    completed = shuttle.reached(distance_m=metres).completed_level
    if completed:
        pool["speed_km_per_h"] = shuttle.level(completed).published_speed_km_per_h
    time = by_formula("shuttle_time_s", pool, title=words("time"))
    walk = _walk_test(given, "shuttle_walk", metres)
    return (
        part("measured", distance, time),
        *_capacity(given, walk, pool, completed),
        part("compared", *_norm(given, metres), *_rivals(_predicted(given, pool, metres))),
        part("change", *change_notes(given.measure)),
    )


def _walked(given: Given) -> Reckoned | NotComputed:
    laps, lap_m, typed = given.number("laps"), given.number("lap_m"), given.number("distance_m")
    beyond = given.number("remainder_m")
    if laps is not None and lap_m is None and laps > 0:
        return NotComputed(words("distance"), words("lap_incomplete"), (words("ask_distance"),))
    counted = None if laps is None else laps * (lap_m or 0) + (beyond or 0)
    metres = given.one_of_two(counted, typed, words("distance"))
    if metres is None:
        return NotComputed(words("distance"), words("no_distance"), (words("ask_distance"),))
    if counted is None:
        return measured(words("distance"), metres, "m", words("distance_typed_how"), (Input("Distance", metres, "m"),))
    inputs = (Input("Laps", laps or 0), Input("Length of a lap", lap_m or 0, "m"), Input("Beyond", beyond or 0, "m"))
    return measured(words("distance"), metres, "m", words("distance_how"), inputs)


def _shuttled(given: Given) -> Reckoned | NotComputed:
    level, further, typed = (
        given.number("completed_level"),
        given.number("further_shuttles"),
        given.number("distance_m"),
    )
    if level is None:
        if typed is None:
            return missing_of(words("distance"), ("last level completed",))
        return measured(words("distance"), typed, "m", words("distance_typed_how"), (Input("Distance", typed, "m"),))
    known = find("shuttle_distance_m")
    metres = known.call(completed_level=level, further_shuttles=further or 0)
    given.one_of_two(metres, typed, words("distance"))
    sheet = known.worksheet(words("distance"), completed_level=level, further_shuttles=further or 0)
    made = measured(words("distance"), metres, "m", words("level_how"), sheet.steps[0].inputs)
    return Reckoned(made.title, made.figure, made.text, sheet)


def _walk_test(given: Given, kind: str, distance_m: float) -> WalkTest:
    return WalkTest(
        "six_minute_walk" if kind == "six_minute_walk" else "shuttle_walk",
        distance_m,
        given.about.on,
        course_m=given.number("course_m"),
        practice_done=given.yes("practice_done"),
        peak_bpm=given.number("peak_bpm"),
        stopped_for=given.text("stopped_for"),
        aid="yes" if given.yes("aid") else "",
        symptoms=given.yes("symptoms"),
    )


def _capacity(given: Given, walk: WalkTest, pool: Pool, completed: int = 0) -> tuple[Part, ...]:
    """The capacity by the team's method, and by every other registered one that takes this walk."""
    six, shuttles = given.about.walk_methods
    named = six if walk.kind == "six_minute_walk" else shuttles
    main: list[Result] = []
    if named:
        record = Record(person_id="", first_name="", assessed_on=given.about.on, walk=walk)
        found = estimate_capacity(record, six_minute_method=six, shuttle_method=shuttles, today=given.about.on)
        main = [_reckoned(found)] if isinstance(found, Capacity) else [found]
    levels = _level_mets(completed) if completed else []
    others = [name for name in names_from(given.methods, VO2_UNIT, sex=given.about.sex) if name != named]
    return part("capacity", *main), part("capacity_more", *(by_formula(name, pool) for name in others), *levels)


def _reckoned(found: Capacity) -> Reckoned:
    detail = words("oxygen", vo2=likely(found.vo2_ml_per_kg_min))
    title = words("team_method", title=find(found.method).title)
    return Reckoned(title, found.energy_met, likely(found.energy_met), found.worksheet, detail, found.ask)


def _predicted(given: Given, pool: Pool, metres: float) -> list[Result]:
    return [_beside(name, given, pool, metres) for name in names_from(given.norms, "m", sex=given.about.sex)]


def _rivals(found: list[Result]) -> list[Result]:
    """The comparisons, after a sentence on how far they differ where there are several."""
    percents = [one.figure.value for one in found if isinstance(one, Reckoned)]
    if len(percents) < 2:
        return found
    told = words("rivals", low=shown(min(percents), "%"), high=shown(max(percents), "%"))
    return [Finding("compared", words("part_compared"), told, False, "Enright 1998; Troosters 1999 [computed]"), *found]


def _beside(name: str, given: Given, pool: Pool, metres: float) -> Result:
    """The distance beside one equation, unless something about the person voids it."""
    if name in methods():
        validity = why_void(name, given.about.facts, age_y=given.about.age_y)
        if not validity.usable:
            return NotComputed(find(name).title, validity.why or words("void_unknown"), validity.open_questions)
    return percent_of_predicted(name, pool, metres)


def _rate_share(given: Given) -> dict[str, float]:
    """Peak heart rate as a share of 220 − age, where both are known."""
    peak, age = given.number("peak_bpm"), given.about.age_y
    if peak is None or age is None:
        return {}
    return {RATE_ARGUMENT: peak / find("maximum_bpm_fox_1971").call(age_y=age)}


def _norm(given: Given, metres: float) -> list[Result]:
    """The shuttle distance of healthy people of that age, after those with heart disease."""
    first = Finding(
        "shuttle_walk", shown(metres, "m"), words("cardiac_first"), False, "J Sports Sci 2017 [source seen]"
    )
    if given.about.age_y is None:
        return [first, missing_of(words("norm"), ("age",))]
    found = norm_findings("shuttle_walk_m", metres, age_y=given.about.age_y, sex=given.about.sex)
    return [
        first,
        *(dataclasses.replace(one, what=words("norm")) if isinstance(one, NotComputed) else one for one in found),
    ]


def _level_mets(completed: int) -> list[Result]:
    """METs of the completed level by every method: they differ up to twofold, so each is named."""
    return [_level_result(method, level_met(completed_level=completed, method=method)) for method in METHODS]


def _level_result(method: LevelMethod, found: Figure | NotComputed) -> Result:
    source = SOURCES[method]
    title = words("level_mets", method=source.partition(" [")[0])
    if isinstance(found, NotComputed):
        return NotComputed(title, found.reason, found.ask)
    ranged = SPREADS.get(method, "")
    text = spread_in_words(found, ranged) if ranged else likely(found)
    low, high = (None, None) if ranged else (found.low, found.high)
    step = Step(title, "", (), found.value, found.unit, source, low=low, high=high)
    return Reckoned(title, found, text, Worksheet(title, text, (step,), (), found))

"""What step, cycle and strength tests, heart-rate targets and the activity questionnaire say."""

from __future__ import annotations

import math

from haleward.capacity.activity_status import ITEMS, ActivityStatus
from haleward.capacity.activity_status import activity_status as status_of
from haleward.capacity.cycle_test import CycleStage, next_stage
from haleward.capacity.cycle_test import cycle_test as read_cycle
from haleward.capacity.extrapolation import MaximalRate, measured_maximum, predicted_maximum_rate
from haleward.capacity.field_answers import Pool, by_formula, missing_of, part, words
from haleward.capacity.field_values import Given, Part, Reckoned, Result
from haleward.capacity.one_load import one_load_test
from haleward.capacity.staged import StagedResult
from haleward.capacity.step_test import Stage
from haleward.capacity.step_test import step_test as read_steps
from haleward.capacity.void import Facts, why_void
from haleward.errors import Inconsistent
from haleward.formula import find
from haleward.physiology.ceilings import combine_ceilings
from haleward.physiology.finding import Finding
from haleward.physiology.strength import predicted_maximum
from haleward.physiology.tables import texts
from haleward.units import KGM_PER_MIN_PER_W_TEACHING, kgm_per_min_from_w, likely, m_from_cm, shown
from haleward.worksheet import Figure, NotComputed, Worksheet

STAGES = (1, 2, 3, 4)
STAGE_STEP = "Oxygen uptake of stage"
TEST_FACTS = ("pace_not_kept", "hand_support")


def step_test(given: Given) -> tuple[Part, ...]:
    """Oxygen uptake of each stage, and the peak by the line through the stages or why there is none."""
    height_m = m_from_cm(length_cm=given.number("height_cm") or 0)
    rates = [(rate, given.number(box)) for box, rate in given.stage_rates]
    _no_gap([bpm for _rate, bpm in rates])
    stages = [Stage(height_m, rate, bpm) for rate, bpm in rates if bpm is not None]
    maximum = _maximum(given)
    if isinstance(maximum, NotComputed):
        pool = {"steps_per_min": stages[-1].steps_per_min, "height_m": height_m}
        return _cost("vo2_stepping_acsm", pool), part("capacity", _void_or(given, "step_test", maximum))
    found = read_steps(stages, maximum=maximum, facts=_facts(given), resting_bpm=given.number("resting_bpm"))
    return _staged(found)


def cycle_test(given: Given) -> tuple[Part, ...]:
    """The peak from the steady stages, or the top stage and why; and what the protocol asks for next."""
    stages = _cycle_stages(given)
    maximum = _maximum(given)
    if isinstance(maximum, NotComputed):
        pool = {"power_kgm_per_min": stages[-1].power_kgm_per_min, "mass_kg": given.about.mass_kg}
        return _cost("vo2_leg_cycling_acsm", pool), part("capacity", _void_or(given, "cycle_stages", maximum))
    advice = next_stage(stages, maximum_bpm=maximum.figure.value)
    told = Finding("cycle_test", words("next_load"), advice.text, advice.action == "end", "YMCA cycle protocol")
    if given.about.mass_kg is None:
        return part("capacity", missing_of(words("peak_capacity"), ("weight",))), part("next", told)
    found = read_cycle(
        stages,
        mass_kg=given.about.mass_kg,
        maximum=maximum,
        facts=_facts(given),
        resting_bpm=given.number("resting_bpm"),
    )
    return *_staged(found), part("next", told)


def cycle_one_load(given: Given) -> tuple[Part, ...]:
    """The peak from one load, or why there is none."""
    about = given.about
    known = {"sex": about.sex, "age": about.age_y, "weight": about.mass_kg}
    if missing := tuple(name for name, value in known.items() if value is None):
        return (part("capacity", missing_of(words("part_capacity"), missing)),)
    assert about.sex is not None  # asked above
    found = one_load_test(
        power_kgm_per_min=_kgm_per_min(given.number("power_w") or 0),
        minute_5_bpm=given.number("minute_5_bpm") or 0,
        minute_6_bpm=given.number("minute_6_bpm") or 0,
        sex=about.sex,
        age_y=about.age_y or 0,
        mass_kg=about.mass_kg or 0,
        facts=_facts(given),
    )
    if isinstance(found, NotComputed):
        return (part("capacity", found),)
    detail = words("oxygen", vo2=likely(found.vo2_ml_per_kg_min))
    result = Reckoned(words("part_capacity"), found.energy_met, likely(found.energy_met), found.worksheet, detail)
    return (part("capacity", result),)


def heart_rate_target(given: Given) -> tuple[Part, ...]:
    """Both ends of the range on the heart-rate reserve with their error, under the lowest limit."""
    if refused := _rate_refused(given):
        return (part("target", refused),)
    maximum = _maximum(given)
    if isinstance(maximum, NotComputed):
        return (part("target", maximum),)
    ends = [_end(given, maximum, one) for one in ("low", "high")]
    if any(isinstance(end, NotComputed) for end in ends):
        return (part("target", *ends),)
    low, high = (end.figure.value for end in ends if isinstance(end, Reckoned))
    limited = _under_limit(given, low, high)
    if isinstance(limited, NotComputed):
        return (part("target", limited),)  # a range that a limit forbids is not shown
    return (part("target", limited, *ends),)


def one_repetition(given: Given) -> tuple[Part, ...]:
    """The one-repetition maximum by seven equations: the middle one, and their spread."""
    found = predicted_maximum(load_kg=given.number("load_kg") or 0, repetitions=int(given.number("repetitions") or 0))
    result = Reckoned(words("one_repetition"), found.maximum_kg, found.worksheet.result, found.worksheet)
    return (part("capacity", result),)


def activity_status(given: Given) -> tuple[Part, ...]:
    """Points by item number and what they stand for; with an open item only the range of both."""
    answers = {item: given.yes(f"item_{item}") for item in ITEMS}
    found = status_of(answers, variant="british" if given.yes("british") else "original")
    if isinstance(found, NotComputed):
        return (part("capacity", found),)
    return part("measured", _score(found)), part("capacity", _status(found))


def _score(found: ActivityStatus) -> Result:
    sheet = found.worksheet
    points = Figure(found.least_points, "points")
    if found.open_items:
        low, high = f"{found.least_points:g}", f"{found.most_points:g} points"
        return NotComputed(words("score"), f"{words('activity_range', low=low, high=high)}.", found.ask)
    return Reckoned(words("score"), points, f"{found.least_points:g} points", sheet)


def _status(found: ActivityStatus) -> Result:
    if found.energy_met is None or found.vo2_ml_per_kg_min is None:
        low, high = shown(found.least_met, "METs"), shown(found.most_met, "METs")
        return NotComputed(words("part_capacity"), f"{words('activity_range', low=low, high=high)}.", found.ask)
    detail = words("oxygen", vo2=likely(found.vo2_ml_per_kg_min))
    met = found.energy_met
    return Reckoned(words("part_capacity"), met, likely(met), found.worksheet, detail)


def _staged(found: StagedResult) -> tuple[Part, ...]:
    """The hardest stage reached with its error, and the peak or why there is none."""
    to_met = find("met_from_oxygen_uptake").step(words("top_stage"), vo2_ml_per_kg_min=found.top_vo2)
    stages = [step for step in found.worksheet.steps if step.title.startswith(STAGE_STEP)]
    text = likely(found.top_met)
    sheet = Worksheet(words("top_stage"), text, (*stages, to_met), (), found.top_met)
    reached = part("measured", Reckoned(words("top_stage"), found.top_met, text, sheet))
    if isinstance(found.peak_met, NotComputed):
        return reached, part("capacity", found.peak_met)
    detail = "" if isinstance(found.peak_vo2, NotComputed) else words("oxygen", vo2=likely(found.peak_vo2))
    peak = Reckoned(words("peak_capacity"), found.peak_met, likely(found.peak_met), found.worksheet, detail)
    return reached, part("capacity", peak)


def _maximum(given: Given) -> MaximalRate | NotComputed:
    """The maximal heart rate: measured, or by the equation that was chosen; none is assumed."""
    peak, method = given.number("peak_bpm"), given.text("maximum")
    if peak is not None and method:
        raise Inconsistent(words("two_maxima"))
    if peak is not None:
        return measured_maximum(bpm=peak)
    title = words("peak_capacity")
    if not method:
        return NotComputed(title, words("maximum_missing"), (words("ask_maximum"),))
    if given.about.age_y is None:
        return NotComputed(title, words("maximum_age"), (words("ask_age"),))
    return predicted_maximum_rate(method, age_y=given.about.age_y)


def _void_or(given: Given, method: str, missing: NotComputed) -> NotComputed:
    """That the method is void for this person, before anything that is missing is asked for."""
    validity = why_void(method, _facts(given))
    return NotComputed(missing.what, validity.why) if validity.void else missing


def _cost(equation: str, last: Pool) -> Part:
    """What the last stage cost: it needs no heart rate."""
    cost = by_formula(equation, last)
    if isinstance(cost, NotComputed):
        return part("measured", cost)
    met = by_formula("met_from_oxygen_uptake", {"vo2_ml_per_kg_min": cost.figure}, title=words("top_stage"))
    return part("measured", met, cost)


def _facts(given: Given) -> Facts:
    return given.about.facts | {name: given.yes(name) for name in TEST_FACTS if name in given.values}


def _no_gap(rates: list[float | None]) -> None:
    done = [number for number, bpm in enumerate(rates, 1) if bpm is not None]
    for number in done:
        if number > 1 and number - 1 not in done:
            raise Inconsistent(words("stage_gap", later=number, earlier=number - 1))


def _cycle_stages(given: Given) -> list[CycleStage]:
    stages: list[CycleStage] = []
    _no_gap([given.number(f"stage_{number}_bpm") for number in STAGES])
    for number in STAGES:
        boxes = (f"stage_{number}_w", f"stage_{number}_earlier_bpm", f"stage_{number}_bpm")
        power_w, earlier, later = (given.number(box) for box in boxes)
        if power_w is None and earlier is None and later is None:
            continue
        if power_w is None or earlier is None or later is None:
            raise Inconsistent(words("stage_part", number=number))
        stages.append(CycleStage(_kgm_per_min(power_w), earlier, later))
    return stages


def _kgm_per_min(power_w: float) -> float:
    return kgm_per_min_from_w(power_w=power_w, kgm_per_min_per_w=KGM_PER_MIN_PER_W_TEACHING)


def _rate_refused(given: Given) -> NotComputed | None:
    """Why no target by heart rate is given; a measured highest rate answers for medicine and device, not for rhythm."""
    about, title = given.about, words("part_target")
    if about.rhythm is None:
        return NotComputed(title, words("target_unknown"), (texts("capacity_wording")["ask_rhythm"],))
    if about.rhythm != "sinus" or given.number("peak_bpm") is None:
        validity = why_void("step_test", about.facts | {"pace_not_kept": False})
        if validity.void:
            return NotComputed(title, words("target_void", why=validity.why))
        if validity.ask:
            return NotComputed(title, words("target_unknown"), validity.ask)
    return None


def _end(given: Given, maximum: MaximalRate, which: str) -> Reckoned | NotComputed:
    pool = {
        "resting_bpm": given.number("resting_bpm"),
        "maximum_bpm": maximum.figure,
        "fraction": (given.number(f"{which}_percent") or 0) / 100,
    }
    return by_formula("reserve_target_bpm", pool, title=words("target_from" if which == "low" else "target_to"))


def _under_limit(given: Given, low_bpm: float, high_bpm: float) -> Result:
    limit = given.number("ceiling_bpm")
    found = combine_ceilings(low_bpm=low_bpm, high_bpm=high_bpm, limits_bpm=() if limit is None else (limit,))
    # Whole beats: a lower end is rounded up and an upper one down, so that no rounding leaves the range.
    told = {"limit": f"{math.floor(found.upper_bpm)} bpm", "low": f"{math.ceil(low_bpm)} bpm"}
    if found.low_bpm is None or found.high_bpm is None:
        return NotComputed(words("part_target"), words("target_conflict", **told))
    key = "target_limited" if found.limited else "target_whole"
    text = words(key, high=f"{math.floor(found.high_bpm)} bpm", **told)
    return Finding("heart_rate", words("part_target"), text, False, "design rule: the lowest limit wins")

"""What the function tests say: chair, balance, walking speed, marching on the spot, grip."""

from __future__ import annotations

import dataclasses
import itertools
from typing import Literal

from haleward.capacity.balance import STANCES, FourStage
from haleward.capacity.balance import four_stage_balance as balance_of
from haleward.capacity.field_answers import best_trial, by_formula, change_notes, measured, missing_of, part, words
from haleward.capacity.field_values import Given, Part, Reckoned, Result
from haleward.capacity.function_tests import (
    SppbScore,
    chair_stand_finding,
    chair_stand_score,
    findings_for,
    gait_class,
    sppb,
)
from haleward.capacity.norms import norm_findings, tests_with_norms
from haleward.capacity.two_minute_step import two_minute_step_findings
from haleward.errors import Inconsistent
from haleward.physiology.finding import Finding
from haleward.physiology.tables import rows, settings
from haleward.units import shown
from haleward.worksheet import Figure, Input, NotComputed, Step, Worksheet

SPPB_SOURCE = "SPPB manual [source seen]"
TRIALS = ("trial_1_s", "trial_2_s", "trial_3_s")


def chair_stands(given: Given) -> tuple[Part, ...]:
    """The count (0 when the arms helped) against the norm for age and sex."""
    counted, arms, about = int(given.number("repetitions") or 0), given.yes("used_arms"), given.about
    score = chair_stand_score(repetitions=counted, arms_used=arms)
    inputs = [Input("Full stands", counted), Input("The arms helped", "not given" if arms is None else _yes(arms))]
    if isinstance(score, NotComputed):
        raw = measured(words("count"), counted, "repetitions", words("distance_typed_how"), inputs[:1])
        return part("measured", raw, score), part("change", *change_notes(given.measure))
    result = measured(words("count"), score, "repetitions", words("arms_how"), inputs, "CDC STEADI [seen second-hand]")
    compared = _norms("chair_stands_30s", score, given)
    if about.age_y is not None and about.sex is not None:
        cutoff = chair_stand_finding(repetitions=score, age_y=int(about.age_y), sex=about.sex)
        compared = (_named(cutoff),) if isinstance(cutoff, NotComputed) else (cutoff, *compared)
    return part("measured", result), part("compared", *compared), part("change", *change_notes(given.measure))


def five_rises(given: Given) -> tuple[Part, ...]:
    """The time to the fifth stand against published limits, or that it could not be done."""
    seconds = given.number("trial_1_s")
    if given.yes("unable"):
        if seconds is not None:
            raise Inconsistent(words("both_unable"))
        meaning = words("rises_unable_meaning")
        told = Finding("chair_rises_5_s", words("rises_unable"), meaning, True, SPPB_SOURCE)
        return (part("measured", told),)
    if seconds is None:
        return (part("measured", NotComputed(words("best_time"), words("no_rises"))),)
    return _timed(given, "chair_rises_5_s")


def up_and_go(given: Given) -> tuple[Part, ...]:
    """The shorter time against published limits and norms."""
    return _timed(given, "up_and_go_s")


def single_leg(given: Given) -> tuple[Part, ...]:
    """The longest time against published limits and norms."""
    three = all(given.number(name) is not None for name in TRIALS)
    return _timed(given, "single_leg_s", norm="single_leg_best_of_3_s" if three else "")


def gait_speed(given: Given) -> tuple[Part, ...]:
    """The speed of the fastest walk against published limits and norms."""
    best = best_trial(given)
    if isinstance(best, NotComputed):
        return (part("measured", best),)
    pool = {"distance_m": given.number("distance_m"), "duration_s": best.figure.value}
    speed = by_formula("gait_speed_m_per_s", pool)
    if isinstance(speed, NotComputed):
        return (part("measured", speed, best),)
    value = speed.figure.value
    return (
        part("measured", speed, best),
        part("limits", *findings_for("gait_speed_m_per_s", value)),
        part("compared", gait_class(value), *_norms("gait_speed_m_per_s", value, given)),
        part("change", *change_notes(given.measure)),
    )


def four_stage_balance(given: Given) -> tuple[Part, ...]:
    """How many stances were held, and what the heel-to-toe stance means."""
    times = {f"{stance}_s": given.number(f"{stance}_s") for stance in STANCES}
    _in_order(list(times.values()))
    found = balance_of(**times)
    if isinstance(found, NotComputed):
        return (part("measured", found),)
    return part("measured", _staged(found, times)), part("limits", *found.findings)


def short_battery(given: Given) -> tuple[Part, ...]:
    """Points of the three parts and their sum against published limits."""
    stances = [given.number(f"{stance}_s") for stance in STANCES[:3]]
    _in_order(stances)
    walks = [one for one in (given.number("trial_1_s"), given.number("trial_2_s")) if one is not None]
    score = sppb(
        side_by_side_s=stances[0],
        semi_tandem_s=stances[1],
        tandem_s=stances[2],
        gait_4m_s=_or_unable(min(walks, default=None), given.yes("gait_unable")),
        chair_rises_5_s=_or_unable(given.number("rises_s"), given.yes("rises_unable")),
    )
    if isinstance(score, NotComputed):
        return (part("measured", score),)
    limits = findings_for("sppb_points", score.total)
    return part("measured", _points(score)), part("limits", *limits), part("change", *change_notes(given.measure))


def grip(given: Given) -> tuple[Part, ...]:
    """The better hand against published limits and norms; both differ by sex."""
    hands = {"Right": given.number("right_kg"), "Left": given.number("left_kg")}
    known = {name: kg for name, kg in hands.items() if kg is not None}
    if not known:
        return (part("measured", NotComputed(words("grip_best"), words("no_grip"), (words("ask_grip"),))),)
    inputs = [Input(name, kg, "kg") for name, kg in known.items()]
    best = measured(words("grip_best"), max(known.values()), "kg", words("grip_how"), inputs)
    limits: tuple[Result, ...] = findings_for("grip_kg", best.figure.value, sex=given.about.sex)
    if given.about.sex is None:
        limits = (missing_of(words("part_limits"), ("sex for norms",)),)
    compared = _norms("grip_kg", best.figure.value, given)
    return part("measured", best), part("limits", *limits), part("compared", *compared), _changes(given)


def two_minute_step(given: Given) -> tuple[Part, ...]:
    """The count of the march on the spot against range, independence and warning level."""
    steps, about = int(given.number("steps") or 0), given.about
    inputs = [Input("Right knee at the mark", steps)]
    counted = measured(words("count"), steps, "repetitions", words("distance_typed_how"), inputs)
    result = dataclasses.replace(counted, text=words("steps_counted", steps=steps))
    age = None if about.age_y is None else int(about.age_y)
    facts = {"help_given": given.yes("help_given")}
    found = two_minute_step_findings(steps=steps, age_y=age, sex=about.sex, facts=facts)
    return part("measured", result), part("compared", *((found,) if isinstance(found, NotComputed) else found))


def _timed(given: Given, test: str, *, norm: str = "") -> tuple[Part, ...]:
    best = best_trial(given)
    if isinstance(best, NotComputed):
        return (part("measured", best),)
    value = best.figure.value
    known = any(row["test"] == test for row in rows("function_cutoffs"))
    limits = findings_for(test, value, sex=given.about.sex) if known else ()
    compared = _norms(norm or test, value, given)
    return part("measured", best), part("limits", *limits), part("compared", *compared), _changes(given)


def _changes(given: Given) -> Part:
    return part("change", *change_notes(given.measure))


def _norms(test: str, value: float, given: Given) -> tuple[Result, ...]:
    if test not in tests_with_norms():
        return ()
    if given.about.age_y is None:
        return (missing_of(words("norm"), ("age",)),)
    found = norm_findings(test, value, age_y=given.about.age_y, sex=given.about.sex)
    return tuple(_named(one) for one in found)


def _named(result: Result) -> Result:
    """A norm that was not found, under a name that staff know."""
    return dataclasses.replace(result, what=words("norm")) if isinstance(result, NotComputed) else result


def _or_unable(seconds: float | None, unable: bool | None) -> float | Literal["unable"] | None:
    if unable and seconds is not None:
        raise Inconsistent(words("both_unable"))
    return "unable" if unable else seconds


def _in_order(times: list[float | None]) -> None:
    """Raise :class:`Inconsistent` for a stance that is given after one that was not held."""
    held = settings("field_test_settings")["stance_held_s"]
    for number, (before, after) in enumerate(itertools.pairwise(times)):
        if after is not None and (before is None or before < held):
            earlier, later = (STANCES[number + one].replace("_", " ") for one in (0, 1))
            raise Inconsistent(words("later_stance", later=later.capitalize(), earlier=earlier, held=f"{held:g}"))


def _staged(found: FourStage, times: dict[str, float | None]) -> Reckoned:
    held = settings("field_test_settings")["stance_held_s"]
    inputs = tuple(Input(name[:-2].replace("_", " "), s, "s") for name, s in times.items() if s is not None)
    figure = Figure(found.stages_held, "1")
    how = words("stage_how", held=f"{held:g}")
    step = Step(words("stage"), how, inputs, f"{found.stages_held} of {len(STANCES)}", "", "CDC STEADI [source seen]")
    text = f"{found.stages_held} of {len(STANCES)}"
    return Reckoned(words("stage"), figure, text, Worksheet(words("stage"), text, (step,), (), figure), found.text)


def _points(score: SppbScore) -> Reckoned:
    each = {"balance_points": score.balance, "gait_points": score.gait, "chair_points": score.chair_rises}
    inputs = tuple(Input(words(key), points, "points") for key, points in each.items())
    figure, title = Figure(score.total, "points"), words("points")
    step = Step(title, words("points_how"), inputs, score.total, "points", SPPB_SOURCE)
    text = f"{shown(score.total, 'points')} of 12"
    detail = "; ".join(f"{words(key)} {points}" for key, points in each.items()) + "."
    return Reckoned(title, figure, text, Worksheet(title, text, (step,), (), figure), detail)


def _yes(answer: bool) -> str:
    return "yes" if answer else "no"

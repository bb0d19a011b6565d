"""What the function tests say: chair, balance, walking speed, marching on the spot, grip."""

from __future__ import annotations

from typing import Literal

from haleward.capacity.field_answers import best_trial, by_formula, change_notes, measured, missing_of, part, words
from haleward.capacity.field_values import Given, Part, Reckoned, Result
from haleward.capacity.function_tests import Finding, SppbScore, chair_stand_finding, findings_for, sppb
from haleward.errors import Inconsistent
from haleward.physiology.tables import rows, settings
from haleward.units import shown
from haleward.worksheet import Figure, Input, NotComputed, Step, Worksheet

STANCES = ("side_by_side_s", "semi_tandem_s", "tandem_s", "one_leg_s")
STANCE_NAMES = ("side by side", "half a foot ahead", "heel to toe", "on one leg")


def chair_stands(given: Given) -> tuple[Part, ...]:
    """The count (0 when the arms helped) against the norm for age and sex."""
    counted, arms = given.number("repetitions") or 0, given.yes("used_arms")
    value = 0.0 if arms else counted
    inputs = [Input("Full stands", counted), Input("The arms helped", "not given" if arms is None else _yes(arms))]
    result = measured(words("count"), value, "repetitions", words("arms_how"), inputs, "CDC STEADI [seen second-hand]")
    age = None if given.about.age_y is None else int(given.about.age_y)
    norm = chair_stand_finding(repetitions=int(value), age_y=age, sex=given.about.sex)
    return part("measured", result), part("compared", norm), part("change", *change_notes(given.measure))


def five_rises(given: Given) -> tuple[Part, ...]:
    """The time to the fifth stand against published limits, or that it could not be done."""
    if given.yes("unable"):
        if given.number("trial_1_s") is not None:
            raise Inconsistent(words("both_unable"))
        told = Finding(
            "chair_rises_5_s", words("rises_unable"), words("rises_unable_meaning"), True, "SPPB manual [source seen]"
        )
        return (part("measured", told),)
    if given.number("trial_1_s") is None:
        return (part("measured", NotComputed(words("best_time"), words("no_rises"))),)
    return _timed(given, "chair_rises_5_s")


def up_and_go(given: Given) -> tuple[Part, ...]:
    """The shorter time against published limits."""
    return _timed(given, "up_and_go_s")


def single_leg(given: Given) -> tuple[Part, ...]:
    """The longest time against published limits."""
    return _timed(given, "single_leg_s")


def gait_speed(given: Given) -> tuple[Part, ...]:
    """The speed of the fastest walk against published limits."""
    best = best_trial(given)
    if isinstance(best, NotComputed):
        return (part("measured", best),)
    pool = {"distance_m": given.number("distance_m"), "duration_s": best.figure.value}
    speed = by_formula("gait_speed_m_per_s", pool)
    limits = findings_for("gait_speed_m_per_s", speed.figure.value) if isinstance(speed, Reckoned) else ()
    return (
        part("measured", speed, best),
        part("limits", *limits),
        part("change", *change_notes(given.measure)),
    )


def four_stage_balance(given: Given) -> tuple[Part, ...]:
    """The last stance that was held, and what the heel-to-toe stance means."""
    held = settings("field_test_settings")["stance_held_s"]
    times = [given.number(name) for name in STANCES]
    _in_order(times, held)
    stage = 0
    for seconds in times:
        if seconds is None or seconds < held:
            break
        stage += 1
    inputs = [
        Input(name, seconds, "s") for name, seconds in zip(STANCE_NAMES, times, strict=True) if seconds is not None
    ]
    result = measured(words("stage"), stage, "1", words("stage_how", held=f"{held:g}"), inputs, "CDC STEADI")
    tandem = times[2] if times[2] is not None else _failed_before(times, held)
    limits: tuple[Result, ...] = ()
    if tandem is not None:
        limits = findings_for("tandem_s", tandem)
    elif stage == 2:
        limits = (missing_of("Heel to toe", ("heel to toe",)),)
    return part("measured", _staged(result, stage)), part("limits", *limits)


def short_battery(given: Given) -> tuple[Part, ...]:
    """Points of the three parts and their sum against published limits."""
    held = settings("field_test_settings")["stance_held_s"]
    _in_order([given.number(name) for name in STANCES[:3]], held)
    walks = [one for one in (given.number("trial_1_s"), given.number("trial_2_s")) if one is not None]
    score = sppb(
        side_by_side_s=given.number("side_by_side_s"),
        semi_tandem_s=given.number("semi_tandem_s"),
        tandem_s=given.number("tandem_s"),
        gait_4m_s=_or_unable(min(walks, default=None), given.yes("gait_unable")),
        chair_rises_5_s=_or_unable(given.number("rises_s"), given.yes("rises_unable")),
    )
    if isinstance(score, NotComputed):
        return (part("measured", score),)
    return (
        part("measured", _points(score)),
        part("limits", *findings_for("sppb_points", score.total)),
        part("change", *change_notes(given.measure)),
    )


def grip(given: Given) -> tuple[Part, ...]:
    """The better hand against published limits; those differ by sex."""
    hands = {"Right": given.number("right_kg"), "Left": given.number("left_kg")}
    known = {name: kg for name, kg in hands.items() if kg is not None}
    if not known:
        return (part("measured", NotComputed(words("grip_best"), words("no_grip"), (words("ask_grip"),))),)
    inputs = [Input(name, kg, "kg") for name, kg in known.items()]
    best = measured(words("grip_best"), max(known.values()), "kg", words("grip_how"), inputs)
    limits: tuple[Result, ...] = findings_for("grip_kg", best.figure.value, sex=given.about.sex)
    if given.about.sex is None:
        limits = (missing_of(words("part_limits"), ("sex for norms",)),)
    return part("measured", best), part("limits", *limits)


def two_minute_step(given: Given) -> tuple[Part, ...]:
    """The count of the march on the spot."""
    steps = given.number("steps") or 0
    result = measured(words("count"), steps, "repetitions", words("distance_typed_how"), [Input("Right knee", steps)])
    return (part("measured", result),)


def _timed(given: Given, test: str) -> tuple[Part, ...]:
    best = best_trial(given)
    if isinstance(best, NotComputed):
        return (part("measured", best),)
    known = any(row["test"] == test for row in rows("function_cutoffs"))
    limits = findings_for(test, best.figure.value, sex=given.about.sex) if known else ()
    return part("measured", best), part("limits", *limits), part("change", *change_notes(given.measure))


def _or_unable(seconds: float | None, unable: bool | None) -> float | Literal["unable"] | None:
    if unable and seconds is not None:
        raise Inconsistent(words("both_unable"))
    return "unable" if unable else seconds


def _in_order(times: list[float | None], held: float) -> None:
    """Raise :class:`Inconsistent` for a stance given after one that was not held."""
    for (earlier, before), (later, after) in zip(
        zip(STANCE_NAMES, times, strict=False), zip(STANCE_NAMES[1:], times[1:], strict=False), strict=False
    ):
        if after is not None and (before is None or before < held):
            raise Inconsistent(
                words("later_stance", later=later.capitalize(), earlier=earlier, held=f"{held:g}"),
            )


def _failed_before(times: list[float | None], held: float) -> float | None:
    """0 for a heel-to-toe stance that was not reached because an easier one failed; ``None`` if it is open."""
    return 0.0 if any(one is not None and one < held for one in times[:2]) else None


def _staged(result: Reckoned, stage: int) -> Reckoned:
    text = f"{stage} of 4" + (f" ({STANCE_NAMES[stage - 1]})" if stage else "")
    sheet = Worksheet(result.title, text, result.worksheet.steps, (), result.figure)
    return Reckoned(result.title, result.figure, text, sheet)


def _points(score: SppbScore) -> Reckoned:
    inputs = (
        Input(words("balance_points"), score.balance, "points"),
        Input(words("gait_points"), score.gait, "points"),
        Input(words("chair_points"), score.chair_rises, "points"),
    )
    figure = Figure(score.total, "points")
    source = "SPPB manual [source seen]"
    step = Step(words("points"), words("points_how"), inputs, score.total, "points", source)
    text = f"{shown(score.total, 'points')} of 12"
    detail = f"balance {score.balance}, walk {score.gait}, chair {score.chair_rises}"
    return Reckoned(
        words("points"), figure, f"{text} ({detail})", Worksheet(words("points"), text, (step,), (), figure)
    )


def _yes(answer: bool) -> str:
    return "yes" if answer else "no"

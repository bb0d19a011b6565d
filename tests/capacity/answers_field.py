"""Every test of the Reckoner, filled in, with what is left out or contradicts."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from haleward.capacity.field_tests import evaluate, find_test
from haleward.capacity.field_values import About
from tests.capacity.answers_people import (
    FLUTTER,
    SINUS,
    SLOWED,
    UNKNOWN,
    WOMAN,
    Case,
)


def field(key: str, about: About = SINUS, **values: Any) -> Case:
    """One form of the Reckoner, filled in."""
    return lambda: evaluate(find_test(key), values, about)


STEPS: dict[str, Any] = {"height_cm": 20, "stage_1_bpm": 95, "stage_2_bpm": 106, "stage_3_bpm": 117, "peak_bpm": 150}
CYCLE: dict[str, Any] = {
    f"stage_{n}_{box}": value
    for n, (watts, earlier, bpm) in enumerate([(25, 112, 114), (75, 121, 124)], 1)
    for box, value in (("w", watts), ("earlier_bpm", earlier), ("bpm", bpm))
}
ITEMS = {f"item_{n}": n < 6 for n in range(1, 13)}


def field_cases() -> Iterator[tuple[str, Case]]:
    """Every test of the Reckoner, filled in, with what is left out or contradicts."""
    yield "walk by laps", field("six_minute_walk", laps=14, lap_m=30, remainder_m=10, course_m=30, rests=2, aid=True)
    yield "walk typed, nothing known", field("six_minute_walk", UNKNOWN, distance_m=430)
    yield "walk by a woman, peak", field("six_minute_walk", WOMAN, distance_m=510, peak_bpm=120, symptoms=True)
    yield "walk under a slowing medicine", field("six_minute_walk", SLOWED, distance_m=300, practice_done=False)
    yield "walk without laps", field("six_minute_walk", laps=14)
    yield "walk without anything", field("six_minute_walk")
    yield "walk given twice", field("six_minute_walk", laps=14, lap_m=30, distance_m=421)
    yield "shuttles by level", field("shuttle_walk", completed_level=5, further_shuttles=3, stopped_for="breathless")
    yield "shuttles typed", field("shuttle_walk", UNKNOWN, distance_m=370, aid=True)
    yield "shuttles of a woman", field("shuttle_walk", WOMAN, completed_level=12, peak_bpm=160)
    yield "shuttles without a level", field("shuttle_walk")
    yield "no level completed", field("shuttle_walk", distance_m=20)
    yield "endurance", field("endurance_shuttle", completed_level=6, percent=85, trial_1_s=430)
    yield "endurance before the walk", field("endurance_shuttle", completed_level=6, percent=85)
    yield "endurance to the end", field("endurance_shuttle", completed_level=5, percent=80, trial_1_s=1290)
    yield "endurance, no track", field("endurance_shuttle", completed_level=12, percent=100, trial_1_s=430)
    yield "walk with laps of no length", field("six_minute_walk", laps=0, remainder_m=12, peak_bpm=130)
    yield "march with help", field("two_minute_step", steps=80, help_given=True)
    yield "march, help unknown", field("two_minute_step", steps=80)
    yield "stands without anything else", field("chair_stand_30s", UNKNOWN, repetitions=3)
    yield "up and go without a time", field("up_and_go")
    yield "one leg without a time", field("single_leg", WOMAN)
    yield "steps, cost refused", field("step_test", **{**STEPS, "peak_bpm": None, "stage_3_bpm": None})
    yield (
        "one load of a woman",
        field("cycle_one_load", WOMAN, power_w=10, minute_5_bpm=168, minute_6_bpm=169, pace_not_kept=False),
    )
    yield (
        "one load, too slow a pulse",
        field("cycle_one_load", power_w=75, minute_5_bpm=110, minute_6_bpm=111, pace_not_kept=False),
    )
    yield "gait too fast to be true", field("gait_speed", WOMAN, distance_m=50, trial_1_s=0.5)
    yield (
        "grip, under 20 and over 90",
        lambda: [evaluate(find_test("grip"), {"right_kg": 30}, replace(WOMAN, age_y=age)) for age in (12, 97)],
    )
    yield "battery, a stance left out", field("sppb", side_by_side_s=10, trial_1_s=5, rises_s=12)
    yield "gait", field("gait_speed", distance_m=4, trial_1_s=5.2, trial_2_s=4.8)
    yield "gait of three", field("gait_speed", WOMAN, distance_m=6, trial_1_s=5.2, trial_2_s=4.8, trial_3_s=4.1)
    yield "gait without age", field("gait_speed", UNKNOWN, distance_m=4, trial_1_s=9)
    yield "gait without time", field("gait_speed", distance_m=4)
    yield "march", field("two_minute_step", steps=80, help_given=False)
    yield "march of a young woman", field("two_minute_step", WOMAN, steps=80, help_given=False)
    yield "march, nothing known", field("two_minute_step", UNKNOWN, steps=60)
    yield "stands", field("chair_stand_30s", repetitions=11, used_arms=False)
    yield "stands with the arms", field("chair_stand_30s", repetitions=11, used_arms=True)
    yield "stands, arms unknown", field("chair_stand_30s", repetitions=1)
    yield "stands, person unknown", field("chair_stand_30s", UNKNOWN, repetitions=14, used_arms=False)
    yield "stands of a young woman", field("chair_stand_30s", WOMAN, repetitions=14, used_arms=False)
    yield "five rises", field("five_rises", trial_1_s=14.2)
    yield "five rises, unable", field("five_rises", unable=True)
    yield "five rises, unable and timed", field("five_rises", unable=True, trial_1_s=20)
    yield "five rises, nothing", field("five_rises")
    yield "up and go", field("up_and_go", trial_1_s=11.2, trial_2_s=12.6)
    yield "up and go of a young woman", field("up_and_go", WOMAN, trial_1_s=8)
    yield "four stances", field("four_stage_balance", side_by_side_s=10, semi_tandem_s=10, tandem_s=6.5)
    ten = {"side_by_side_s": 10, "semi_tandem_s": 10, "tandem_s": 10}
    yield (
        "all four stances",
        field("four_stage_balance", **ten, one_leg_s=10),
    )
    yield (
        "last stance short",
        field("four_stage_balance", **ten, one_leg_s=4),
    )
    yield "first stance short", field("four_stage_balance", side_by_side_s=3)
    yield "stance after a failed one", field("four_stage_balance", side_by_side_s=9.9, semi_tandem_s=2)
    yield "stances, one missing", field("four_stage_balance", side_by_side_s=10)
    battery = {
        **ten,
        "tandem_s": 5,
        "trial_1_s": 5.5,
        "trial_2_s": 5,
        "rises_s": 15,
    }
    yield "battery", field("sppb", **battery)
    yield "battery, unable", field("sppb", side_by_side_s=4, gait_unable=True, rises_unable=True)
    yield "battery, unable and timed", field("sppb", **battery, gait_unable=True)
    yield "battery, nothing", field("sppb")
    yield "one leg of three", field("single_leg", trial_1_s=12, trial_2_s=18.5, trial_3_s=9)
    yield "one leg once", field("single_leg", UNKNOWN, trial_1_s=4)
    yield "grip", field("grip", right_kg=31, left_kg=28.5)
    yield "grip of one hand, nothing known", field("grip", UNKNOWN, left_kg=18)
    yield "grip of nothing", field("grip")
    yield "repetitions", field("one_repetition", load_kg=20, repetitions=8)
    yield "repetitions beyond", field("one_repetition", load_kg=20, repetitions=13)
    yield "steps", field("step_test", **STEPS, resting_bpm=62, pace_not_kept=False, hand_support=False)
    yield (
        "steps, maximum predicted",
        field(
            "step_test",
            **{**STEPS, "peak_bpm": None},
            maximum="maximum_bpm_fox_1971",
            pace_not_kept=False,
            hand_support=False,
        ),
    )
    yield "steps without a maximum", field("step_test", **{**STEPS, "peak_bpm": None})
    yield "steps, two maxima", field("step_test", **STEPS, maximum="maximum_bpm_fox_1971")
    yield (
        "steps, age unknown",
        field("step_test", UNKNOWN, **{**STEPS, "peak_bpm": None}, maximum="maximum_bpm_fox_1971"),
    )
    yield "steps under a medicine", field("step_test", SLOWED, **STEPS, pace_not_kept=False, hand_support=False)
    yield "steps, a stage left out", field("step_test", height_cm=20, stage_1_bpm=95, stage_3_bpm=110, peak_bpm=150)
    yield "cycle", field("cycle_test", **CYCLE, peak_bpm=155, pace_not_kept=False, resting_bpm=70)
    yield (
        "cycle of a woman",
        field("cycle_test", WOMAN, **CYCLE, maximum="maximum_bpm_tanaka_2001", pace_not_kept=False),
    )
    yield "cycle, mass unknown", field("cycle_test", UNKNOWN, **CYCLE, peak_bpm=155)
    yield "cycle without a maximum", field("cycle_test", **CYCLE)
    yield "cycle in flutter without a maximum", field("cycle_test", FLUTTER, **CYCLE)
    yield "cycle, part of a stage", field("cycle_test", stage_1_w=25, stage_1_bpm=100, peak_bpm=155)
    yield "one load", field("cycle_one_load", power_w=75, minute_5_bpm=128, minute_6_bpm=130, pace_not_kept=False)
    yield "one load, nothing known", field("cycle_one_load", UNKNOWN, power_w=75, minute_5_bpm=128, minute_6_bpm=130)
    yield (
        "one load, not steady",
        field("cycle_one_load", power_w=75, minute_5_bpm=128, minute_6_bpm=140, pace_not_kept=False),
    )
    target = {"resting_bpm": 62, "low_percent": 40, "high_percent": 70}
    yield "target", field("heart_rate_target", **target, peak_bpm=151)
    yield "target under a limit", field("heart_rate_target", **target, peak_bpm=151, ceiling_bpm=110)
    yield "target against a limit", field("heart_rate_target", **target, peak_bpm=151, ceiling_bpm=80)
    yield "target predicted", field("heart_rate_target", **target, maximum="maximum_bpm_tanaka_2001")
    yield "target, medicine and a measured peak", field("heart_rate_target", SLOWED, **target, peak_bpm=120)
    yield "target under a medicine", field("heart_rate_target", SLOWED, **target, maximum="maximum_bpm_fox_1971")
    yield "target in flutter", field("heart_rate_target", FLUTTER, **target, peak_bpm=151)
    yield "target, nothing known", field("heart_rate_target", UNKNOWN, **target, peak_bpm=151)
    yield "target without rest", field("heart_rate_target", low_percent=40, high_percent=70, peak_bpm=151)
    yield "activity", field("activity_status", **ITEMS)
    yield "activity, one open", field("activity_status", **{**ITEMS, "item_9": None})
    yield "activity, British", field("activity_status", **ITEMS, british=True)
    yield "activity, nothing", field("activity_status")
    yield "a box that is none", field("grip", middle_kg=3)

"""Which function works out which test."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from haleward.capacity import field_results_endurance as endurance
from haleward.capacity import field_results_exercise as exercise
from haleward.capacity import field_results_function as function
from haleward.capacity import field_results_walk as walk
from haleward.capacity.field_values import Given, Part

RECKONERS: Mapping[str, Callable[[Given], tuple[Part, ...]]] = {
    "six_minute_walk": walk.six_minute_walk,
    "shuttle_walk": walk.shuttle_walk,
    "endurance_shuttle": endurance.endurance_shuttle,
    "gait_speed": function.gait_speed,
    "two_minute_step": function.two_minute_step,
    "chair_stand_30s": function.chair_stands,
    "five_rises": function.five_rises,
    "up_and_go": function.up_and_go,
    "four_stage_balance": function.four_stage_balance,
    "sppb": function.short_battery,
    "single_leg": function.single_leg,
    "grip": function.grip,
    "one_repetition": exercise.one_repetition,
    "step_test": exercise.step_test,
    "cycle_test": exercise.cycle_test,
    "cycle_one_load": exercise.cycle_one_load,
    "heart_rate_target": exercise.heart_rate_target,
    "activity_status": exercise.activity_status,
}

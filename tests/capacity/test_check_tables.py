"""Every row of the tables of staged tests, counts, questionnaires and METs: expected values come from the source."""

from __future__ import annotations

import json
from typing import Any

import pytest

from haleward.capacity import (
    activity_status,
    cycle_test,
    endurance_shuttle,
    mets,
    shuttle_mets,
    step_test,
    two_minute_step,
)
from haleward.capacity.extrapolation import Point, fitted_line, measured_maximum, peak_vo2_from_line
from haleward.capacity.void import fact_names
from haleward.errors import HalewardError
from haleward.physiology.metabolic import vo2_stepping_acsm
from haleward.units import likely, shown
from haleward.worksheet import NotComputed
from tests.physiology import test_check_tables as shared

NOTHING_VOID = dict.fromkeys(fact_names(), False)


def _line(stages: Any) -> Any:
    return fitted_line(
        tuple(Point(vo2_stepping_acsm(height_m=height, steps_per_min=rate), bpm) for height, rate, bpm in stages)
    )


def _step_line(stages: Any) -> str:
    line = _line(stages)
    return f"{line.intercept_bpm:.2f} + {line.slope_bpm_per_vo2:.3f}"


def _step_peak(stages: Any, maximum_bpm: float) -> float:
    line = _line(stages)
    return peak_vo2_from_line(
        maximum_bpm=maximum_bpm, intercept_bpm=line.intercept_bpm, slope_bpm_per_vo2=line.slope_bpm_per_vo2
    )


def _step_outcome(stages: Any, maximum_bpm: float) -> str:
    done = [step_test.Stage(height, rate, bpm) for height, rate, bpm in stages]
    found = step_test.step_test(done, maximum=measured_maximum(bpm=maximum_bpm), facts=NOTHING_VOID)
    if isinstance(found.peak_met, NotComputed):
        return f"not computed; top stage {shown(found.top_met.value, 'METs')}"
    return likely(found.peak_met)


def _activity(yes: list[int], open_items: list[int]) -> activity_status.ActivityStatus:
    answers = {item: None if item in open_items else item in yes for item in activity_status.ITEMS}
    found = activity_status.activity_status(answers)
    assert isinstance(found, activity_status.ActivityStatus)
    return found


def _activity_outcome(yes: list[int], open_items: list[int]) -> str:
    found = _activity(yes, open_items)
    return found.worksheet.result if found.energy_met is None else likely(found.energy_met)


def _independence(steps: int, age_y: int, sex: Any) -> str:
    found = two_minute_step.two_minute_step_findings(steps=steps, age_y=age_y, sex=sex, facts=NOTHING_VOID)
    assert not isinstance(found, NotComputed)
    return "under" if found[1].flagged else "not under"


def _level_met(completed_level: int, method: Any) -> float | str:
    found = shuttle_mets.level_met(completed_level=completed_level, method=method)
    return "not computed" if isinstance(found, NotComputed) else found.value


def _met_total(bouts: list[tuple[str, int, float]]) -> str:
    try:
        total = mets.total_met_minutes([(mets.entry(code=code, year=year), mins) for code, year, mins in bouts])
    except HalewardError as fault:
        return str(fault)
    return f"{total.value:g}"


def _figure(sheet: Any) -> float:
    return float(sheet.figure.value)


OTHERS: dict[str, Any] = {
    "step_line": _step_line,
    "step_peak": _step_peak,
    "step_error_of_maximum": lambda stages, error_bpm: error_bpm / _line(stages).slope_bpm_per_vo2,
    "step_outcome": _step_outcome,
    "single_stage_met": step_test.single_stage_met,
    "cycle_loads": lambda first_stage_bpm: "; ".join(
        f"{load:g}" for load in cycle_test.loads_after(first_stage_bpm=first_stage_bpm)
    ),
    "activity_points": lambda yes, open: _activity(yes, open).least_points,
    "activity_outcome": lambda yes, open: _activity_outcome(yes, open),
    "two_minute_range": lambda **who: "{}-{}".format(*two_minute_step.normal_range(**who)),
    "two_minute_independence": _independence,
    "endurance_track": lambda speed_km_per_h: str(endurance_shuttle.track_for(speed_km_per_h=speed_km_per_h).track),
    "endurance_distance": lambda clock_s, track: (
        endurance_shuttle.endurance_score(clock_s=clock_s, track=endurance_shuttle.tracks()[track - 1]).distance_m.value
    ),
    "level_met": _level_met,
    "met_entry": lambda code, year: mets.entry(code=code, year=year).energy_met,
    "met_energy": lambda code, year, **bout: _figure(mets.energy_of(mets.entry(code=code, year=year), **bout)),
    "met_minutes_of": lambda code, year, **bout: _figure(mets.met_minutes_of(mets.entry(code=code, year=year), **bout)),
    "met_total": _met_total,
}


def _result(function: str, inputs: Any) -> float | str | None:
    if function not in OTHERS:
        return shared.result(function, inputs)
    found: float | str | None = OTHERS[function](**inputs)
    return found


@pytest.mark.parametrize("row", shared.table("capacity_tests"), ids=lambda row: row["case"])
def test_a_capacity_test_agrees_with_its_source(row: dict[str, str]) -> None:
    shared.assert_matches(row, _result(row["function"], json.loads(row["inputs"])))


@pytest.mark.parametrize("row", shared.table("mets"), ids=lambda row: row["case"])
def test_the_table_of_mets_agrees_with_its_source(row: dict[str, str]) -> None:
    shared.assert_matches(row, _result(row["function"], json.loads(row["inputs"])))


def test_every_function_that_a_row_names_is_used_and_known() -> None:
    named = {row["function"] for name in ("capacity_tests", "mets") for row in shared.table(name)}
    assert set(OTHERS) <= named

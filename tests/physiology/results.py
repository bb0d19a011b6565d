"""Results of the check tables that are not one number of one registered formula: each by the name its rows use."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from haleward.capacity.balance import FourStage, four_stage_balance
from haleward.capacity.change import limits_of
from haleward.capacity.function_tests import chair_stand_score, gait_class
from haleward.capacity.norms import Norm, norms_for
from haleward.formula import find
from haleward.movement.loads import household_items
from haleward.physiology.body_bands import bmi_finding, waist_findings, waist_to_height_finding
from haleward.physiology.ceilings import combine_ceilings
from haleward.physiology.effort import effort_6_20_of_reserve, intensity_class
from haleward.physiology.finding import Finding
from haleward.physiology.response_findings import chronotropic_finding, pressure_prompts, recovery_findings
from haleward.physiology.strength_load import (
    LoadTrial,
    effort_after_repetitions,
    next_load,
    predicted_load,
    two_repetition_feel,
)
from haleward.physiology.talk import talk_test, talk_test_stages
from haleward.physiology.targets import targets
from haleward.worksheet import NotComputed

Shown = float | str | None


def _flags(found: Any) -> str:
    assert not isinstance(found, NotComputed)
    several = found if isinstance(found, tuple) else (found,)
    return " ".join("yes" if one.flagged else "no" for one in several)


def _norm(inputs: dict[str, Any]) -> Norm:
    found = norms_for(inputs["test"], age_y=inputs["age_y"], sex=inputs["sex"])
    assert not isinstance(found, NotComputed)
    assert len(found) == 1
    return found[0]


def _norm_range(**inputs: Any) -> str:
    norm = _norm(inputs)
    return f"{norm.low:g} to {norm.high:g}"


def _band(found: Finding | NotComputed) -> str:
    assert isinstance(found, Finding)
    for mark in (" (lower action point)",):
        if mark in found.meaning:
            return found.meaning[: found.meaning.index(mark) + len(mark)]
    return found.meaning.partition(" (")[0]


def _four_stage(**inputs: Any) -> str:
    found = four_stage_balance(**inputs)
    assert isinstance(found, FourStage)
    return f"{found.stages_held} {found.stopped_at}"


def _combined(**inputs: Any) -> str:
    found = combine_ceilings(**inputs)
    return "conflict" if found.conflict else f"{found.low_bpm:g} to {found.high_bpm:g}"


def _next_load(tried: list[list[float]], loads_kg: list[float]) -> float | None:
    found = next_load(tried=[(load, effort) for load, effort in tried], loads_kg=loads_kg)
    assert not isinstance(found, NotComputed)
    return found.next_load_kg if isinstance(found, LoadTrial) else found


def _single(method: str, end: str, **inputs: Any) -> float | None:
    figure = find(f"one_repetition_maximum_kg_{method}").figure(**inputs)
    return figure.low if end == "low" else figure.high


def _chair_stand_score(**inputs: Any) -> float:
    found = chair_stand_score(**inputs)
    assert not isinstance(found, NotComputed)
    return found


def _household_kg(item: str) -> float:
    return next(one.mass_kg for one in household_items() if one.item == item)


def _pair(low: float, high: float) -> str:
    return f"{low:g} to {high:g}"


FURTHER: dict[str, Callable[..., Shown]] = {
    "norm_value": lambda **inputs: _norm(inputs).value,
    "norm_sd": lambda **inputs: _norm(inputs).sd,
    "norm_limit": lambda **inputs: _norm(inputs).limit,
    "norm_range": _norm_range,
    "gait_class": lambda speed_m_per_s: gait_class(speed_m_per_s).meaning,
    "chair_stand_score": _chair_stand_score,
    "four_stage": _four_stage,
    "change_limit": lambda measure, population, which: getattr(limits_of(measure, population), which),
    "bmi_band": lambda bmi_kg_per_m2, background: _band(bmi_finding(bmi_kg_per_m2, background=background)),
    "waist_flags": lambda waist_m, sex, background: _flags(waist_findings(waist_m, sex=sex, background=background)),
    "ratio_band": lambda ratio, bmi_kg_per_m2: _band(waist_to_height_finding(ratio, bmi_kg_per_m2=bmi_kg_per_m2)),
    "target_text": lambda measure, jurisdiction, number: targets(measure, jurisdiction=jurisdiction)[number].text,
    "intensity_class": lambda measure, value, scheme: intensity_class(measure, value, scheme=scheme),
    "combined_ceilings": _combined,
    "recovery_flags": lambda **inputs: _flags(recovery_findings(**inputs)),
    "chronotropic_flagged": lambda **inputs: _flags(chronotropic_finding(**inputs)),
    "pressure_flags": lambda test, value_mmhg, sex: _flags(pressure_prompts(test, value_mmhg, sex=sex)),
    "talk_place": lambda answer: talk_test(answer).place,
    "talk_completed": lambda stages_under: talk_test_stages()[stages_under].completed,
    "load_median": lambda **inputs: predicted_load(**inputs).load_kg.value,
    "load_lowest": lambda **inputs: predicted_load(**inputs).load_kg.low,
    "load_highest": lambda **inputs: predicted_load(**inputs).load_kg.high,
    "single_low": lambda method, **inputs: _single(method, "low", **inputs),
    "single_high": lambda method, **inputs: _single(method, "high", **inputs),
    "load_feel": two_repetition_feel,
    "effort_after_low": lambda **inputs: effort_after_repetitions(**inputs)[0],
    "effort_after_high": lambda **inputs: effort_after_repetitions(**inputs)[1],
    "next_load_kg": _next_load,
    "reserve_as_6_20": lambda reserve: _pair(*effort_6_20_of_reserve(reserve=reserve)),
    "household_kg": _household_kg,
}

"""Every row of the check tables, one case each: expected values come from the source, not from the program."""

from __future__ import annotations

import csv
import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from haleward import units
from haleward.capacity import change, function_tests, shuttle, shuttle_reference
from haleward.formula import REGISTRY
from haleward.physiology.effort import repetitions_in_reserve
from haleward.physiology.strength import predicted_maximum
from haleward.units import met_from_vo2
from tests.physiology.results import FURTHER

CHECKS = Path(__file__).parent.parent / "checks"
KINDS = {"published", "computed", "definition"}
# The tables whose rows check a registered formula, or a function beside one; test_check_tables of each room runs them.
FORMULA_TABLES = [
    path.stem
    for path in sorted(CHECKS.glob("*.csv"))
    if path.open(encoding="utf-8").readline().startswith("case,function,inputs,") and path.stem not in ("units", "dose")
]


def table(name: str) -> list[dict[str, str]]:
    with (CHECKS / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def rows_by_formula() -> dict[str, list[dict[str, str]]]:
    """The check rows of each registered formula, over all tables."""
    found: dict[str, list[dict[str, str]]] = {}
    for name in [*FORMULA_TABLES, "units"]:
        for row in table(name):
            found.setdefault(row["function"].removeprefix("met_of:"), []).append(row)
    return found


def _reached(distance_m: float) -> str:
    where = shuttle.reached(distance_m=distance_m)
    return f"level {where.completed_level} and {where.further_shuttles} shuttles"


def _sppb(**parts: Any) -> str:
    score = function_tests.sppb(**parts)
    assert isinstance(score, function_tests.SppbScore)
    return f"{score.balance}+{score.gait}+{score.chair_rises} = {score.total}"


def _chair_stand_flagged(**inputs: Any) -> str:
    finding = function_tests.chair_stand_finding(**inputs)
    assert isinstance(finding, function_tests.Finding)
    return str(finding.flagged)


def _cutoffs_met(test: str, value: float, sex: Any) -> str:
    met = [one for one in function_tests.findings_for(test, value, sex=sex) if one.flagged]
    return "; ".join(one.source.partition(" [")[0] for one in met) or "none"


def _reserve(effort_0_10: float) -> str:
    left = repetitions_in_reserve(effort_0_10=effort_0_10)
    assert left is not None
    return f"{left[0]} to {left[1]}"


# Results that are not one number of one registered formula.
OTHERS: dict[str, Callable[..., float | str | None]] = {
    "shuttle_reached": _reached,
    "shuttle_published_speed_km_per_h": lambda level: shuttle.level(level).published_speed_km_per_h,
    "shuttle_walk_lower_limit_harrison_2013": lambda age_y: (
        shuttle_reference.shuttle_walk_norm_harrison_2013(age_y=age_y).lower_limit_m
    ),
    "sppb_points": _sppb,
    "chair_stand_flagged": _chair_stand_flagged,
    "cutoffs_met": _cutoffs_met,
    "change_verdict": lambda **inputs: change.change(**inputs).verdict,
    "median_of_seven": lambda **inputs: predicted_maximum(**inputs).maximum_kg.value,
    "lowest_of_seven": lambda **inputs: predicted_maximum(**inputs).maximum_kg.low,
    "highest_of_seven": lambda **inputs: predicted_maximum(**inputs).maximum_kg.high,
    "repetitions_in_reserve": _reserve,
    **FURTHER,
}


def result(function: str, inputs: Any) -> float | str | None:
    if isinstance(inputs, list):  # a sum over bouts
        return sum(REGISTRY[function].call(**one) for one in inputs)
    if function.startswith("met_of:"):
        return met_from_vo2(vo2_ml_per_kg_min=REGISTRY[function.removeprefix("met_of:")].call(**inputs))
    if function in OTHERS:
        return OTHERS[function](**inputs)
    return REGISTRY[function].call(**inputs)


def assert_matches(row: dict[str, str], found: float | str | None) -> None:
    if row["tolerance"] == "exact":
        assert found == row["expected"]
    else:
        assert found == pytest.approx(float(row["expected"]), rel=0, abs=float(row["tolerance"]) + 1e-9)


@pytest.mark.parametrize("row", table("physiology"), ids=lambda row: row["case"])
def test_physiology_agrees_with_its_source(row: dict[str, str]) -> None:
    assert_matches(row, result(row["function"], json.loads(row["inputs"])))


@pytest.mark.parametrize("row", table("capacity"), ids=lambda row: row["case"])
def test_capacity_agrees_with_its_source(row: dict[str, str]) -> None:
    assert_matches(row, result(row["function"], json.loads(row["inputs"])))


@pytest.mark.parametrize("row", table("strength"), ids=lambda row: row["case"])
def test_strength_agrees_with_its_source(row: dict[str, str]) -> None:
    assert_matches(row, result(row["function"], json.loads(row["inputs"])))


@pytest.mark.parametrize("row", table("norms"), ids=lambda row: row["case"])
def test_a_norm_a_limit_or_a_band_agrees_with_its_source(row: dict[str, str]) -> None:
    assert_matches(row, result(row["function"], json.loads(row["inputs"])))


@pytest.mark.parametrize("row", table("units"), ids=lambda row: row["case"])
def test_units_agree_with_their_definition(row: dict[str, str]) -> None:
    assert_matches(row, getattr(units, row["function"])(**json.loads(row["inputs"])))


@pytest.mark.parametrize("name", [*FORMULA_TABLES, "units"])
def test_every_row_has_a_source_a_kind_and_its_own_name(name: str) -> None:
    rows = table(name)
    assert all(row["source"].strip() and row["kind"] in KINDS for row in rows)
    assert len({row["case"] for row in rows}) == len(rows)


def test_every_registered_formula_has_a_check_row() -> None:
    own = {name for name, one in REGISTRY.items() if one.function.__module__.startswith("haleward.")}
    assert len(own) > 90
    assert own - set(rows_by_formula()) == set()


def test_a_formula_from_memory_says_so_in_each_of_its_rows() -> None:
    unmarked = [
        f"{name}: {row['case']}"
        for name, rows in rows_by_formula().items()
        if name in REGISTRY and REGISTRY[name].trust == "from memory, unverified"
        for row in rows
        if row["kind"] != "published" and not re.search("memory|unverified|not verified", row["source"])
    ]
    assert unmarked == []


def test_every_conversion_has_a_check_row() -> None:
    conversions = {name for name in vars(units) if "_from_" in name}
    assert conversions - {row["function"] for row in table("units")} == set()


def test_the_unit_of_a_row_is_the_unit_of_its_formula() -> None:
    for name in FORMULA_TABLES:
        for row in table(name):
            known = REGISTRY.get(row["function"])
            if known is not None and known.unit != "1":  # "1" also stands for "the unit of the measure"
                assert row["unit"] == known.unit, row["case"]

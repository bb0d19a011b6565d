"""Body sizes follow the table, and the drawn body stays inside the range that was checked."""

import csv
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haleward.movement.body import DRAWN_BMI, DRAWN_STATURE_M, Body, drawn_body, length_fractions

CHECKS = Path(__file__).parent.parent / "checks" / "movement_body.csv"


def rows() -> list[dict[str, str]]:
    with CHECKS.open(newline="", encoding="utf-8") as handle:
        return list(csv.DictReader(handle))


@pytest.mark.parametrize("row", rows(), ids=lambda row: row["case"])
def test_a_length_is_its_fraction_of_stature(row: dict[str, str]) -> None:
    body = Body(stature_m=float(row["stature_m"]), mass_kg=70)
    assert getattr(body, row["measure"]) == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


def test_the_trunk_is_hip_to_shoulder_less_the_acromion() -> None:
    lengths = length_fractions()
    hip_to_acromion = lengths["shoulder_height_acromion"] - lengths["hip_height_greater_trochanter"]
    assert lengths["trunk_hip_to_shoulder"] == pytest.approx(hip_to_acromion)
    assert lengths["shoulder_joint_centre_above_hip_centre"] < hip_to_acromion


@given(st.one_of(st.none(), st.floats(0.5, 2.6)), st.one_of(st.none(), st.floats(20, 300)))
def test_a_drawn_body_is_always_of_a_checked_size(stature_m: float | None, mass_kg: float | None) -> None:
    body = drawn_body(stature_m, mass_kg)
    assert DRAWN_STATURE_M[0] <= body.stature_m <= DRAWN_STATURE_M[1]
    assert DRAWN_BMI[0] - 1e-9 <= body.mass_kg / body.stature_m**2 <= DRAWN_BMI[1] + 1e-9


def test_an_unknown_person_is_drawn_as_the_reference_figure() -> None:
    assert drawn_body(None, None) == Body(stature_m=1.70, mass_kg=pytest.approx(70.0))


def test_a_heavier_person_is_drawn_wider_and_not_taller() -> None:
    light, heavy = drawn_body(1.7, 60), drawn_body(1.7, 110)
    assert heavy.trunk_radius > light.trunk_radius
    assert heavy.thigh == light.thigh

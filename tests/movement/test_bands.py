"""Bands: every check row, and what must never happen over the whole range."""

import csv
import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haleward.errors import HalewardError, Inconsistent, OutOfRange
from haleward.movement import bands

CHECKS = Path(__file__).parent.parent / "checks" / "movement_bands.csv"
stiffnesses = st.floats(3, 60)
lengths = st.floats(0.2, 3.0)
stretches = st.floats(1.01, bands.LONGEST_STRETCH)


def force_ratio(*, stretch: float, to_stretch: float) -> float:
    return bands.stretch_force(stretch) / bands.stretch_force(to_stretch)


def folded_force_n(*, stiffness_n: float, hold_length_m: float, length_m: float) -> float:
    stiffness, hold = bands.folded(stiffness_n=stiffness_n, hold_length_m=hold_length_m)
    return bands.force_n(stiffness_n=stiffness, hold_length_m=hold, length_m=length_m)


def rows() -> list[dict[str, str]]:
    with CHECKS.open(newline="", encoding="utf-8") as handle:
        return list(csv.DictReader(handle))


@pytest.mark.parametrize("row", rows(), ids=lambda row: row["case"])
def test_a_check_value_is_met(row: dict[str, str]) -> None:
    own = {"force_ratio": force_ratio, "folded_force_n": folded_force_n}
    function = own.get(row["function"]) or getattr(bands, row["function"])
    found = function(**{name: tuple(v) if isinstance(v, list) else v for name, v in json.loads(row["inputs"]).items()})
    assert found == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


@given(stiffnesses, lengths, stretches)
def test_the_hold_for_a_force_gives_that_force(stiffness: float, length: float, stretch: float) -> None:
    force = stiffness * bands.stretch_force(stretch)
    hold = bands.hold_length_m(stiffness_n=stiffness, force_n=force, length_m=length)
    assert bands.force_n(stiffness_n=stiffness, hold_length_m=hold, length_m=length) == pytest.approx(force, rel=1e-6)


@given(stiffnesses, st.floats(0.3, 1.5), stretches)
def test_a_shorter_hold_is_never_easier(stiffness: float, hold: float, stretch: float) -> None:
    length = hold * stretch
    shorter = max(hold * 0.9, length / bands.LONGEST_STRETCH)
    long_force = bands.force_n(stiffness_n=stiffness, hold_length_m=hold, length_m=length)
    assert bands.force_n(stiffness_n=stiffness, hold_length_m=shorter, length_m=length) >= long_force - 1e-9


@given(stiffnesses, lengths, st.floats(bands.LONGEST_STRETCH + 0.001, 20))
def test_a_band_is_never_pulled_beyond_its_working_limit(stiffness: float, hold: float, stretch: float) -> None:
    with pytest.raises(OutOfRange, match="stretched band length"):
        bands.force_n(stiffness_n=stiffness, hold_length_m=hold, length_m=hold * stretch)
    with pytest.raises(OutOfRange, match="band force"):
        bands.hold_length_m(stiffness_n=stiffness, force_n=stiffness * bands.stretch_force(stretch), length_m=1.0)


def test_a_slack_band_pulls_with_nothing() -> None:
    assert bands.force_n(stiffness_n=13, hold_length_m=1.0, length_m=0.8) == 0.0


def test_readings_more_than_ten_per_cent_apart_are_refused() -> None:
    with pytest.raises(Inconsistent, match="more than 10 % apart"):
        bands.stiffness_n(((1.5, 13.7), (2.0, 30.0)))
    assert bands.stiffness_n(((1.5, 13.7), (2.0, 22.8), (2.5, 30.4))) == pytest.approx(13.0, abs=0.05)


def test_no_reading_and_a_reading_without_stretch_are_refused() -> None:
    with pytest.raises(HalewardError, match="No scale reading"):
        bands.stiffness_n(())
    with pytest.raises(OutOfRange, match="stretch of the band"):
        bands.stiffness_n(((1.0, 10.0),))


def test_a_kilogram_on_the_scale_is_9_81_newtons() -> None:
    assert bands.newtons(kilograms_on_scale=2.0) == pytest.approx(19.62)

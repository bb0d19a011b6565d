"""A band's stiffness from scale readings, on a made-up band with known truth and noise."""

from datetime import date

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from haleward.errors import HalewardError, Inconsistent, OutOfRange
from haleward.movement.band_fit import Reading, fit_band, longest_stretch_m, measure_again_on, worn_out
from haleward.movement.bands import stretch_force

STRETCHES = (1.5, 2.0, 2.5)


def readings(stiffness_n: float, noise: tuple[float, ...] = (0, 0, 0)) -> tuple[Reading, ...]:
    return tuple(
        Reading(stretch, stiffness_n * stretch_force(stretch) * (1 + off) / 9.81)
        for stretch, off in zip(STRETCHES, noise, strict=True)
    )


def test_it_works() -> None:
    fit = fit_band(readings(13.0))
    assert fit.stiffness_n == pytest.approx(13.0)
    assert fit.worst_misfit == pytest.approx(0, abs=1e-9)
    assert fit.force_n(2.0) == pytest.approx(22.75)  # the reference's example strip at 100 per cent


@given(st.floats(3, 60), st.lists(st.floats(-0.04, 0.04), min_size=3, max_size=3))
def test_small_errors_of_reading_move_the_fit_no_further_than_themselves(truth: float, noise: list[float]) -> None:
    fit = fit_band(readings(truth, tuple(noise)))
    assert fit.stiffness_n == pytest.approx(truth, rel=max(map(abs, noise)) + 1e-9)


def test_the_standard_error_covers_the_truth_about_as_often_as_it_should() -> None:
    random = np.random.default_rng(7)
    hits = 0
    for _ in range(400):
        shape = np.array([stretch_force(one) for one in STRETCHES])
        force = 13.0 * shape + random.normal(0, 0.5, 3)
        fit = fit_band(tuple(Reading(s, f / 9.81) for s, f in zip(STRETCHES, force, strict=True)))
        hits += abs(fit.stiffness_n - 13.0) <= 4.303 * fit.standard_error_n  # Student's t, 2 degrees of freedom, 95 %
    assert 0.90 < hits / 400 < 0.99


def test_a_reading_that_does_not_belong_is_named() -> None:
    with pytest.raises(Inconsistent, match=r"At 2\.5 times its length the scale showed 4\.3 kg, but by the other"):
        fit_band(readings(13.0, (0, 0, 0.4)))


@pytest.mark.parametrize(
    ("given", "error", "words"),
    [
        (readings(13.0)[:2], HalewardError, "three different lengths"),
        ((*readings(13.0)[:2], Reading(2.0, 2.3)), HalewardError, "three different lengths"),
        ((*readings(13.0)[:2], Reading(4.0, 6.0)), OutOfRange, "stretch of the band"),
        ((*readings(13.0)[:2], Reading(2.5, 0.0)), OutOfRange, "scale reading"),
    ],
)
def test_readings_that_cannot_be_used_are_refused(
    given: tuple[Reading, ...], error: type[HalewardError], words: str
) -> None:
    with pytest.raises(error, match=words):
        fit_band(given)


def test_a_band_is_measured_again_and_replaced_by_rule() -> None:
    assert measure_again_on(date(2026, 1, 5)) == date(2026, 3, 2)
    assert not worn_out(new_stiffness_n=13.0, now_stiffness_n=11.2)
    assert worn_out(new_stiffness_n=13.0, now_stiffness_n=11.0)
    assert longest_stretch_m(0.4) == pytest.approx(1.4)

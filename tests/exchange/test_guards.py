"""Guards for units, dates and plausible values."""

from __future__ import annotations

from contextlib import suppress
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haleward.errors import HalewardError
from haleward.exchange.guards import (
    check_birth,
    check_blood_pressure,
    check_body,
    check_range,
    parse_date,
    parse_glucose_mmol,
    parse_length_m,
    parse_mass_kg,
    parse_volume_l,
    plausible_ranges,
)

TODAY = date(2026, 11, 24)


@pytest.mark.parametrize(
    ("text", "stature_m"),
    [
        ("172 cm", 1.72),
        ("1.72 m", 1.72),
        ("1,72 m", 1.72),
        ("1720 mm", 1.72),
        ("5 ft 8 in", 1.7272),
        ("5ft 8in", 1.7272),
        ("5 feet 8 inches", 1.7272),
        ("5'8\"", 1.7272),
        ("5'8", 1.7272),
        ("5 ft", 1.524),
        ("68 in", 1.7272),
    ],
)
def test_heights_are_read_in_every_usual_unit(text: str, stature_m: float) -> None:
    assert parse_length_m(text) == pytest.approx(stature_m, abs=1e-9)


@pytest.mark.parametrize(
    ("text", "mass_kg"),
    [
        ("81 kg", 81),
        ("81.5kg", 81.5),
        ("12 st 10 lb", 178 * 0.45359237),
        ("12st 10lb", 178 * 0.45359237),
        ("12 stone", 168 * 0.45359237),
        ("178 lbs", 178 * 0.45359237),
        ("178 pounds", 178 * 0.45359237),
    ],
)
def test_weights_are_read_in_kilograms_stones_and_pounds(text: str, mass_kg: float) -> None:
    assert parse_mass_kg(text) == pytest.approx(mass_kg, abs=1e-6)


@pytest.mark.parametrize("text", ["1.72", "172", "81", "5 8"])
def test_a_number_without_a_unit_is_asked_about_not_guessed(text: str) -> None:
    for parse in (parse_length_m, parse_mass_kg):
        with pytest.raises(HalewardError, match="has no unit"):
            parse(text)


@pytest.mark.parametrize("text", ["", "tall", "172 kg", "1.72 m 5 cm", "5 in 8 ft", "172 cm maybe", "--3 cm"])
def test_what_is_no_length_is_one_sentence_with_an_example(text: str) -> None:
    with pytest.raises(HalewardError, match="172 cm"):
        parse_length_m(text)


def test_a_minus_sign_is_never_dropped() -> None:
    with pytest.raises(HalewardError):
        parse_mass_kg("-81 kg")


def test_centimetres_written_as_metres_are_questioned() -> None:
    with pytest.raises(HalewardError, match=r"172 m is not likely\. If you meant centimetres"):
        parse_length_m("172 m")


def test_limits_are_told_in_the_unit_that_was_written() -> None:
    with pytest.raises(HalewardError, match=r"1\.72 cm is outside 120 to 220 cm"):
        parse_length_m("1.72 cm")


def test_pounds_entered_as_kilograms_are_questioned() -> None:
    check_body(1.72, 81)
    with pytest.raises(HalewardError, match="If you meant pounds or stones"):
        check_body(1.65, 180)
    with pytest.raises(HalewardError, match="If you meant pounds or stones"):
        parse_mass_kg("280 kg")


@pytest.mark.parametrize(
    ("number", "quantity", "asked"),
    [
        (98.6, "temp_c", r"Did you mean 37 deg C \(98\.6 °F\)\?"),
        (0.55, "lvef_pct", r"Did you mean 55% \(0\.55 as a fraction\)\?"),
        (4, "gait_speed_m_per_s", r"Did you mean 1\.11 m/s \(4 km/h\) or 1\.79 m/s \(4 mph\)\?"),
        (17, "systolic_mmhg", r"Did you mean 128 mmHg \(17 kPa\)"),
        (1800, "walk_distance_m", r"Did you mean 549 m \(1800 ft\)\?"),
    ],
)
def test_a_reading_that_fits_another_unit_is_asked_about(number: float, quantity: str, asked: str) -> None:
    with pytest.raises(HalewardError, match=asked):
        check_range(number, quantity=quantity)


def test_a_height_or_weight_in_the_wrong_unit_is_asked_about() -> None:
    with pytest.raises(HalewardError, match=r"Did you mean 1\.72 m \(172 cm\)\?"):
        parse_length_m("172 m")
    with pytest.raises(HalewardError, match=r"Did you mean 1\.72 m\?"):
        parse_length_m("1.72 cm")
    with pytest.raises(HalewardError, match=r"Did you mean 127 kg \(280 lb\)\?"):
        parse_mass_kg("280 kg")
    with pytest.raises(HalewardError, match=r"Did you mean 81\.6 kg \(180 lb\)\?"):
        check_body(1.65, 180)
    with pytest.raises(HalewardError, match=r"Did you mean 6\.99 mmol/L \(126 mg/dL\)\?"):
        parse_glucose_mmol("126", "mmol/L")


def test_a_reading_that_fits_no_unit_is_not_asked_about() -> None:
    with pytest.raises(HalewardError) as caught:
        check_range(500, quantity="spo2_pct")
    assert "Did you mean" not in str(caught.value)
    with pytest.raises(HalewardError) as caught:
        check_range(60, quantity="chair_stands")
    assert "Did you mean" not in str(caught.value)


def test_bottles_are_read_in_litres() -> None:
    assert parse_volume_l("1 L") == 1
    assert parse_volume_l("500 mL") == 0.5
    with pytest.raises(HalewardError, match="outside 200 to 3000 ml"):
        parse_volume_l("50 ml")


def test_glucose_in_the_other_unit_is_questioned_or_converted() -> None:
    assert parse_glucose_mmol("6.5", "mmol/L") == 6.5
    assert parse_glucose_mmol("126", "mg/dL") == pytest.approx(7.0, abs=0.01)  # 126 mg/dL is printed as 7.0 mmol/L
    with pytest.raises(HalewardError, match="126 looks like mg/dL"):
        parse_glucose_mmol("126", "mmol/L")
    with pytest.raises(HalewardError, match="outside 18 to 600 mg/dL"):
        parse_glucose_mmol("6.5", "mg/dL")
    with pytest.raises(HalewardError, match="no unit"):
        parse_glucose_mmol("6.5", "")


def test_the_upper_pressure_must_be_above_the_lower_one() -> None:
    assert check_blood_pressure(128, 76) == (128, 76)
    with pytest.raises(HalewardError, match=r"upper value \(76\) must be higher than the lower value \(128\)"):
        check_blood_pressure(76, 128)
    with pytest.raises(HalewardError, match="Upper blood pressure: 300 mmHg is outside 60 to 260"):
        check_blood_pressure(300, 80)


@pytest.mark.parametrize(
    "text", ["1951-05-04", "4 May 1951", "4th May 1951", "May 4, 1951", "4-May-1951", "4 may 1951", " 4 May 1951 "]
)
def test_dates_that_can_mean_one_day_are_read(text: str) -> None:
    assert parse_date(text, TODAY) == date(1951, 5, 4)


def test_figures_are_read_only_when_one_date_fits() -> None:
    assert parse_date("13/05/1951", TODAY) == date(1951, 5, 13)
    assert parse_date("05/13/1951", TODAY) == date(1951, 5, 13)
    assert parse_date("05.05.1951", TODAY) == date(1951, 5, 5)
    with pytest.raises(HalewardError, match=r'born: "04/05/1951" could be two dates.*for example 1951-05-04'):
        parse_date("04/05/1951", TODAY, field="born")


@pytest.mark.parametrize(
    "text", ["", "1955", "May 1955", "4 May 51", "31 June 1951", "1951-13-01", "4 Foo 1951", "next week"]
)
def test_what_is_no_full_date_is_asked_about(text: str) -> None:
    with pytest.raises(HalewardError, match="not a full date"):
        parse_date(text, TODAY)


def test_a_date_after_today_is_refused_unless_it_may_lie_ahead() -> None:
    with pytest.raises(HalewardError, match="2026-11-25 is in the future"):
        parse_date("25 November 2026", TODAY)
    assert parse_date("25 November 2026", TODAY, future_ok=True) == date(2026, 11, 25)


def test_a_birth_that_makes_no_plausible_age_is_questioned() -> None:
    assert check_birth(date(1951, 5, 4), TODAY) == date(1951, 5, 4)
    with pytest.raises(HalewardError, match="makes the person 126 years old"):
        check_birth(date(1900, 5, 4), TODAY)
    with pytest.raises(HalewardError, match="makes the person 0 years old"):
        check_birth(date(2026, 5, 4), TODAY)


def test_every_plausible_range_states_its_source() -> None:
    ranges = plausible_ranges()
    assert len(ranges) > 20
    assert all(limits.low < limits.high and limits.source for limits in ranges.values())


@given(st.text(max_size=40))
def test_no_text_gives_anything_but_a_plausible_value_or_a_sentence(text: str) -> None:
    readers = ((parse_length_m, "stature_m"), (parse_mass_kg, "mass_kg"), (parse_volume_l, "bottle_volume_l"))
    for parse, quantity in readers:
        with suppress(HalewardError):
            limits = plausible_ranges()[quantity]
            assert limits.low <= parse(text) <= limits.high


@given(st.dates(min_value=date(1900, 1, 1), max_value=TODAY))
def test_a_date_in_figures_is_never_read_as_another_day(day: date) -> None:
    for text in (f"{day.day}/{day.month}/{day.year}", f"{day.month}/{day.day}/{day.year}"):
        try:
            assert parse_date(text, TODAY) == day
        except HalewardError:
            assert day.day <= 12
            assert day.day != day.month


@given(st.text(max_size=30))
def test_no_text_gives_anything_but_a_date_or_a_sentence(text: str) -> None:
    with suppress(HalewardError):
        assert parse_date(text, TODAY) <= TODAY

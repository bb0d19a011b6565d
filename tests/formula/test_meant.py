"""A value that fits another unit in use is asked about, in one sentence; text with a unit is read."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haleward import units
from haleward.errors import OutOfRange
from haleward.formula import Limits, Range, question, read
from haleward.formula.other_units import OTHER_UNITS, speeds_beside
from tests.formula.arguments import FEW

BODY = Limits(1, 2.4, "m")


@pytest.mark.parametrize(
    ("value", "limits", "asked"),
    [
        (172, BODY, "Did you mean 1.72 m (172 cm)?"),
        (1720, BODY, "Did you mean 1.72 m (1720 mm)?"),
        (68, BODY, "Did you mean 1.73 m (68 in)?"),
        (5.8, BODY, "Did you mean 1.73 m (5 ft 8 in) or 1.77 m (5.8 ft)?"),
        (5.11, BODY, "Did you mean 1.8 m (5 ft 11 in) or 1.56 m (5.11 ft)?"),
        (5.12, BODY, "Did you mean 1.56 m (5.12 ft)?"),
        (6, BODY, "Did you mean 1.83 m (6 ft)?"),
        (90, Limits(0.4, 2, "m"), "Did you mean 0.9 m (90 cm)?"),
        (500, Limits(0.4, 5, "m"), "Did you mean 5 m (500 cm) or 0.5 m (500 mm)?"),
        (1500, Limits(0, 1000, "m"), "Did you mean 457 m (1500 ft)?"),
        (1050, Limits(0, 1000, "m"), "Did you mean 320 m (1050 ft) or 960 m (1050 yd)?"),
        (0.4, Limits(100, 1000, "m"), "Did you mean 400 m (0.4 km) or 644 m (0.4 miles)?"),
        (400, Limits(25, 300, "kg"), "Did you mean 181 kg (400 lb)?"),
        (12, Limits(25, 300, "kg"), "Did you mean 76.2 kg (12 stone)?"),
        (12.4, Limits(25, 300, "kg"), "Did you mean 78 kg (12 stone 4 lb) or 78.7 kg (12.4 stone)?"),
        (80000, Limits(25, 300, "kg"), "Did you mean 80 kg (80000 g)?"),
        (126, Limits(1, 33, "mmol/L", "glucose"), "Did you mean 6.99 mmol/L (126 mg/dL)?"),
        (200, Limits(1, 20, "mmol/L", "cholesterol"), "Did you mean 5.17 mmol/L (200 mg/dL)?"),
        (200, Limits(1, 20, "mmol/L"), ""),
        (7, Limits(20, 200, "mmol/mol"), "Did you mean 53 mmol/mol (7%)?"),
        (98.6, Limits(33, 42, "°C"), "Did you mean 37 °C (98.6 °F)?"),
        (98.6, Limits(33, 42, "deg C"), "Did you mean 37 deg C (98.6 °F)?"),
        (17, Limits(60, 260, "mmHg"), "Did you mean 128 mmHg (17 kPa) or 170 mmHg (17 cmHg)?"),
        (5, Limits(50, 100, "m/min"), "Did you mean 83.3 m/min (5 km/h)?"),
        (3, Limits(50, 100, "m/min"), "Did you mean 50 m/min (3 km/h) or 80.5 m/min (3 mph)?"),
        (1.3, Limits(50, 100, "m/min"), "Did you mean 78 m/min (1.3 m/s)?"),
        (60, Limits(0, 12, "km/h"), "Did you mean 3.6 km/h (60 m/min)?"),
        (13, Limits(20, 40, "km/h"), "Did you mean 20.9 km/h (13 mph)?"),
        (4, Limits(0.1, 1.5, "m/s"), "Did you mean 1.11 m/s (4 km/h)?"),
        (60, Limits(0, 1, "1"), "Did you mean 0.6 (60%)?"),
        (10, Limits(0, 0.4, "1"), "Did you mean 0.1 (10%)?"),
        (150, Limits(0, 2, "1"), "Did you mean 1.5 (150%)?"),
        (60, Limits(0, 10, "1"), ""),
        (0.55, Limits(5, 85, "%"), "Did you mean 55% (0.55 as a fraction)?"),
        (6, Limits(60, 3600, "s"), "Did you mean 360 s (6 min)?"),
        (2.3, Limits(60, 3600, "s"), "Did you mean 123 s (2 min 3 s) or 138 s (2.3 min)?"),
        (1800, Limits(1, 60, "min"), "Did you mean 30 min (1800 s)?"),
        (1.5, Limits(30, 180, "min"), "Did you mean 65 min (1 h 5 min) or 90 min (1.5 h)?"),
        (700, Limits(0, 400, "W"), "Did you mean 114 W (700 kg·m/min)?"),
        (100, Limits(150, 1200, "kg·m/min"), "Did you mean 612 kg·m/min (100 W)?"),
        (4184, Limits(0, 2000, "kcal"), "Did you mean 1000 kcal (4184 kJ)?"),
        (35, Limits(0.5, 25, "METs"), "Did you mean 10 METs (35 mL/kg/min)?"),
        (5, Limits(10, 90, "mL/kg/min"), "Did you mean 17.5 mL/kg/min (5 METs)?"),
        (500, Limits(0.2, 3, "L"), "Did you mean 0.5 L (500 mL)?"),
        (75, Limits(0.5, 3, "L"), "Did you mean 0.75 L (75 cL)?"),
        (2500, Limits(0, 6, "L/min"), "Did you mean 2.5 L/min (2500 mL/min)?"),
        (500, Limits(30, 230, "bpm"), ""),
        (-5.8, BODY, ""),
    ],
)
def test_a_value_that_fits_another_unit_is_asked_about(value: float, limits: Limits, asked: str) -> None:
    assert question(value, limits) == asked


@pytest.mark.parametrize(
    ("text", "limits", "value"),
    [
        ("1.72 m", BODY, 1.72),
        ("1,72", BODY, 1.72),
        ("1.72", BODY, 1.72),
        ("172 cm", BODY, 1.72),
        ("172CM", BODY, 1.72),
        ("5 ft 8 in", BODY, 1.7272),
        ("5 ft 8", BODY, 1.7272),
        ("5'8\"", BODY, 1.7272),
        ("68 inches", BODY, 1.7272),
        ("5 ft 0", BODY, 1.524),
        ("12 st 4 lb", Limits(25, 300, "kg"), 172 * 0.45359237),
        ("12 stone", Limits(25, 300, "kg"), 168 * 0.45359237),
        ("60%", Limits(0, 1, "1"), 0.6),
        ("98.6 F", Limits(33, 42, "°C"), 37),
        ("2 min 30 s", Limits(1, 600, "s"), 150),
        ("4 mph", Limits(0, 200, "m/min"), 107.2896),
        ("62 BPM", Limits(30, 130, "bpm"), 62),
    ],
)
def test_text_with_a_unit_is_read(text: str, limits: Limits, value: float) -> None:
    assert read(text, limits) == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(
    "text",
    ["", "tall", "172", "172 m", "5 ft 12", "5 ft 8 cm", "5 ft 8 in 3", "172 cm maybe", "about 172 cm", "8 in",
     "-1.72 m", "1.72 m 5 cm", "70 kg"],
)  # fmt: skip
def test_text_that_states_no_length_of_a_body_is_not_read(text: str) -> None:
    assert read(text, BODY) is None


def test_a_range_asks_in_the_sentence_that_refuses() -> None:
    with pytest.raises(OutOfRange) as caught:
        Range(1, 2.4, "m", "Stature").check(172)
    assert str(caught.value) == "Stature is 172 m; it must be from 1 to 2.4 m. Did you mean 1.72 m (172 cm)?"
    assert caught.value.question == "Did you mean 1.72 m (172 cm)?"


def test_a_substance_is_known_by_its_label_or_by_its_name() -> None:
    assert Range(1, 33, "mmol/L", "Blood glucose").limits.quantity == "glucose"
    assert Range(1, 20, "mmol/L", "LDL", quantity="cholesterol").limits.quantity == "cholesterol"
    assert Range(1, 20, "mmol/L", "Potassium").limits.quantity == ""


@FEW
@given(feet=st.integers(4, 6), inches=st.integers(0, 11))
def test_feet_and_inches_are_read_as_the_conversion_says(feet: int, inches: int) -> None:
    expected = units.m_from_ft(length_ft=feet, length_in=inches)
    assert read(f"{feet} ft {inches} in", BODY) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("unit", sorted(OTHER_UNITS))
def test_no_other_unit_is_the_unit_itself(unit: tuple[str, str]) -> None:
    for other in OTHER_UNITS[unit]:
        assert unit[0] not in other.words
        assert other.to_own(7) != pytest.approx(7)
        assert other.factor > 0


@pytest.mark.parametrize("own", ["m/min", "km/h", "m/s"])
def test_speeds_are_seen_from_each_other_by_the_conversions(own: str) -> None:
    m_per_min = {"m/min": 1, "km/h": 1000 / 60, "m/s": 60, "mph": 1609.344 / 60}
    beside = {other.words[0]: other.to_own(1) for other in speeds_beside(own)}
    assert beside == pytest.approx({unit: size / m_per_min[own] for unit, size in m_per_min.items() if unit != own})


def test_what_stands_around_the_pieces_may_only_be_a_comma_or_a_space() -> None:
    assert read(" 5 ft, 8 in ", BODY) == pytest.approx(1.7272)
    assert read("5 ft; 8 in", BODY) is None
    assert read("5 ft X 8 in", BODY) is None


def test_a_quantity_without_a_unit_is_asked_about_without_one() -> None:
    assert question(60, Limits(0, 1, "")) == "Did you mean 0.6 (60%)?"

"""METs by code and year: never one without the other, never two years together."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haleward.capacity.mets import (
    YEARS,
    cautions,
    energy_of,
    entries,
    entry,
    met_minutes_of,
    search,
    total_met_minutes,
)
from haleward.errors import HalewardError, Inconsistent
from tests.formula.arguments import FEW

WALK_2024 = entry(code="17190", year=2024)
ENTRIES = st.sampled_from(entries())


def test_the_table_holds_115_entries_each_once_with_source_and_trust() -> None:
    assert len(entries()) == 115
    assert len({(one.code, one.year) for one in entries()}) == 115
    assert [sum(one.year == year for one in entries()) for year in YEARS] == [40, 75]
    for one in entries():
        assert len(one.code) == 5
        assert one.code.isdigit()
        assert 1 <= one.energy_met <= 9.9
        assert one.activity == one.activity.strip() != ""
        assert one.trust == "seen second-hand"
        assert str(one.year) in one.source


def test_every_entry_is_found_by_code_and_year_and_by_its_words() -> None:
    for one in entries():
        assert entry(code=one.code, year=one.year) is one
        assert one in search(one.activity.upper(), year=one.year)
        assert one in search(one.activity.split()[-1])


def test_a_code_without_its_year_is_not_another_years_value() -> None:
    with pytest.raises(HalewardError, match="no activity '01214' in the table of 2011; there is one of 2024, which is"):
        entry(code="01214", year=2011)
    with pytest.raises(HalewardError, match=r"no activity '99999' in the table of 2024\.$"):
        entry(code="99999", year=2024)


def test_a_search_says_the_year_of_each() -> None:
    found = search("driving car")
    assert [(one.code, one.year, one.energy_met) for one in found] == [("16010", 2024, 2.0), ("16010", 2011, 2.5)]
    assert search("driving", year=2011) == found[1:]
    assert search("nothing of this kind") == ()


def test_the_age_of_the_table_is_told() -> None:
    assert "at 70 years its METs are approximate" in cautions(WALK_2024, age_y=70)[-1]
    assert "no age is given" in cautions(WALK_2024, age_y=None)[-1]
    assert len(cautions(WALK_2024, age_y=40)) == 2
    assert len(cautions(entry(code="17190", year=2011), age_y=70)) == 2
    assert cautions(WALK_2024, age_y=40)[0].startswith("The value is that of the 2024 table")


def test_energy_and_minutes_carry_code_year_and_cautions() -> None:
    sheet = energy_of(WALK_2024, mass_kg=80, duration_min=30, age_y=70)
    assert sheet.figure is not None
    assert sheet.figure.value == pytest.approx(3.8 * 3.5 * 80 / 200 * 30)
    assert sheet.title == "Energy used, from oxygen: walking 2.8-3.4 mph, level, moderate"
    assert sheet.steps[0].inputs[0].origin.startswith("17190 of 2024: Herrmann et al. 2024")
    assert any("ages 19 to 59" in text for text in sheet.cautions)
    minutes = met_minutes_of(WALK_2024, duration_min=30)
    assert minutes.figure is not None
    assert minutes.figure.value == pytest.approx(114)


def test_years_are_never_added() -> None:
    with pytest.raises(Inconsistent, match="2011 and 2024 cannot be added"):
        total_met_minutes([(WALK_2024, 10), (entry(code="17190", year=2011), 10)])
    assert total_met_minutes([]).value == 0


@FEW
@given(one=ENTRIES, minutes=st.floats(0, 700), more=st.floats(0, 700))
def test_minutes_add_up(one: object, minutes: float, more: float) -> None:
    parts = total_met_minutes([(one, minutes), (one, more)])  # type: ignore[list-item]
    whole = total_met_minutes([(one, minutes + more)])  # type: ignore[list-item]
    assert parts.value == pytest.approx(whole.value, abs=1e-9)
    assert parts.unit == "MET·min"

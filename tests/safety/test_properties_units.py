"""The unit that was typed never changes the answer, at the limits least of all."""

from datetime import UTC, date, datetime

import pytest
from django.core.exceptions import ValidationError
from hypothesis import given
from hypothesis import strategies as st

from haleward.exchange.guards import parse_mass_kg
from haleward.record import DayCheck, Record
from haleward.safety.facts import facts_of
from haleward.safety.gate import session_gate
from haleward.units import GLUCOSE_MG_PER_DL_PER_MMOL_PER_L, KG_PER_LB
from haleward.web.assessment.fields import Glucose, Measured, WithUnit
from tests.safety.people import HALL
from tests.safety.space import PROTOCOLS, limits

GLUCOSE_LIMITS = sorted(limit for limit in limits("glucose_mmol") if 1 < limit < 33)
COUNTRIES = st.sampled_from(sorted(PROTOCOLS))
TODAY = date(2026, 11, 25)


def outcome(country, **facts):
    gate = session_gate({**HALL, "insulin_or_su": True, "hypo_severe_24h": False, **facts}, PROTOCOLS[country])
    return gate.outcome, gate.urgency, tuple(one.rule_id for one in gate.fired)


@given(st.sampled_from(GLUCOSE_LIMITS), st.sampled_from([-0.1, 0, 0.1]), COUNTRIES)
def test_the_unit_that_was_typed_never_changes_the_answer(limit, step, country):
    mmol = round(limit + step, 3)
    typed = Glucose().clean([f"{mmol:g}", "mmol/L"])
    other = Glucose().clean([f"{mmol * GLUCOSE_MG_PER_DL_PER_MMOL_PER_L:.4f}", "mg/dL"])
    assert typed == mmol
    assert other == pytest.approx(mmol, abs=1e-4)
    assert outcome(country, glucose_mmol=other) == outcome(country, glucose_mmol=typed)


@given(st.integers(600, 1200), st.sampled_from([1.7, 1.8, 1.9, 1.999, 2.0, 2.1]), COUNTRIES)
def test_a_weight_gain_is_the_same_in_pounds_and_in_kilograms(tenths, gain, country):
    def gained(unit, per_unit):
        field = WithUnit(label="Weight", quantity="mass_kg", unit="kg", units="")
        before, now = (field.clean(f"{mass / per_unit:.4f} {unit}") for mass in (tenths / 10, tenths / 10 + gain))
        answers = {"weight_earlier_kg": before, "weight_today_kg": now}
        check = DayCheck(datetime(2026, 11, 25, 9, tzinfo=UTC), answers)
        return facts_of(Record("p", "Ana", TODAY), today=TODAY, day_check=check)["weight_gain_kg_3d"]

    kilograms, pounds = gained("kg", 1), gained("lb", KG_PER_LB)
    assert pounds == kilograms
    assert outcome(country, weight_gain_kg_3d=pounds) == outcome(country, weight_gain_kg_3d=kilograms)


@given(st.floats(91.4, 107.6))
def test_a_temperature_in_fahrenheit_is_asked_about(fahrenheit):
    with pytest.raises(ValidationError, match="33 to 42"):
        Measured(label="Temperature", quantity="temp_c").clean(f"{fahrenheit:.1f}")


@given(st.integers(40, 600))
def test_milligrams_in_the_box_for_millimoles_are_asked_about(typed):
    with pytest.raises(ValidationError):
        Glucose().clean([str(typed), "mmol/L"])
    with pytest.raises(ValidationError):
        Glucose().clean([str(typed), ""])


def test_a_mass_without_its_unit_is_asked_about():
    with pytest.raises(Exception, match="unit"):
        parse_mass_kg("178")

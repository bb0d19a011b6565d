"""Arguments as typed: one equals sign parts name and value, and only plain numbers are numbers."""

from __future__ import annotations

import pytest

from haleward.errors import HalewardError
from haleward.formula import Limits, number_of, parse_arguments
from haleward.units import rounded


def test_the_first_equals_sign_parts_name_and_value() -> None:
    assert parse_arguments(["a=b=c"]) == {"a": "b=c"}


@pytest.mark.parametrize("text", ["1e2", "1E2", "+100", "100.", "1.0e+2"])
def test_a_number_with_an_exponent_or_sign_is_plain(text: str) -> None:
    assert number_of("x", text) == 100


def test_a_fraction_with_its_unit_is_asked_about_without_a_unit() -> None:
    with pytest.raises(HalewardError) as caught:
        number_of("fraction", "60%", Limits(0, 1, "1"))
    assert str(caught.value) == "fraction=60% is not a plain number; did you mean fraction=0.6, that is 0.6?"


def test_an_unknown_unit_is_answered_with_the_known_ones() -> None:
    with pytest.raises(HalewardError, match=r"the known units are 1, %, bpm, mmHg, "):
        rounded(1, "furlong")

"""The lowest limit wins, a conflict is told, and a range is never turned round."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haleward.errors import OutOfRange
from haleward.physiology.ceilings import combine_ceilings
from tests.formula.arguments import FEW

RATE = st.floats(40, 220)


@FEW
@given(low=RATE, high=RATE, limits=st.lists(RATE, max_size=4))
def test_the_lowest_wins_and_no_range_is_turned_round(low: float, high: float, limits: list[float]) -> None:
    found = combine_ceilings(low_bpm=low, high_bpm=high, limits_bpm=limits)
    assert found.upper_bpm == min([high, *limits])
    assert found.limited == (found.upper_bpm < high)
    if found.conflict:
        assert (found.low_bpm, found.high_bpm) == (None, None)
        assert math.floor(found.upper_bpm) < math.ceil(low)
    else:
        assert found.low_bpm is not None
        assert found.high_bpm is not None
        assert low == found.low_bpm <= found.high_bpm <= high
        assert all(found.high_bpm <= limit for limit in limits)


@FEW
@given(low=RATE, high=RATE, limits=st.lists(RATE, min_size=1, max_size=4), further=RATE)
def test_a_further_limit_never_raises_the_top(low: float, high: float, limits: list[float], further: float) -> None:
    before = combine_ceilings(low_bpm=low, high_bpm=high, limits_bpm=limits)
    after = combine_ceilings(low_bpm=low, high_bpm=high, limits_bpm=[*limits, further])
    assert after.upper_bpm <= before.upper_bpm
    assert after.conflict or not before.conflict


def test_a_limit_that_is_no_heart_rate_is_refused() -> None:
    with pytest.raises(OutOfRange, match="Limit on heart rate is 400 bpm"):
        combine_ceilings(low_bpm=80, high_bpm=110, limits_bpm=[400])

"""Holes and overlaps of bands: told where one should begin where the other ends, silent where bands are meant so."""

import pytest

from haleward.safety.analysis.bands import _holes, _overlaps
from haleward.safety.analysis.branches import branches
from haleward.safety.analysis.intervals import bands_of, empty


def hr(**limits):
    return {"input": "hr_rest", **limits, "unit": "bpm"}


def bands(*conditions):
    return [band for place, condition in enumerate(conditions) for band in bands_of(f"R{place}", condition)]


def gap(*conditions, shared=False):
    return [one.sentence for one in _holes("rule", bands(*conditions), shared=shared)]


def overlap(*conditions):
    return [one.sentence for one in _overlaps("rule", bands(*conditions))]


def test_bands_that_meet_have_neither_gap_nor_overlap():
    for first, second in ((hr(under=50), hr(at_least=50)), (hr(at_most=50), hr(over=50, at_most=60))):
        assert gap(first, second, shared=True) == []
        assert overlap(first, second) == []


def test_a_boundary_that_falls_in_no_band_is_a_gap_of_one_point():
    assert "resting heart rate of exactly 50 bpm falls in neither" in gap(hr(under=50), hr(over=50))[0]


def test_a_hole_narrower_than_the_band_beside_it_is_told():
    assert "from 50 bpm to under 55 bpm" in gap(hr(under=50), hr(at_least=55, under=70))[0]


def test_the_normal_range_between_two_limits_is_no_gap():
    assert gap(hr(under=40), hr(over=100, at_most=120)) == []


def test_where_bands_share_a_number_out_every_hole_is_told():
    assert len(gap(hr(under=40), hr(over=100), shared=True)) == 1


def test_a_band_within_another_hides_no_hole_and_is_no_overlap():
    nested = (hr(under=60), hr(at_least=40, under=50), hr(at_least=60))
    assert gap(*nested, shared=True) == []
    assert overlap(*nested) == []


def test_an_overlap_is_told_with_what_falls_in_both():
    assert "of exactly 50 bpm falls in both" in overlap(hr(at_most=50), hr(at_least=50, under=60))[0]
    assert "from 45 bpm to 50 bpm falls in both" in overlap(hr(under=50), hr(at_least=45, under=60))[0]


def test_whole_numbers_have_no_hole_between_one_and_the_next():
    counted = [
        {"input": "falls_12m", "at_most": 1, "unit": "count"},
        {"input": "falls_12m", "at_least": 2, "unit": "count"},
    ]
    assert gap(*counted, shared=True) == []
    assert len(gap(counted[0], {**counted[1], "at_least": 3}, shared=True)) == 1


def test_limits_against_another_input_are_compared_on_their_own_scale():
    def near(over, at_most=None):
        limits = {"over": {"input": "icd_detect_bpm", "plus": over}}
        if at_most is not None:
            limits["at_most"] = {"input": "icd_detect_bpm", "plus": at_most}
        return {"input": "hr_ex", **limits, "unit": "bpm"}

    assert gap(near(-20, -10), near(-10)) == []
    told = gap(near(-20, -12), near(-10))
    assert (
        "over lowest detection rate of the device minus 12 to lowest detection rate of the device minus 10" in told[0]
    )


@pytest.mark.parametrize(
    ("limits", "whole", "is_empty"),
    [
        ((1, True, 1, True), False, False),
        ((1, True, 1, False), False, True),
        ((1, False, 2, False), False, False),
        ((1, False, 2, False), True, True),
        ((1, False, 2, True), True, False),
        ((0.5, False, 0.9, True), True, True),
        ((2, True, 1, True), False, True),
    ],
)
def test_an_interval_is_empty_when_no_number_lies_in_it(limits, whole, is_empty):
    assert empty(*limits, whole=whole) is is_empty


def test_a_condition_falls_into_its_branches():
    one, two, three = hr(over=1), hr(over=2), hr(over=3)
    assert branches({"any": [one, {"all": [two, {"any": [one, three]}]}]}) == (
        one,
        {"all": [two, one]},
        {"all": [two, three]},
    )
    many = {"all": [{"any": [one, two]}] * 12}
    assert branches(many) == (many,)

"""Doses and loads in words that need no sum."""

from datetime import date

import pytest

from haleward.dose.model import Load
from haleward.errors import HalewardError
from haleward.session.words import date_words, dose_words, load_words, mass_words
from haleward.wording import default_wording
from tests.session.samples import dose

WORDING = default_wording()


@pytest.mark.parametrize(
    ("mass_kg", "words"), [(0.25, "250 grams"), (0.5, "500 grams"), (1.0, "1 kilogram"), (1.5, "1.5 kilograms")]
)
def test_a_mass_is_said_without_fractions_below_a_kilogram(mass_kg, words):
    assert mass_words(mass_kg, WORDING) == words


@pytest.mark.parametrize(
    ("changes", "each_side", "words"),
    [
        ({"sets": 2}, False, "2 sets of 10"),
        ({"sets": 1}, True, "One set of 10 on each side"),
        ({"sets": 2, "repetitions": 1, "hold_s": 10.0}, True, "2 holds of 10 seconds on each side"),
        ({"sets": 1, "repetitions": 1, "hold_s": 7.5}, False, "One hold of 7.5 seconds"),
    ],
)
def test_a_dose_is_sets_and_repetitions_or_holds(changes, each_side, words):
    assert dose_words(dose(**changes), each_side=each_side, wording=WORDING) == words


@pytest.mark.parametrize(
    ("load", "held", "words"),
    [
        (Load("own_weight"), "", "Your own weight"),
        (Load("bottle", mass_kg=0.5), "each_hand", "500 grams in each hand"),
        (
            Load("bottle", mass_kg=0.75, fill_ml=750),
            "each_hand",
            "750 grams in each hand. Fill it up to 750 millilitres",
        ),
        (Load("hand_weight", mass_kg=2.0), "working_hand", "2 kilograms in one hand"),
        (Load("hand_weight", mass_kg=2.0), "both_hands", "2 kilograms held in both hands"),
        (Load("ankle_weight", mass_kg=1.0), "each_ankle", "1 kilogram on each ankle"),
        (Load("band", band="long flat band", hold_length_m=0.514), "", "Hold your long flat band at 52 centimetres"),
    ],
)
def test_a_load_says_what_to_hold_and_where(load, held, words):
    assert load_words(load, held=held, wording=WORDING) == words


@pytest.mark.parametrize(
    ("drawn", "words"),
    [
        ("band_under_feet", "Hold your flat band 41 centimetres from your foot"),
        ("band_under_seat", "Hold your flat band 41 centimetres from the edge of the seat"),
        ("band_above", "Hold your flat band 41 centimetres from where it is fixed"),
        ("band_between", "Hold your flat band with your hands 41 centimetres apart"),
        ("band_behind", "Hold your flat band with 41 centimetres of band between your hands"),
        ("band_ankles", "Tie your flat band in a loop that is 41 centimetres long when it lies flat"),
    ],
)
def test_a_bands_length_is_told_as_a_distance_to_measure_never_the_harder_centimetre(drawn, words):
    load = Load("band", band="flat band", hold_length_m=0.4001)
    assert load_words(load, held="", wording=WORDING, drawn=drawn) == words


def test_a_band_without_its_length_is_an_error():
    with pytest.raises(HalewardError, match='"flat band" has no length to hold'):
        load_words(Load("band", band="flat band"), held="", wording=WORDING)


def test_a_date_names_its_month():
    assert date_words(date(2026, 5, 3)) == "3 May 2026"

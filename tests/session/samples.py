"""Invented people, programmes and a service for the tests of session, page and booklet."""

from dataclasses import replace
from datetime import date
from types import SimpleNamespace

from haleward.dose.model import Dose, Exercise, Load, Part, Programme, Walking
from haleward.record import Record
from haleward.wording import Service

TODAY = date(2026, 2, 4)
SERVICE = Service(
    "Tarn Valley heart recovery team",
    {
        "emergency_number": "999",
        "nurse_line": "the heart nurses on 01632 960001",
        "team_phone": "01632 960000",
        "urgent_line": "111",
        "device_clinic": "the device clinic on 01632 960002",
        "diabetes_team": "the diabetes team on 01632 960003",
        "pump_centre": "01632 960004",
        "out_of_hours_line": "111",
        "hours": "office hours",
        "next_open": "nine on Monday",
        "meal_wait": "one hour",
        "shower_wait": "20 minutes",
        "sit_minutes": "15",
        "sore_days": "5",
        "nitrate_name": "spray",
        "nitrate_steps": "One spray under the tongue. Wait five minutes. Use a second spray.",
        "nitrate_wait": "five minutes",
        "nitrate_doses": "two",
        "chest_pain_minutes": "15",
        "erection_gap": "two days",
        "fast_sugar": "a small glass of juice",
        "sugar_recheck": "15",
        "sugar_low": "4",
        "sugar_high": "15",
        "bleed_minutes": "ten",
        "weight_gain": "2 kilograms",
        "weight_days": "3",
        "illness_wait": "two days",
        "home_address": "your home address",
        "relay_route": "the text relay",
        "bp_limit": "180 over 100",
        "hr_high": "100",
        "hr_low": "40",
        "hr_ceiling": "118",
    },
)
RECORD = Record(
    "ada-1",
    "Ada",
    date(2026, 2, 3),
    stature_m=1.62,
    mass_kg=71.0,
    goal="walk to the shops",
    nitrate_prescribed=True,
    fluid_limited=False,
)


def protocol(*, effort_scale="0-10"):
    """The parts of a protocol that the session needs."""
    intensity = SimpleNamespace(effort_scale=effort_scale, effort_low=2.0, effort_high=4.0)
    return SimpleNamespace(
        id="default", version="1", wording_values={}, settings={}, policies=SimpleNamespace(intensity=intensity)
    )


def unframed(protocol):
    """A protocol without warm-up and cool-down, for tests that begin with the first movement."""
    framing = ("warm_up_minutes", "cool_down_minutes")
    return replace(protocol, settings={name: each for name, each in protocol.settings.items() if name not in framing})


def dose(**changes):
    """Two sets of ten with the own weight, unless changed."""
    usual = {
        "sets": 2,
        "repetitions": 10,
        "load": Load("own_weight"),
        "out_s": 2.0,
        "pause_s": 0.0,
        "back_s": 3.0,
        "rest_s": 90,
    }
    return Dose(**{**usual, **changes})


def exercise(movement_id="biceps_curl", posture="seated", *, each_side=False, region="pull", **changes):
    """One line of a programme."""
    return Exercise(movement_id, posture, dose(**changes), each_side, region)


BALANCED = (
    exercise(load=Load("bottle", mass_kg=1.0)),
    exercise("wall_press", "standing", region="push", out_s=3.0, back_s=2.0),
    exercise("side_leg_raise", "hand_supported", each_side=True, region="hip"),
    exercise("single_leg_stance", "hand_supported", each_side=True, region="balance", repetitions=1, hold_s=10.0),
)


def programme(*exercises, walking=None):
    """A signed programme with one strength part."""
    return Programme(
        "ada-1",
        3,
        date(2026, 2, 3),
        "default",
        "1",
        (Part("one", ("monday", "thursday"), exercises or BALANCED),),
        walking or Walking(("tuesday", "friday"), 2, 10, 2),
        (),
        3.0,
        5.0,
    )

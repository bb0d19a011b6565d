"""The parts of the assessment form about body, function, home and aims."""

from __future__ import annotations

import csv
from datetime import date
from functools import cache
from importlib.resources import files
from typing import Any

from django import forms

from haleward.exchange.guards import check_body, parse_length_m, parse_number
from haleward.movement.band_fit import BandFit, Reading, fit_band, measure_again_on
from haleward.web.assessment.fields import (
    DIGITS,
    Choice,
    Day,
    Masses,
    Measured,
    StepHeight,
    WithUnit,
    YesNo,
    guarded,
)
from haleward.web.assessment.forms import InBlocks

DAYS = tuple(
    (day, day.capitalize()) for day in ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
)


class BodyForm(forms.Form):
    """Height and weight, with their units."""

    stature_m = WithUnit(label="Height", quantity="stature_m", unit="m", units="172 cm or 5 ft 8 in")
    mass_kg = WithUnit(label="Weight", quantity="mass_kg", unit="kg", units="81 kg, 12 st 10 lb or 178 lb")

    def clean(self) -> dict[str, Any]:
        """A weight that does not go with the height is most often in another unit."""
        data = super().clean() or {}
        if data.get("stature_m") and data.get("mass_kg"):
            try:
                guarded(lambda: check_body(data["stature_m"], data["mass_kg"]))
            except forms.ValidationError as error:
                self.add_error("mass_kg", error)
        return data


class FunctionForm(InBlocks):
    """Posture and function tests, and pain."""

    BLOCKS = (
        ("", ("pain",)),
        (
            "Rising and walking",
            ("tested_on", "rises_without_arms", "chair_stands_30s", "gait_speed_m_per_s", "up_and_go_s"),
        ),
        ("Standing balance", ("side_by_side_s", "semi_tandem_s", "tandem_s", "sppb_points")),
    )

    tested_on = Day(label="Tested on")
    rises_without_arms = YesNo(label="Rises from a chair without using the arms")
    chair_stands_30s = Measured(label="Chair stands in 30 seconds", quantity="chair_stands", whole=True)
    side_by_side_s = Measured(label="Feet side by side, held", quantity="stance_s")
    semi_tandem_s = Measured(label="Half a foot ahead (semi-tandem), held", quantity="stance_s")
    tandem_s = Measured(label="Heel to toe (tandem), held", quantity="stance_s")
    gait_speed_m_per_s = Measured(label="Usual walking speed", quantity="gait_speed_m_per_s")
    up_and_go_s = Measured(label="Timed up and go", quantity="up_and_go_s")
    sppb_points = Measured(label="Short physical performance battery, points of 12", quantity="sppb_points", whole=True)
    pain = forms.CharField(
        label="Pain: where, and with which movement",
        max_length=200,
        required=False,
        help_text="Write none if you asked and there is none.",
    )


ROOM_CHOICES = (
    ("", "not asked"),
    ("seat", "for a chair only"),
    ("arms_out", "to stand and stretch the arms out"),
    ("few_steps", "to walk a few steps"),
)


class KitForm(InBlocks):
    """What the person has at home; an empty box means not asked."""

    BLOCKS = (
        ("Weights", ("hand_weight_pairs_kg", "bottle_pairs_kg", "ankle_weight_pairs_kg")),
        ("Furniture and space", ("firm_chair", "armchair", "worktop", "clear_wall", "door_anchor")),
        ("", ("step_height_m", "room", "space", "no_bands")),
    )

    hand_weight_pairs_kg = Masses(
        label="Pairs of hand weights, one weight of each", help_text="For example: 1 kg, 2 kg. Or none."
    )
    bottle_pairs_kg = Masses(
        label="Pairs of bottles, filled",
        help_text="Size or weight of one: 500 ml, 1 L, 1.05 kg. A litre of water counts as 1 kg. Or none.",
        bottles=True,
    )
    ankle_weight_pairs_kg = Masses(label="Pairs of ankle weights, one of each", help_text="For example: 1 kg. Or none.")
    firm_chair = YesNo(label="Firm chair that can stand against a wall")
    armchair = YesNo(label="Chair with arms")
    worktop = YesNo(label="Worktop or heavy table to hold")
    clear_wall = YesNo(label="Clear wall")
    door_anchor = YesNo(label="Door anchor for a band")
    step_height_m = StepHeight()
    room = forms.TypedChoiceField(
        label="Free room to exercise in", required=False, choices=ROOM_CHOICES, coerce=str, empty_value=None
    )
    space = forms.CharField(
        label="About the space", max_length=120, required=False, help_text="For example: two steps each way, no rugs."
    )
    no_bands = forms.BooleanField(label="Asked: has no bands", required=False)


class BandRow(forms.Form):
    """A measured band: three readings on a luggage scale, or the stiffness they gave."""

    name = forms.CharField(label="What it looks like", max_length=40)
    rest_length = forms.CharField(label="Whole length, not stretched", max_length=20, help_text="For example: 1.5 m.")
    marks = forms.CharField(
        label="Between two marks, not stretched",
        max_length=20,
        required=False,
        help_text="For example: 50 cm. Stretch the band three times first.",
    )
    readings = forms.CharField(
        label="Three scale readings",
        max_length=80,
        required=False,
        help_text="Length between the marks and what the scale shows after 3 seconds: "
        "75 cm at 2.1, 100 cm at 3.5, 125 cm at 4.7.",
    )
    stiffness_n = Measured(label="Or its stiffness, if known", quantity="band_stiffness_n")
    measured_on = Day(label="Measured on")
    latex = YesNo(label="Made of latex")
    latex_ok = YesNo(label="Rubber is safe for this person's skin")
    can_grip = YesNo(label="The person can hold its ends")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["readings"].help_text += f" {band_told(self.initial.get('misfit'), None)}"
        self.fields["measured_on"].help_text = band_told(None, self.initial.get("measured_on"))

    def clean_rest_length(self) -> float:
        """Metres."""
        text = self.cleaned_data["rest_length"]
        return guarded(lambda: round(parse_length_m(text, field="Band length", quantity="band_length_m"), DIGITS))

    def clean_marks(self) -> float | None:
        """Metres."""
        text = self.cleaned_data["marks"]
        return guarded(lambda: parse_length_m(text, field="Marks", quantity="band_marks_m")) if text else None

    def clean_readings(self) -> BandFit | None:
        """The fit of the readings."""
        text = self.cleaned_data["readings"]
        return guarded(lambda: fit_band(read_readings(text, self.cleaned_data.get("marks")))) if text else None

    def clean(self) -> dict[str, Any]:
        """Either the stiffness or the readings that give it."""
        data = super().clean() or {}
        fit = data.get("readings")
        given = [data.get("stiffness_n"), fit]
        if "name" in data and not {"stiffness_n", "readings", "marks"} & set(self.errors) and given.count(None) != 1:
            self.add_error("stiffness_n", "Enter the stiffness in newtons, or the three scale readings, not both.")
        data["readings"], data["misfit"] = (), None
        if fit is not None:
            data["stiffness_n"] = round(fit.stiffness_n, DIGITS)
            data["readings"] = tuple((one.stretch, one.kilograms) for one in fit.readings)
            data["misfit"] = round(fit.worst_misfit, DIGITS)
        return data


def read_readings(text: str, marks_m: float | None) -> tuple[Reading, ...]:
    """ "75 cm at 2.1, 100 cm at 3.5": with the marks' own length; without it "1.5 at 2.1" is already a stretch."""
    pairs = [item.split("at") for item in text.replace(";", ",").split(",") if item.strip()]
    if any(len(pair) != 2 for pair in pairs):
        raise forms.ValidationError(f'Scale readings: "{text}" cannot be read. Write them like 75 cm at 2.1.')
    return tuple(Reading(_stretch(long.strip(), marks_m), _kilograms(shown)) for long, shown in pairs)


def _stretch(text: str, marks_m: float | None) -> float:
    if text[-1:].isdigit() and marks_m is None:
        return parse_number(text, field="Scale reading", example="75 cm at 2.1")
    if marks_m is None:
        raise forms.ValidationError("Scale readings: enter the length between the two marks, not stretched, as well.")
    return round(parse_length_m(text, field="Scale reading", quantity="band_length_m") / marks_m, DIGITS)


def _kilograms(text: str) -> float:
    return parse_number(text.strip().removesuffix("kg").strip(), field="Scale reading", example="75 cm at 2.1")


def band_told(misfit: float | None, measured_on: date | None) -> str:
    """How well the readings agree and when the band has to be measured again, in sentences; "" for neither."""
    found = []
    if misfit is not None:
        found.append(f"The three readings agree within {max(100 * misfit, 1):.0f} %.")
    if measured_on is not None:
        again = measure_again_on(measured_on)
        found.append(f"Measure it again by {again.day} {again:%B %Y}.")
    return " ".join(found)


class PlanForm(forms.Form):
    """What the person wants and when they can exercise."""

    goal = forms.CharField(label="Goal, in the person's own words", max_length=300, required=False)
    new_to_exercise = YesNo(label="New to this kind of exercise")
    exercise_days = forms.MultipleChoiceField(
        label="Days on which the person can exercise",
        choices=DAYS,
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )


class WalkForm(forms.Form):
    """One field walk test as walked."""

    KINDS = (("six_minute_walk", "six-minute walk"), ("shuttle_walk", "incremental shuttle walk"))
    kind = Choice(label="Test", choices=KINDS, unknown="no walk test yet")
    distance_m = Measured(label="Distance walked", quantity="walk_distance_m")
    tested_on = Day(label="Walked on")
    course_m = Measured(label="Length of the course", quantity="course_m")
    practice_done = YesNo(label="Practice walk done before")
    peak_bpm = Measured(label="Highest heart rate", quantity="rate_bpm")
    peak_effort = Measured(label="Effort at the end, on the protocol's scale", quantity="effort")
    stopped_for = Choice(label="Reason for stopping", choices=())
    aid = forms.CharField(label="Walking aid", max_length=60, required=False)
    symptoms = YesNo(label="Symptoms during the test")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["stopped_for"].choices = [("", "not known"), *stop_reasons()]  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        """A test needs its kind, distance and day; without a test nothing else is kept."""
        data = super().clean() or {}
        if not data.get("kind"):
            if any(value not in ("", None) for value in data.values()) and "kind" not in self.errors:
                self.add_error("kind", "Details of a test are entered. Choose which test it was, or empty them.")
            return data
        for name, what in (("distance_m", "the distance walked"), ("tested_on", "the day of the test")):
            if data.get(name) is None and name not in self.errors:
                self.add_error(name, f"Enter {what}.")
        return data


@cache
def stop_reasons() -> tuple[tuple[str, str], ...]:
    """Codes and labels of data/tables/walk_stop_reasons.csv."""
    text = files("haleward").joinpath("data", "tables", "walk_stop_reasons.csv").read_text(encoding="utf-8")
    return tuple((row["code"], row["label"]) for row in csv.DictReader(text.splitlines()))

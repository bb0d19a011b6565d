"""The forms of the Reckoner, made from the tests' own data and from the formulas' own ranges."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from django import forms

from haleward.capacity.field_tests import About, FieldInput, FieldTest, Part, evaluate
from haleward.capacity.mets import YEARS, MetEntry, energy_of, met_minutes_of, search
from haleward.errors import HalewardError
from haleward.formula import Formula
from haleward.web.reckoner.fields import argument_for, field_for
from haleward.worksheet import Worksheet

BOUT_FIELDS = {
    "minutes": FieldInput("minutes", "Minutes", "number", "", 1, 600),
    "mass_kg": FieldInput("mass_kg", "Weight", "mass"),
    "age_y": FieldInput("age_y", "Age", "number", "years", 16, 110),
}


class TestForm(forms.Form):
    """What was measured in one test, and what is known about the person."""

    def __init__(self, test: FieldTest, data: Mapping[str, Any] | None = None) -> None:
        super().__init__(data)
        self.test = test
        self.fields = {one.name: field_for(one) for one in test.inputs}

    def measured(self) -> list[forms.BoundField]:
        """The boxes of what is measured."""
        return [self[one.name] for one in self.test.fields]

    def about(self) -> list[forms.BoundField]:
        """The boxes about the person."""
        return [self[one.name] for one in self.test.about]

    def about_open(self) -> bool:
        """Whether it must be seen: a result may depend on it, or something in it is given or refused."""
        return self.test.about_needed or any(
            field.errors or (self.is_bound and field.value()) for field in self.about()
        )

    def parts(self, *, on: date, walk_methods: tuple[str, str]) -> tuple[Part, ...]:
        """The results; a contradiction or a refusal becomes a fault of the form."""
        if not self.is_valid():
            return ()
        given = {name: value for name, value in self.cleaned_data.items() if value not in ("", None)}
        values = {one.name: given.get(one.name) for one in self.test.fields}
        about = {one.name: given.get(one.name) for one in self.test.about}
        try:
            return evaluate(self.test, values, About(on=on, walk_methods=walk_methods, **about))
        except HalewardError as fault:
            self.add_error(None, str(fault))
            return ()


@dataclass(frozen=True)
class Bout:
    """One activity of the table, and what a bout of it comes to where its length is given."""

    activity: MetEntry
    sheets: tuple[Worksheet, ...]


class ActivityForm(forms.Form):
    """Words of an activity, the year of the table, and how long, how heavy, how old, where known."""

    q = forms.CharField(label="Words of the activity", required=False, max_length=80)
    year = forms.TypedChoiceField(
        label="Year of the table", choices=[(one, one) for one in reversed(YEARS)], coerce=int
    )

    def __init__(self, data: Mapping[str, Any] | None = None) -> None:
        super().__init__(data)
        for name, one in BOUT_FIELDS.items():
            self.fields[name] = field_for(one)

    def bouts(self) -> tuple[Bout, ...]:
        """The activities that hold every word, each with MET-minutes and, with a weight, energy."""
        if not self.is_valid():
            return ()
        known = self.cleaned_data
        return tuple(Bout(one, _bout(one, known)) for one in search(known["q"], year=known["year"]))


def _bout(chosen: MetEntry, known: Mapping[str, Any]) -> tuple[Worksheet, ...]:
    minutes, mass_kg, age_y = known["minutes"], known["mass_kg"], known["age_y"]
    if minutes is None:
        return ()
    spent = met_minutes_of(chosen, duration_min=minutes, age_y=age_y)
    return (
        (spent,) if mass_kg is None else (spent, energy_of(chosen, mass_kg=mass_kg, duration_min=minutes, age_y=age_y))
    )


class FormulaForm(forms.Form):
    """The arguments of one registered formula."""

    def __init__(self, formula: Formula, data: Mapping[str, Any] | None = None) -> None:
        super().__init__(data)
        self.formula = formula
        self.fields = {key: argument_for(limits) for key, limits in formula.ranges.items()}

    def worksheet(self) -> Worksheet | None:
        """The result with its working; a refusal of the formula becomes a fault of the form."""
        if not self.is_valid():
            return None
        try:
            return self.formula.worksheet(**self.cleaned_data)
        except HalewardError as fault:
            self.add_error(None, str(fault))
            return None

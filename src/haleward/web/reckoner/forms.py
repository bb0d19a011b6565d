"""The forms of the Reckoner, made from the tests' own data and from the formulas' own ranges."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from django import forms

from haleward.capacity.field_tests import About, FieldTest, Part, evaluate
from haleward.errors import HalewardError
from haleward.formula import Formula
from haleward.web.reckoner.fields import argument_for, field_for
from haleward.worksheet import Worksheet


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

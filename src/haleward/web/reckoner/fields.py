"""Form fields of the Reckoner. An empty box means "not measured"; what is typed is checked by the domain itself."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django import forms

from haleward.capacity.field_tests import FieldInput, check
from haleward.exchange.guards import parse_number
from haleward.formula import REGISTRY, Range
from haleward.formula import Choice as FormulaChoice
from haleward.web.assessment.fields import Choice, WithUnit, YesNo, guarded
from haleward.web.assessment.forms import DEVICES, RHYTHMS
from haleward.web.assessment.forms_home import stop_reasons

SEXES = (("female", "female"), ("male", "male"))
UNKNOWN = {"maximum": "none chosen", "stopped_for": "not given"}
DECIMAL = {"inputmode": "decimal", "autocomplete": "off", "size": "8"}
WHOLE = {"inputmode": "numeric", "autocomplete": "off", "size": "8"}


class Number(forms.CharField):
    """A number, checked by ``test``; ``example`` is quoted when it cannot be read."""

    def __init__(self, *, label: str, unit: str, whole: bool, test: Callable[[float], None], **kwargs: Any) -> None:
        self.name, self.whole, self.test = label, whole, test
        shown = f"{label}, {unit}" if unit else label
        super().__init__(
            label=shown, widget=forms.TextInput(attrs=WHOLE if whole else DECIMAL), max_length=20, **kwargs
        )

    def clean(self, value: Any) -> float | None:
        """The number, or ``None`` when the box is empty."""
        text = super().clean(value)
        return guarded(lambda: self._read(text)) if text else None

    def _read(self, text: str) -> float:
        number = parse_number(text, field=self.name, example="12" if self.whole else "12.5")
        self.test(number)
        return number


def field_for(one: FieldInput) -> forms.Field:
    """The form field of one input of a test."""
    if one.kind in ("number", "whole"):
        return Number(
            label=one.label,
            unit=one.unit,
            whole=one.kind == "whole",
            test=lambda number: check(one, number),
            required=one.needed,
            help_text=one.help,
            error_messages={"required": f"Enter this: {one.label.lower()}."},
        )
    if one.kind == "yes":
        field = YesNo(label=one.label, help_text=one.help)
        field.template_name = "forms/field.html"
        return field
    if one.kind == "stature":
        return WithUnit(label=one.label, quantity="stature_m", unit="m", units="172 cm or 5 ft 8 in")
    if one.kind == "mass":
        return WithUnit(label=one.label, quantity="mass_kg", unit="kg", units="81 kg, 12 st 10 lb or 178 lb")
    return Choice(label=one.label, choices=_choices(one), unknown=UNKNOWN.get(one.kind, "not known"))


def argument_for(limits: Range | FormulaChoice) -> forms.Field:
    """The form field of one argument of a formula, from its own range."""
    if isinstance(limits, FormulaChoice):
        choices = [("", "choose"), *((one, one.replace("_", " ")) for one in limits.options)]
        return forms.ChoiceField(label=limits.label, choices=choices)
    return Number(
        label=limits.label,
        unit="" if limits.unit == "1" else limits.unit,
        whole=limits.whole,
        test=limits.check,
        help_text=f"{limits.described()}.",
        error_messages={"required": f"Enter this: {limits.label.lower()}."},
    )


def _choices(one: FieldInput) -> tuple[tuple[str, str], ...]:
    known = {"sex": SEXES, "rhythm": RHYTHMS, "device": DEVICES, "stopped_for": stop_reasons(), "maximum": maxima()}
    return known[one.kind]


def maxima() -> tuple[tuple[str, str], ...]:
    """The equations that give a maximal heart rate from the age alone."""
    by_age = [
        one for name, one in REGISTRY.items() if name.startswith("maximum_bpm_") and list(one.ranges) == ["age_y"]
    ]
    return tuple((one.name, one.title) for one in by_age)

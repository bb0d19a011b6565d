"""Form fields whose empty value means "not known". What is typed is checked by the same guards as files and imports."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date
from typing import Any, TypeVar

from django import forms
from django.utils import timezone

from haleward.errors import HalewardError
from haleward.exchange.guards import (
    check_range,
    parse_date,
    parse_glucose_mmol,
    parse_length_m,
    parse_mass_kg,
    parse_number,
    plausible_ranges,
)
from haleward.exchange.person_kit import bottle_kg

T = TypeVar("T")
YES_NO = (("", "not known"), ("yes", "yes"), ("no", "no"))
NONE_WORDS = ("none", "no", "0")
DIGITS = 4  # a tenth of a millimetre, a tenth of a gram: finer than anything measured at home


def guarded(read: Callable[[], T]) -> T:
    """A domain error as a form error with the same sentence."""
    try:
        return read()
    except HalewardError as error:
        raise forms.ValidationError(str(error)) from error


def plain_number(value: float) -> str:
    """A number as it would be typed: no trailing ".0"."""
    return repr(round(float(value), DIGITS)).removesuffix(".0")


class YesNo(forms.TypedChoiceField):
    """Yes, no, or not known (preselected)."""

    def __init__(self, *, label: str, help_text: str = "") -> None:
        super().__init__(
            label=label,
            help_text=help_text,
            required=False,
            choices=YES_NO,
            coerce=lambda text: {"yes": True, "no": False}.get(text),  # clean() has refused anything else
            empty_value=None,
            widget=forms.RadioSelect,
        )
        self.template_name = "assessment/_question.html"

    def prepare_value(self, value: Any) -> Any:
        """``True`` and ``False`` as the choices' own values."""
        return {True: "yes", False: "no", None: ""}.get(value, value)


class Choice(forms.ChoiceField):
    """One of several codes; empty means not known."""

    def __init__(self, *, label: str, choices: Any, unknown: str = "not known", required: bool = False) -> None:
        super().__init__(label=label, choices=[("", unknown), *choices], required=required)


class Measured(forms.CharField):
    """A number in one unit, within the plausible range of ``quantity`` (data/tables/plausible.csv)."""

    def __init__(self, *, label: str, quantity: str, whole: bool = False, unit: str = "", **kwargs: Any) -> None:
        limits = plausible_ranges()[quantity]
        self.quantity, self.whole, self.name = quantity, whole, label
        shown = unit or ("" if limits.unit in ("count", "class", "points", "1") else limits.unit)
        widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off", "size": "8"})
        super().__init__(label=f"{label}, {shown}" if shown else label, required=False, widget=widget, **kwargs)

    def prepare_value(self, value: Any) -> Any:
        """A stored number as text."""
        return plain_number(value) if isinstance(value, (int, float)) else value

    def clean(self, value: Any) -> float | None:
        """The number, or ``None`` when the box is empty."""
        text = super().clean(value)
        return guarded(lambda: self._read(text)) if text else None

    def _read(self, text: str) -> float:
        example = plausible_ranges()[self.quantity].example
        number = check_range(parse_number(text, field=self.name, example=example), quantity=self.quantity)
        if self.whole and number != int(number):
            raise HalewardError(f"{self.name}: {text} is not a whole number. Enter digits, for example {example}.")
        return int(number) if self.whole else number


class WithUnit(forms.CharField):
    """A height or weight with its unit: "172 cm", "5 ft 8 in", "12 st 10 lb". A bare number is asked for its unit."""

    def __init__(self, *, label: str, quantity: str, unit: str, units: str) -> None:
        self.quantity, self.unit, self.name = quantity, unit, label
        help_text = f"With the unit: {units}."
        super().__init__(label=label, required=False, help_text=help_text, widget=forms.TextInput(attrs={"size": "14"}))

    def prepare_value(self, value: Any) -> Any:
        """A stored height in centimetres, a stored mass in kilograms."""
        if not isinstance(value, (int, float)):
            return value
        return f"{plain_number(value * 100)} cm" if self.unit == "m" else f"{plain_number(value)} kg"

    def clean(self, value: Any) -> float | None:
        """Metres or kilograms, or ``None`` when the box is empty."""
        text = super().clean(value)
        parse = parse_length_m if self.unit == "m" else parse_mass_kg
        return guarded(lambda: round(parse(text, field=self.name, quantity=self.quantity), DIGITS)) if text else None


class StepHeight(WithUnit):
    """A step's height, "none" when asked and none."""

    def __init__(self) -> None:
        super().__init__(label="Step or bottom stair", quantity="step_height_m", unit="m", units="15 cm, 6 in, or none")

    def prepare_value(self, value: Any) -> Any:
        """Zero means asked and none."""
        return "none" if value == 0 else super().prepare_value(value)

    def clean(self, value: Any) -> float | None:
        """Metres, 0 for none, ``None`` for not asked."""
        return 0.0 if str(value or "").strip().lower() in NONE_WORDS else super().clean(value)


class Masses(forms.CharField):
    """A list of masses of one item each, separated by commas; "none" when asked and none."""

    def __init__(self, *, label: str, help_text: str, bottles: bool = False) -> None:
        self.name, self.bottles = label, bottles
        super().__init__(label=label, required=False, help_text=help_text)

    def prepare_value(self, value: Any) -> Any:
        """Stored masses in kilograms."""
        if not isinstance(value, (tuple, list)):
            return value
        return ", ".join(f"{plain_number(mass)} kg" for mass in value) or "none"

    def clean(self, value: Any) -> tuple[float, ...] | None:
        """Kilograms, lightest first; empty tuple for none, ``None`` for not asked."""
        text = super().clean(value)
        if not text:
            return None
        if text.strip().lower() in NONE_WORDS:
            return ()
        items = [item.strip() for item in re.split(r"[,;](?=\s*\d)|\band\b", text) if item.strip()]
        return tuple(sorted(guarded(lambda: [self._kg(item) for item in items])))

    def _kg(self, text: str) -> float:
        if self.bottles:
            return round(bottle_kg(text), DIGITS)
        return round(parse_mass_kg(text, field=self.name, quantity="hand_mass_kg"), DIGITS)


class Glucose(forms.MultiValueField):
    """A glucose reading with its unit; a value that fits only the other unit is questioned."""

    def __init__(self, *, label: str = "Blood glucose") -> None:
        units = [("", "unit"), ("mmol/L", "mmol/L"), ("mg/dL", "mg/dL")]
        parts = (forms.CharField(required=False), forms.ChoiceField(choices=units, required=False))
        widget = _GlucoseWidget(units)
        super().__init__(label=label, fields=parts, required=False, require_all_fields=False, widget=widget)

    def compress(self, data_list: list[str]) -> float | None:
        """Millimoles per litre."""
        if not data_list or not data_list[0]:
            return None
        return guarded(lambda: round(parse_glucose_mmol(data_list[0], data_list[1]), DIGITS))


class _GlucoseWidget(forms.MultiWidget):
    def __init__(self, units: list[tuple[str, str]]) -> None:
        super().__init__(
            [
                forms.TextInput(attrs={"inputmode": "decimal", "size": "6", "aria-label": "Blood glucose"}),
                forms.Select(choices=units, attrs={"aria-label": "Unit of blood glucose"}),
            ]
        )

    def decompress(self, value: float | None) -> list[str]:
        return ["", ""] if value is None else [plain_number(value), "mmol/L"]


class Day(forms.CharField):
    """A date that cannot be misread: the month in words, or YYYY-MM-DD. It is always shown with the month in words."""

    def __init__(self, *, label: str, required: bool = False, ahead: bool = False) -> None:
        self.ahead, self.name = ahead, label
        widget = forms.TextInput(attrs={"placeholder": "4 May 2026", "autocomplete": "off", "size": "14"})
        super().__init__(label=label, required=required, widget=widget, max_length=40)

    def prepare_value(self, value: Any) -> Any:
        """A stored date with its month in words."""
        return f"{value.day} {value:%B %Y}" if isinstance(value, date) else value

    def clean(self, value: Any) -> date | None:
        """The date, or ``None`` when the box is empty; ``ahead`` lets it lie after today."""
        text = super().clean(value)
        today = timezone.localdate()
        return guarded(lambda: parse_date(text, today, field=self.name, future_ok=self.ahead)) if text else None

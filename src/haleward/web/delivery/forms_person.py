"""What a person, a helper or staff fill in besides the log: special days, and consent for a helper."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from django import forms

from haleward.dose.week_plan import KINDS
from haleward.web.delivery.landing_words import Words
from haleward.web.delivery.links import COVERS
from haleward.web.delivery.special import Days
from haleward.web.once import OnceField

MOST_DAYS = 120  # longer than a programme: a slip of the year, not a holiday
MOST_MINUTES = 180
DATE = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


class DaysForm(forms.Form):
    """Days away, ill, fasting or with little time."""

    id = OnceField()
    kind = forms.ChoiceField(widget=forms.RadioSelect)
    first_on = forms.DateField(widget=DATE)
    last_on = forms.DateField(required=False, widget=DATE)
    minutes = forms.IntegerField(required=False, min_value=1, max_value=MOST_MINUTES)

    def __init__(self, *args: Any, say: Words, earliest: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.say, self.earliest = say, earliest
        self.fields["kind"].choices = [  # type: ignore[attr-defined]
            (kind, say(f"days_kind_{kind}")) for kind in ("away", "part_day", "fasting", "ill") if kind in KINDS
        ]
        for name, key in (("kind", "kind"), ("first_on", "first"), ("last_on", "last"), ("minutes", "minutes")):
            self.fields[name].label = say(f"days_{key}")
        self.fields["last_on"].help_text = say("days_last_help")
        self.fields["minutes"].help_text = say("days_minutes_help")

    def clean(self) -> dict[str, Any]:
        """The days in order, not long past, not too many; minutes for a part day."""
        data = super().clean() or {}
        first, last = data.get("first_on"), data.get("last_on") or data.get("first_on")
        if first and last:
            if last < first:
                self.add_error("last_on", self.say("days_fault_order"))
            elif (last - first).days >= MOST_DAYS:
                self.add_error("last_on", self.say("days_fault_long", day_count=MOST_DAYS))
            if first < self.earliest:
                self.add_error("first_on", self.say("days_fault_past", first_day=f"{self.earliest:%-d %B}"))
        if data.get("kind") == "part_day" and "minutes" in data and not data["minutes"]:
            self.add_error("minutes", self.say("days_fault_minutes"))
        return data

    def days(self) -> Days:
        """What was told; minutes only where they mean something."""
        data = self.cleaned_data
        return Days(
            kind=data["kind"],
            first_on=data["first_on"],
            last_on=data["last_on"] or data["first_on"],
            minutes=data["minutes"] if data["kind"] == "part_day" else None,
        )


class CarerForm(forms.Form):
    """Who may help, and what the person lets them see."""

    carer_name = forms.CharField(max_length=80)
    covers = forms.MultipleChoiceField(widget=forms.CheckboxSelectMultiple)

    def __init__(self, *args: Any, say: Words, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["carer_name"].label = say("carer_name")
        self.fields["covers"].label = say("carer_covers")
        self.fields["covers"].choices = [(key, say(f"carer_{key}")) for key in COVERS]  # type: ignore[attr-defined]
        for field in self.fields.values():
            field.error_messages["required"] = say("carer_fault")


def earliest_day(today: date, back_date_days_most: int | None) -> date:
    """The first day that may still be told about."""
    return today - timedelta(days=back_date_days_most or 0)

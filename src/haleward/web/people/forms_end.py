"""Why and when a programme ended."""

from __future__ import annotations

from datetime import date
from typing import Any

from django import forms

from haleward.web.people.models import ProgrammeEnd


class EndForm(forms.Form):
    """The end of a programme."""

    why = forms.ChoiceField(label="Why does the programme end?", choices=ProgrammeEnd.Why, widget=forms.RadioSelect)
    ended_on = forms.DateField(label="Last day", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"))
    note = forms.CharField(label="Note", required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 3}))

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today

    def clean_ended_on(self) -> date:
        """An end lies in the past or on today: the link closes at once."""
        day: date = self.cleaned_data["ended_on"]
        if day > self.today:
            raise forms.ValidationError(
                "The last day is in the future. Come back on that day; the link closes at once."
            )
        return day

"""Reporting a concern, and closing one."""

from __future__ import annotations

from typing import Any

from django import forms

from haleward.safety.protocol import Protocol

OTHER = "something_else"


class ClosingForm(forms.Form):
    """What was done; a concern cannot be closed without it."""

    what_was_done = forms.CharField(
        label="What was done", max_length=1000, widget=forms.Textarea(attrs={"rows": 4}),
        error_messages={"required": "Say what was done, then close it."},
    )  # fmt: skip


class ReportForm(forms.Form):
    """What the person says, in the protocol's list or in their own words."""

    symptom = forms.ChoiceField(
        label="What does the person say?",
        widget=forms.RadioSelect,
        error_messages={"required": "Choose what fits best."},
    )
    sure = forms.TypedChoiceField(
        label="Are they sure?",
        choices=(("yes", "yes"), ("no", "not sure")),
        coerce=lambda text: text == "yes",
        widget=forms.RadioSelect,
        error_messages={"required": "Say whether they are sure. Not sure is looked at sooner."},
    )
    note = forms.CharField(
        label="In their own words", max_length=500, required=False, widget=forms.Textarea(attrs={"rows": 3})
    )

    def __init__(self, *args: Any, protocol: Protocol, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        listed = [(one.key, one.label) for one in protocol.concerns.symptoms]
        self.fields["symptom"].choices = [*listed, (OTHER, "Something else")]  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        """Something else needs words."""
        data = super().clean() or {}
        if data.get("symptom") == OTHER and not data.get("note"):
            self.add_error("note", "Write what it is. Anything that is not in the list is looked at today.")
        return data

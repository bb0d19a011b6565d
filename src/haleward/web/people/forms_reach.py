"""How a person can be reached, and the interpreter: part of every form about who the person is."""

from __future__ import annotations

from typing import Any

from django import forms

from haleward.web.people.models import Person
from haleward.web.people.reach import Interpreter, Way

REACH = (
    "reach_ways", "reach_at", "reach_needs", "interpreter", "interpreter_language", "interpreter_on",
    "interpreter_note",
)  # fmt: skip


class PlainDate(forms.DateField):
    """A date that cannot be misread: the browser's date control, or YYYY-MM-DD, or a month in words."""

    widget = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    default_error_messages = {
        "invalid": "Write the date as YYYY-MM-DD or with the month in words, for example 4 May 1951.",
    }

    def __init__(self, **kwargs: Any) -> None:
        formats = ["%Y-%m-%d", "%d %B %Y", "%d %b %Y"]
        super().__init__(input_formats=formats, **kwargs)


class ReachForm(forms.ModelForm):
    """The ways of contact, what hearing, seeing and speaking need, and the interpreter."""

    reach_ways = forms.MultipleChoiceField(
        label="How this person can be reached",
        required=False,
        choices=Way.choices,
        widget=forms.CheckboxSelectMultiple,
        help_text="Tick all that work. Nothing ticked means not asked.",
    )
    interpreter = forms.ChoiceField(
        label="Interpreter",
        required=False,
        choices=[("", "not asked"), *Interpreter.choices],
        help_text="Offer a professional one. A relative is welcome beside them, never in their place.",
    )
    interpreter_on = PlainDate(label="Interpreter booked for", required=False, help_text="The day. Book double time.")

    class Meta:
        """Contact and interpreter only."""

        model = Person
        fields: tuple[str, ...] = REACH
        labels = {
            "reach_at": "Email or address, or the helper’s name and number",
            "reach_needs": "What hearing, seeing or speaking needs, in their own words",
            "interpreter_language": "Language or sign language",
            "interpreter_note": "About the booking",
        }
        help_texts = {"interpreter_note": "Who comes, at what time, for how long."}

    def clean(self) -> dict[str, Any]:
        """A helper has a name, an interpreter a language, and nobody books one who is not needed."""
        data = super().clean() or self.cleaned_data
        if Way.HELPER in data.get("reach_ways", ()) and not data.get("reach_at"):
            self.add_error("reach_at", "Write who the helper is and how to reach them.")
        needed = data.get("interpreter") == Interpreter.YES
        if needed and not data.get("interpreter_language"):
            self.add_error("interpreter_language", "Write the language or sign language to interpret.")
        if not needed and (data.get("interpreter_on") or data.get("interpreter_note")):
            self.add_error(
                "interpreter", "A booking is given. Say that an interpreter is needed, or clear the booking."
            )
        return data

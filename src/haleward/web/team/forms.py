"""The service's own numbers: what the wording's placeholders are filled with."""

from __future__ import annotations

from typing import Any

from django import forms

from haleward.physiology.tables import rows
from haleward.safety.hours import EXAMPLE, parse_openings
from haleward.safety.own_words import unsayable
from haleward.safety.protocol import Protocol
from haleward.web.assessment.fields import guarded

# Placeholder of the wording tables -> label on the form. Only what a service decides; limits are in the protocol.
NUMBERS = {
    "emergency_number": "Emergency number",
    "nurse_line": "Nurse line (name and number, as people should read it)",
    "team_phone": "Team phone",
    "hours": "Office hours, in words",
    "open_times": "Opening times (someone reads messages then)",
    "next_open": "When the team is next open, in words",
    "urgent_line": "Urgent advice line",
    "out_of_hours_line": "Line for the time the team is closed",
    "device_clinic": "Device clinic",
    "diabetes_team": "Diabetes team",
    "crisis_line": "Crisis line",
    "relay_route": "Text relay route for people who do not hear or speak",
    "nitrate_name": "What a nitrate is called here",
    "nitrate_steps": "Steps for using it, as whole sentences",
    "erection_gap": "Gap after an erection tablet, in words",
    "fast_sugar": "What counts as fast sugar",
}
NEEDED = ("emergency_number", "nurse_line", "team_phone", "hours")


def labels_of(protocol: Protocol) -> dict[str, str]:
    """Every number a service fills in: ours above, and what its protocol names besides."""
    meanings = {row["key"]: row["meaning"] for row in rows("service")}
    others = {name: meanings.get(name, name) for name in protocol.numbers if name not in NUMBERS}
    return NUMBERS | {name: f"{meaning[:1].upper()}{meaning[1:]}" for name, meaning in others.items()}


class ServiceForm(forms.Form):
    """Name and numbers. A number left blank hides its sentence on screen; the needed ones block the print."""

    name = forms.CharField(label="Name of the service", max_length=120)

    def __init__(self, *args: Any, protocol: Protocol, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for key, label in labels_of(protocol).items():
            number = protocol.numbers.get(key)
            given = number.text if number else ""
            told = f"Left blank, the protocol’s own is used: {given}." if given else ""
            needed = (number.needed if number else key in NEEDED) and not given
            self.fields[key] = forms.CharField(label=label, required=needed, max_length=300, help_text=told)
            if why := unsayable(key, self.initial.get(key, "")):
                self.fields[key].help_text = why
        self.fields["open_times"].help_text = f"Like {EXAMPLE}. Left blank, people are told that no one is reading."

    def clean_open_times(self) -> str:
        """The times as typed, if they can be read."""
        text: str = self.cleaned_data["open_times"]
        guarded(lambda: parse_openings(text))
        return text

    def clean(self) -> dict[str, Any]:
        """Every number, if its sentence can be said with it."""
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        for key in self.fields.keys() - {"name"}:
            if why := unsayable(key, cleaned.get(key, "")):
                self.add_error(key, why)
        return cleaned

"""What a person or a member of staff chooses for a calendar."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django import forms

from haleward.exchange.calendar import Wishes
from haleward.web.delivery.landing import Words

REMINDERS = ("none", "evening", "half_hour")


class CalendarForm(forms.Form):
    """Hours, reminder and how much the calendar says. An hour left blank makes events of the whole day."""

    at = forms.TimeField(required=False, widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"))
    walk_at = forms.TimeField(required=False, widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"))
    reminder = forms.ChoiceField(required=False, widget=forms.RadioSelect, initial="none")
    movements = forms.BooleanField(required=False)
    link = forms.BooleanField(required=False)

    def __init__(self, *args: Any, say: Words, own_link: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.say = say
        for name, field in self.fields.items():
            field.label = say(f"calendar_{name}")
        self.fields["at"].help_text = say("calendar_at_help")
        self.fields["link"].help_text = say("calendar_link_risk")
        self.fields["reminder"].choices = [  # type: ignore[attr-defined]
            (key, say(f"calendar_reminder_{key}")) for key in REMINDERS
        ]
        if not own_link:
            del self.fields["link"]

    def clean(self) -> dict[str, Any]:
        """Half an hour before needs both hours."""
        data = super().clean() or {}
        if data.get("reminder") == "half_hour" and not (data.get("at") and data.get("walk_at")) and not self.errors:
            self.add_error("reminder", self.say("calendar_reminder_fault"))
        return data

    def query(self) -> str:
        """The choices as the query of an address, without what was left as it is."""
        chosen = {name: self.data.get(name) for name in self.fields}
        filled = {name: value for name, value in chosen.items() if value and value != "none"}
        return f"?{urlencode(filled)}" if filled else ""

    def wishes(self, address: str = "") -> Wishes:
        """The wishes as the calendar takes them; ``address`` goes in only where it was ticked."""
        data = self.cleaned_data
        return Wishes(
            at=data["at"],
            walk_at=data["walk_at"],
            reminder=data["reminder"] or "none",
            movements=data["movements"],
            address=address if data.get("link") else "",
        )

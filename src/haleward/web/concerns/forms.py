"""Closing a concern."""

from __future__ import annotations

from django import forms


class ClosingForm(forms.Form):
    """What was done; a concern cannot be closed without it."""

    what_was_done = forms.CharField(
        label="What was done", max_length=1000, widget=forms.Textarea(attrs={"rows": 4}),
        error_messages={"required": "Say what was done, then close it."},
    )  # fmt: skip

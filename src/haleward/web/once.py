"""A number made with the form: whoever presses twice, or sends a page again, keeps nothing twice."""

from __future__ import annotations

import uuid
from typing import Any

from django import forms


class OnceField(forms.UUIDField):
    """The hidden number of one page. A page that brings none gets a new one: what it says is never refused for it."""

    widget = forms.HiddenInput

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(required=False, initial=uuid.uuid4, **kwargs)

    def clean(self, value: Any) -> uuid.UUID:
        """The number of the page."""
        found: uuid.UUID | None = super().clean(value)
        return found or uuid.uuid4()

"""Rows that repeat: three spare ones are always there, an emptied row is left out."""

from __future__ import annotations

from typing import Any

from django import forms
from django.forms.formsets import BaseFormSet, formset_factory

SPARE_ROWS = 3
MOST_ROWS = 60


class Rows(BaseFormSet):
    """Every row may be empty: an emptied row means that it no longer applies."""

    def initial_form_count(self) -> int:
        """On the way back no row is more fixed than another."""
        return 0 if self.is_bound else super().initial_form_count()

    def filled(self) -> list[dict[str, Any]]:
        """The cleaned rows that hold something, in order."""
        return [form.cleaned_data for form in self.forms if form.has_changed()]


def rows_of(form: type[forms.Form]) -> type[Rows]:
    """The class of rows made of ``form``."""
    kind: type[Rows] = formset_factory(  # type: ignore[assignment]
        form, formset=Rows, extra=SPARE_ROWS, max_num=MOST_ROWS, absolute_max=MOST_ROWS
    )
    return kind

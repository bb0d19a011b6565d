"""The loads that a member of staff may type on a movement's page. An empty box keeps what the page shows by itself."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import forms

from haleward.movement.bands import newtons, stiffness_n
from haleward.movement.model import Form
from haleward.record import Band
from haleward.web.assessment.fields import WithUnit, guarded

TWICE = 2.0
TYPED_BAND = "the band you typed"


class LoadForm(forms.Form):
    """A load for this movement, and a band by one luggage-scale reading at twice its length."""

    def __init__(self, form: Form, data: Mapping[str, Any]) -> None:
        super().__init__(data)
        if set(form.kits) & {"hand_weight", "bottle", "ankle_weight"}:
            self.fields["load"] = WithUnit(
                label="Mass of one item", quantity="hand_mass_kg", unit="kg", units="1.5 kg or 3 lb"
            )
        if "band" in form.kits:
            self.fields["pull"] = WithUnit(
                label="A band: reading at twice its length", quantity="hand_mass_kg", unit="kg", units="2.4 kg"
            )
            self.fields["length"] = WithUnit(
                label="Whole length of that band", quantity="band_length_m", unit="m", units="2 m or 150 cm"
            )
            self.fields["target"] = WithUnit(
                label="Pull you want at the hardest point",
                quantity="hand_mass_kg",
                unit="kg",
                units="2 kg on the scale",
            )

    def clean(self) -> dict[str, Any]:
        """A band needs both its reading and its length."""
        found = super().clean() or {}
        given = [found.get(name) is not None for name in ("pull", "length")]
        if any(given) and not all(given) and not self.errors:
            lacking = "pull" if given[1] else "length"
            self.add_error(lacking, "A band needs both: the reading at twice its length, and its whole length.")
        elif all(given):
            found["band"] = guarded(lambda: self._band(found["pull"], found["length"]))
        return found

    @property
    def mass_kg(self) -> float | None:
        """The typed mass; ``None`` when nothing that can be read was typed."""
        return self.cleaned_data.get("load") if self.is_valid() else None

    @property
    def target_n(self) -> float | None:
        """The pull wanted, in newtons; ``None`` when none that can be read was typed."""
        wanted_kg = self.cleaned_data.get("target") if self.is_valid() else None
        return None if wanted_kg is None else newtons(kilograms_on_scale=wanted_kg)

    @property
    def band(self) -> Band | None:
        """The typed band; ``None`` when nothing that can be read was typed."""
        return self.cleaned_data.get("band") if self.is_valid() else None

    def _band(self, reading_kg: float, length_m: float) -> Band:
        pull_n = newtons(kilograms_on_scale=reading_kg)
        return Band(TYPED_BAND, stiffness_n(((TWICE, pull_n),)), length_m)

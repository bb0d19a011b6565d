"""The options of a person's sessions: read from the store, chosen in a form."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any, cast

from django import forms

from haleward.session.options import SessionOptions
from haleward.web.accounts.models import User
from haleward.web.people.models import Person
from haleward.web.studio.models import SessionChoice

PACES = (("usual", "The usual pace"), ("slower", "Slower"))
TALKS = (("usual", "As usual"), ("few", "Little: what to do, and safety"), ("more", "More: reminders as well"))
LISTENERS = (("self", "The person"), ("carer", "A carer beside the person"))


def options_of(person: Person) -> SessionOptions:
    """What was chosen for this person, else the usual."""
    row = SessionChoice.objects.filter(person=person).first()
    return SessionOptions.from_plain(row.options) if row else SessionOptions()


def keep_options(person: Person, chosen: SessionOptions, *, user: User) -> None:
    """Keep the options; who changed them and when stays in the history."""
    SessionChoice.objects.update_or_create(person=person, defaults={"options": chosen.plain(), "changed_by": user})


class OptionsForm(forms.Form):
    """The options as a lead chooses them."""

    pace = forms.ChoiceField(label="Pace of the movements", choices=PACES)
    talk = forms.ChoiceField(label="How much is said", choices=TALKS)
    listener = forms.ChoiceField(label="Spoken to", choices=LISTENERS)
    count_aloud = forms.BooleanField(label="Count the repetitions aloud", required=False)
    low_vision = forms.BooleanField(label="Words for low vision: describe each movement", required=False)

    harder_agreed = forms.MultipleChoiceField(
        label="A harder version may be offered for", required=False, widget=forms.CheckboxSelectMultiple
    )

    def __init__(self, *args: Any, movements: Sequence[tuple[str, str]] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choices = cast(forms.MultipleChoiceField, self.fields["harder_agreed"])
        choices.choices = list(movements)
        if not movements:
            del self.fields["harder_agreed"]

    @staticmethod
    def initial_of(chosen: SessionOptions) -> dict[str, Any]:
        """The form's first values."""
        return chosen.plain()

    def chosen(self, before: SessionOptions) -> SessionOptions:
        """The options of a valid form; what the form does not show, other parts' movements too, stays as before."""
        values = dict(self.cleaned_data)
        shown = {movement_id for movement_id, _title in getattr(self.fields.get("harder_agreed"), "choices", ())}
        elsewhere = [movement_id for movement_id in before.harder_agreed if movement_id not in shown]
        agreed = tuple([*elsewhere, *values.pop("harder_agreed", ())])
        return replace(before, **values, harder_agreed=agreed)

    def read(self) -> list[tuple[str, str]]:
        """Name and value of each option, for those who may not change it."""
        rows = []
        for name, field in self.fields.items():
            value = self.initial.get(name)
            names = dict(getattr(field, "choices", ()))
            if isinstance(value, list | tuple):
                told = ", ".join(str(names[one]) for one in value if one in names) or "none"
            else:
                told = str(names.get(value, "yes" if value else "no"))
            rows.append((str(field.label), told))
        return rows

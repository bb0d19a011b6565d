"""The options of a person's sessions: read from the store, chosen in a form."""

from __future__ import annotations

from typing import Any

from django import forms

from haleward.plain import from_plain, to_plain
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
    return from_plain(SessionOptions, row.options) if row else SessionOptions()


def keep_options(person: Person, chosen: SessionOptions, *, user: User) -> None:
    """Keep the options; who changed them and when stays in the history."""
    SessionChoice.objects.update_or_create(person=person, defaults={"options": to_plain(chosen), "changed_by": user})


class OptionsForm(forms.Form):
    """The options as a lead chooses them."""

    pace = forms.ChoiceField(label="Pace of the movements", choices=PACES)
    talk = forms.ChoiceField(label="How much is said", choices=TALKS)
    listener = forms.ChoiceField(label="Spoken to", choices=LISTENERS)
    count_aloud = forms.BooleanField(label="Count the repetitions aloud", required=False)
    low_vision = forms.BooleanField(label="Words for low vision: describe each movement", required=False)

    @staticmethod
    def initial_of(chosen: SessionOptions) -> dict[str, Any]:
        """The form's first values."""
        return dict(to_plain(chosen))

    def chosen(self) -> SessionOptions:
        """The options of a valid form."""
        return from_plain(SessionOptions, dict(self.cleaned_data) | {"language": SessionOptions().language})

    def read(self) -> list[tuple[str, str]]:
        """Name and value of each option, for those who may not change it."""
        rows = []
        for name, field in self.fields.items():
            value = self.initial.get(name)
            names = dict(getattr(field, "choices", ()))
            rows.append((str(field.label), str(names.get(value, "yes" if value else "no"))))
        return rows

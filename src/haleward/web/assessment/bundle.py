"""All parts of the assessment form together: bound, checked and turned into one record."""

from __future__ import annotations

from typing import Any

from django.forms import Form
from django.http import QueryDict

from haleward.record import Record
from haleward.web.assessment import forms, forms_home, mapping
from haleward.web.assessment.rows import Rows, rows_of
from haleward.web.people.models import Person
from haleward.web.team import protocol as in_force

SINGLE: dict[str, type[Form]] = {
    "start": forms.StartForm,
    "medicines": forms.MedicinesForm,
    "heart": forms.HeartForm,
    "readings": forms.ReadingsForm,
    "questions": forms.QuestionsForm,
    "function": forms_home.FunctionForm,
    "kit": forms_home.KitForm,
    "body": forms_home.BodyForm,
    "plan": forms_home.PlanForm,
    "walk": forms_home.WalkForm,
}
REPEATED: dict[str, type[Rows]] = {
    "event": rows_of(forms.EventRow),
    "medicine": rows_of(forms.MedicineRow),
    "restriction": rows_of(forms.RestrictionRow),
    "band": rows_of(forms_home.BandRow),
}


SECTIONS = (
    ("events", "Event and dates", ("start", "event")),
    ("medicines", "Medicines", ("medicines", "medicine")),
    ("rhythm", "Rhythm and device", ("heart",)),
    ("readings", "Resting readings", ("readings",)),
    ("safety", "Safety questions", ("questions",)),
    ("restrictions", "Restrictions", ("restriction",)),
    ("function", "Falls, pain, function", ("function",)),
    ("kit", "Kit and space", ("kit", "band")),
    ("body", "Height and weight", ("body",)),
    ("goal", "Goal and days", ("plan",)),
    ("walk", "Walk test", ("walk",)),
)


class AssessmentForm:
    """The whole form. ``parts`` holds every form and every set of rows by name."""

    def __init__(
        self,
        data: QueryDict | None = None,
        *,
        person: Person,
        before: Record | None = None,
        initial: dict[str, Any] | None = None,
        further: tuple[str, ...] = (),
        movements: tuple[tuple[str, str], ...] = (),
    ) -> None:
        self.person, self.before, self.further = person, before, further
        self.faults: list[str] = []
        initial = (initial or {}) if data is None else {}
        special: dict[str, dict[str, Any]] = {
            "questions": {"extra": further},
            "restriction": {"form_kwargs": {"movements": movements}},
        }
        self.parts: dict[str, Form | Rows] = {
            name: kind(data, prefix=name, initial=initial.get(name), **special.get(name, {}))
            for name, kind in (SINGLE | REPEATED).items()
        }

    def __getitem__(self, name: str) -> Form | Rows:
        return self.parts[name]

    def is_valid(self) -> bool:
        """Whether every part holds, and no part contradicts another."""
        if not all([part.is_valid() for part in self.parts.values()]):  # a list: every part shows its own faults
            return False
        self.faults = [*self._listed_against_none(), *self._glucose_medicines(), *self._restrictions_gone()]
        return not self.faults

    def record(self) -> Record:
        """The record the valid form describes."""
        cleaned = {name: self._cleaned(part) for name, part in self.parts.items()}
        return mapping.record_from(cleaned, person=self.person, before=self.before, names=self.further)

    @property
    def fault_count(self) -> int:
        """How many faults the form shows."""
        return len(self.faults) + sum(_count(part) for part in self.parts.values())

    def sections(self) -> list[tuple[str, str, int]]:
        """Anchor, title and number of faults of each section, in the order of care."""
        return [(anchor, title, sum(_count(self.parts[name]) for name in names)) for anchor, title, names in SECTIONS]

    @staticmethod
    def _cleaned(part: Form | Rows) -> Any:
        return part.filled() if isinstance(part, Rows) else part.cleaned_data

    def _listed_against_none(self) -> list[str]:
        cleaned = {name: self._cleaned(part) for name, part in self.parts.items()}
        pairs = (("medicines", "takes_none", "medicine", "medicines"), ("kit", "no_bands", "band", "bands"))
        return [
            f"You ticked that there are no {words}, and {words} are listed. Keep one of the two."
            for part, tick, rows, words in pairs
            if cleaned[part][tick] and cleaned[rows]
        ]

    def _glucose_medicines(self) -> list[str]:
        """Rules read the medicines where they are listed: an answer that contradicts the list would not count."""
        answer = self._cleaned(self.parts["questions"])["insulin_or_su"]
        listed = [row["drug_class"] for row in self._cleaned(self.parts["medicine"])]
        if answer is None or not listed or answer == bool({"insulin", "sulfonylurea"} & set(listed)):
            return []
        return [in_force.wording_of(self.person.service).template("err_glucose_medicines")]

    def _restrictions_gone(self) -> list[str]:
        """A restriction ends by release, with a name and a reason, never by an emptied row."""
        kept = {(row["kind"], row["author"], row["start_on"]) for row in self._cleaned(self.parts["restriction"])}
        open_ones = [r for r in (self.before.restrictions if self.before else ()) if r.released_on is None]
        return [
            f'The restriction "{r.shown}" by {r.author} cannot be taken off here. '
            "Keep it, and release it with a reason on the person's page."
            for r in open_ones
            if (r.kind, r.author, r.start_on) not in kept
        ]


def _count(part: Form | Rows) -> int:
    if isinstance(part, Rows):
        return part.total_error_count()
    return sum(len(errors) for errors in part.errors.values())

"""Reporting a concern, and closing one."""

from __future__ import annotations

from typing import Any

from django import forms

from haleward.safety.protocol import Protocol
from haleward.web.once import OnceField
from haleward.web.people.reach import Reach

OTHER = "something_else"


class ClosingForm(forms.Form):
    """What was done; a concern cannot be closed without it."""

    what_was_done = forms.CharField(
        label="What was done", max_length=1000, widget=forms.Textarea(attrs={"rows": 4}),
        error_messages={"required": "Say what was done, then close it."},
    )  # fmt: skip


class StepForm(forms.Form):
    """A note: a sentence for the next reader."""

    text = forms.CharField(
        label="What to write down", max_length=1000, widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={"required": "Write a sentence: who reads it next was not there."},
    )  # fmt: skip


class WayField(forms.ChoiceField):
    """The way a contact was made: one of those that reach the person, or face to face."""

    widget = forms.RadioSelect

    def __init__(self) -> None:
        super().__init__(
            label="How were you in touch?", error_messages={"required": "Say in which way you were in touch."}
        )

    def offer(self, reach: Reach) -> None:
        """Offer what reaches this person, the only way chosen already."""
        self.choices = reach.choices
        self.initial = reach.ways[0] if len(reach.ways) == 1 else None


class CallForm(StepForm):
    """A call, or a contact in another way: which, and a sentence for the next reader."""

    field_order = ("way", "text")
    way = WayField()

    def __init__(self, *args: Any, reach: Reach, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["way"].offer(reach)  # type: ignore[attr-defined]


class HandOverForm(forms.Form):
    """To whom, and what they need to know."""

    to = forms.ChoiceField(label="To whom", error_messages={"required": "Choose who gets it."})
    text = forms.CharField(
        label="What they need to know", max_length=1000, widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={"required": "Say what they need to know."},
    )  # fmt: skip

    def __init__(self, *args: Any, targets: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["to"].choices = [("", "Choose"), *targets]  # type: ignore[attr-defined]


class ContactForm(forms.Form):
    """What came of a talk, in which way it was held, and what is agreed next."""

    form_id = OnceField()
    way = WayField()
    reached = forms.TypedChoiceField(
        label="Were they reached?",
        choices=(("yes", "yes"), ("no", "no answer")),
        coerce=lambda text: text == "yes",
        widget=forms.RadioSelect,
        error_messages={"required": "Say whether they were reached."},
    )
    note = forms.CharField(
        label="What was said and agreed", max_length=2000, widget=forms.Textarea(attrs={"rows": 4}),
        error_messages={"required": "Write a sentence: who reads it next was not there."},
    )  # fmt: skip
    next_on = forms.DateField(
        label="Next visit or review on", required=False, widget=forms.DateInput(attrs={"type": "date"})
    )
    next_what = forms.CharField(
        label="What it is", max_length=80, required=False, help_text="A visit, a class, a review"
    )

    def __init__(self, *args: Any, reach: Reach, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["way"].offer(reach)  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        """What is next needs its day."""
        data = super().clean() or {}
        if data.get("next_what") and not data.get("next_on"):
            self.add_error("next_on", "Give the day of the next visit or review.")
        return data


class RecordForm(forms.Form):
    """The button under the advice. It has its own number: what was put right on the page before is a new report."""

    form_id = OnceField()


class ReportForm(forms.Form):
    """What the person says, in the protocol's list or in their own words."""

    symptom = forms.ChoiceField(
        label="What does the person say?",
        widget=forms.RadioSelect,
        error_messages={"required": "Choose what fits best."},
    )
    sure = forms.TypedChoiceField(
        label="Are they sure?",
        choices=(("yes", "yes"), ("no", "not sure")),
        coerce=lambda text: text == "yes",
        widget=forms.RadioSelect,
        error_messages={"required": "Say whether they are sure. Not sure is looked at sooner."},
    )
    note = forms.CharField(
        label="In their own words", max_length=500, required=False, widget=forms.Textarea(attrs={"rows": 3})
    )

    def __init__(self, *args: Any, protocol: Protocol, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        listed = [(one.key, one.label) for one in protocol.concerns.symptoms]
        self.fields["symptom"].choices = [*listed, (OTHER, "Something else")]  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        """Something else needs words."""
        data = super().clean() or {}
        if data.get("symptom") == OTHER and not data.get("note"):
            self.add_error("note", "Write what it is. Anything that is not in the list is looked at today.")
        return data

"""Forms for a person and a typed referral."""

from __future__ import annotations

from datetime import date
from typing import Any

from django import forms

from haleward.render.looks import LOOKS
from haleward.web.languages.catalogues import standings
from haleward.web.once import OnceField
from haleward.web.people.forms_reach import REACH, PlainDate, ReachForm

IDENTITY = ("first_name", "last_name", "born_on", "sex", "local_number", "phone", "language")
OLDEST_Y, YOUNGEST_Y = 110, 16


class WrittenDate(PlainDate):
    """A day that has been."""

    def clean(self, value: Any) -> Any:
        """Refuses a date in the future."""
        cleaned = super().clean(value)
        if cleaned and cleaned > date.today():  # noqa: DTZ011  (local calendar day of the service)
            raise forms.ValidationError(f"{cleaned:%d %B %Y} is in the future. Enter a date up to today.")
        return cleaned


class PersonForm(ReachForm):
    """Who the person is, and how they can be reached."""

    born_on = WrittenDate(label="Date of birth", required=False)

    class Meta(ReachForm.Meta):
        """Identity and contact only."""

        fields: tuple[str, ...] = (*IDENTITY, *REACH)
        labels = {
            **ReachForm.Meta.labels,
            "local_number": "Local number",
            "language": "Language spoken, in words",
            "sex": "Sex (some formulas need it)",
        }

    def clean_born_on(self) -> date | None:
        """An age that nobody here has is a slip of the pen."""
        born: date | None = self.cleaned_data["born_on"]
        if born:
            age = (date.today() - born).days // 365  # noqa: DTZ011
            if not YOUNGEST_Y <= age <= OLDEST_Y:
                raise forms.ValidationError(f"This date makes the person {age} years old. Check the year.")
        return born


class DetailsForm(PersonForm):
    """Who the person is, and how the drawn figure looks for them."""

    look = forms.ChoiceField(
        label="The drawn figure",
        required=False,
        choices=[("", "choose one for me"), *((key, look.words) for key, look in LOOKS.items())],
        help_text="Height and build follow from the assessment.",
    )

    language_tag = forms.ChoiceField(label="Language of pages and prints", required=False)

    class Meta(PersonForm.Meta):
        """Identity, look and language."""

        fields = (*PersonForm.Meta.fields, "language_tag", "look")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        found = {one.catalogue.tag: one for one in standings(self.instance.service)}
        named = [(tag, f"{one.catalogue.english_name}: {one.told}") for tag, one in found.items()]
        kept = self.instance.language_tag
        gone = [(kept, f"{kept}: no longer here")] if kept and kept not in found else []
        self.fields["language_tag"].choices = [("", "English"), *named, *gone]  # type: ignore[attr-defined]
        self.fields["language_tag"].help_text = "What is spoken stays English."


class ReferralForm(PersonForm):
    """A referral as typed by staff: the person, what happened, who asks."""

    form_id = OnceField()
    event = forms.CharField(label="Event or operation, in the referrer's words", max_length=300)
    event_on = WrittenDate(label="Date of the event or operation", required=False)
    medicines = forms.CharField(
        label="Medicines, one a line", required=False, widget=forms.Textarea(attrs={"rows": 4}), max_length=3000
    )
    reason = forms.CharField(label="What is asked for", max_length=500)
    referrer = forms.CharField(label="Referred by", max_length=160)

    def clean(self) -> dict[str, Any]:
        """Nothing happens to anyone before they are born."""
        data = super().clean() or self.cleaned_data
        born, happened = data.get("born_on"), data.get("event_on")
        if born and happened and happened < born:
            self.add_error("event_on", "This is before the date of birth. Check both dates.")
        return data


class ReferralFileForm(forms.Form):
    """A health-record file (FHIR R4 JSON)."""

    file = forms.FileField(label="Referral file", help_text="A FHIR R4 file in JSON, up to 2 MB.")

    def clean_file(self) -> bytes:
        """The bytes, within the size limit."""
        upload = self.cleaned_data["file"]
        if upload.size > 2_000_000:
            raise forms.ValidationError(
                f"File {upload.name}: {upload.size / 1e6:.1f} MB is over the limit of 2 MB. Send a smaller file."
            )
        return bytes(upload.read())

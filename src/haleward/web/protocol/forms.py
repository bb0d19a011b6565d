"""The forms of a draft: one section's values, a rule from parts, a rule's retirement, a file, the signature."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django import forms
from django.contrib.auth import authenticate
from django.http import HttpRequest

from haleward.errors import HalewardError
from haleward.safety.edits import Edit, Entry, Field, Group
from haleward.safety.edits_fields import typed
from haleward.safety.field_words import field_words
from haleward.safety.words import unit_words
from haleward.web.accounts.models import User
from haleward.web.protocol.choosing import choice_words, held, in_order, list_control
from haleward.web.protocol.document import LEVELS

# What the page of a section shows of each row beside its limits; an entry's own page shows everything.
SHORT = {
    "rule": ("level", "urgency"),
    "risk_item": ("band",),
    "placement_rule": ("effect",),
    "symptom": ("level",),
    "setting": ("value", "text"),
    "number": ("text", "needed"),
    "wording": ("text",),
}
LONG = ("wording", "advice", "trust", "source", "criterion", "text", "scheme")


@dataclass(frozen=True)
class EntryForm:
    """One entry as the page shows it; ``has_more`` when its own page has further values."""

    entry: Entry
    boxes: tuple[forms.BoundField, ...]
    has_more: bool

    @property
    def level(self) -> str:
        """A rule's level in the draft, as the gate reads it; "" for what has none."""
        found = next((field.value for field in self.entry.fields if field.path.endswith("/level")), "")
        return LEVELS.get(str(found), "")


class SectionForm(forms.Form):
    """The values of one group, or all of one entry (``whole``); :meth:`changes` gives those typed anew."""

    template_name = "forms/form.html"

    def __init__(self, *args: Any, group: Group, whole: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.group, self.whole = group, whole
        self.known = {field.path: field for entry in group.entries for field in self._offered(entry)}
        for path, field in self.known.items():
            self.fields[path] = _control(field)
            self.initial[path] = held(field) if _is_list(field) else _as_typed(field.value)

    def _offered(self, entry: Entry) -> tuple[Field, ...]:
        """All of an entry's values, or those of the section's page: its limits and what is judged beside them."""
        short = SHORT.get(entry.path.split("/")[0])
        if self.whole or short is None:
            return (*entry.limits, *entry.fields)
        return (*entry.limits, *(field for field in entry.fields if field.path.rpartition("/")[2] in short))

    def clean(self) -> dict[str, Any]:
        """Every value that was typed anew, read as the kind it must be of."""
        data = super().clean() or self.cleaned_data
        for path, value in list(data.items()):
            if _is_list(self.known[path]):
                value = data[path] = in_order(self.known[path], value)
            try:
                typed(self.known[path], value)
            except HalewardError as fault:
                if value != self.initial[path]:
                    self.add_error(path, str(fault))
        return data

    def changes(self) -> list[Edit]:
        """One edit for each value that differs from the draft's."""
        data = self.cleaned_data
        return [
            Edit(path, data[path])
            for path, field in self.known.items()
            if path in data and typed(field, data[path]) != typed(field, self.initial[path])
        ]

    def entries(self) -> Iterator[EntryForm]:
        """The entries in the order of the page."""
        for entry in self.group.entries:
            boxes = tuple(self[field.path] for field in self._offered(entry))
            if boxes:
                yield EntryForm(entry, boxes, len(boxes) < len(entry.limits) + len(entry.fields))


def _is_list(field: Field) -> bool:
    """Whether it is a list of choices, not of free texts."""
    return field.kind == "texts" and bool(field.choices) and isinstance(field.value, list)


def _control(field: Field) -> forms.Field:
    unit = unit_words(field.unit)
    label = f"{field.label[:1].upper()}{field.label[1:]}{f' ({unit})' if unit else ''}"
    options: dict[str, Any] = {"label": label, "required": False, "help_text": _help(field)}
    if field.kind == "choice":
        return forms.ChoiceField(choices=[(one, choice_words(field, one)) for one in field.choices], **options)
    if _is_list(field):
        return list_control(field, **options)
    if field.kind == "flag":
        return forms.ChoiceField(choices=[("true", "yes"), ("false", "no")], **options)
    return forms.CharField(widget=_widget(field), strip=True, **options)


def _widget(field: Field) -> forms.Widget:
    if field.kind in ("number", "whole"):
        return forms.TextInput(attrs={"inputmode": "decimal", "class": "short"})
    if field.kind == "day":
        return forms.DateInput(attrs={"type": "date"})
    if field.kind == "text" and field.path.rpartition("/")[2] in LONG:
        return forms.Textarea(attrs={"rows": 2})
    return forms.TextInput()


def _help(field: Field) -> str:
    parts = []
    if field.sentence:
        parts.append(field.sentence.format(value="…", percent="…").replace("….", "…"))
    if field.kind == "texts" and not _is_list(field):
        parts.append("With commas between.")
    if field.moves_with:
        names = dict.fromkeys(_place(path) for path in sorted(field.moves_with))
        parts.append(f"The same figure changes with it: {', '.join(names)}.")
    return " ".join(parts)


def _place(path: str) -> str:
    """What stands at a path, as staff call it: a rule by its id, a setting by its label."""
    section, name, *_ = path.split("/")
    name = name.partition("@")[0]
    found = field_words().get(f"setting.{name}") if section == "setting" else None
    return found.label if found else name


def _as_typed(value: Any) -> str:
    """A value as a form shows and sends it."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, list | tuple):
        return ", ".join(_as_typed(one) for one in value)
    if isinstance(value, int | float):
        return f"{value:.12g}"
    return value.isoformat() if isinstance(value, date) else str(value)


class FileForm(forms.Form):
    """A protocol file from elsewhere."""

    file = forms.FileField(label="Protocol file (TOML)")

    def clean_file(self) -> tuple[str, str]:
        """The file's name and text. Refuses what is not text or is far too large."""
        upload = self.cleaned_data["file"]
        if upload.size > 1_000_000:
            raise forms.ValidationError("The file is larger than one megabyte; a protocol is far smaller.")
        try:
            return upload.name, upload.read().decode("utf-8")
        except UnicodeDecodeError as fault:
            raise forms.ValidationError("The file is not text. Choose a protocol saved as a TOML file.") from fault


class NoteForm(forms.Form):
    """What this version changes, and why."""

    note = forms.CharField(label="What is changed, and why", max_length=2000, widget=forms.Textarea(attrs={"rows": 3}))


class WordingForm(forms.Form):
    """A line of the wording tables in the team's own words."""

    text = forms.CharField(label="In your words", max_length=600, widget=forms.Textarea(attrs={"rows": 3}))
    source = forms.CharField(label="Who decided it, or its source", max_length=300)


class KeepForm(forms.Form):
    """A finding that the team keeps, with its reason."""

    finding = forms.CharField(widget=forms.HiddenInput)
    reason = forms.CharField(label="Why it is right as it is", max_length=500)


class SignatureForm(forms.Form):
    """The clinical lead's signature: read, previewed, with the day of the next review and the password once more."""

    review_due = forms.DateField(
        label="To be reviewed by", widget=forms.DateInput(attrs={"type": "date"}), help_text="At most two years ahead."
    )
    read = forms.BooleanField(label="I have read this version and seen whom it changes")
    password = forms.CharField(
        label="Your password", widget=forms.PasswordInput(attrs={"autocomplete": "current-password"})
    )

    def __init__(self, *args: Any, user: User, today: date, request: HttpRequest, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.user, self.today, self.request = user, today, request

    def clean_review_due(self) -> date:
        """A day after today, and not too far ahead."""
        due: date = self.cleaned_data["review_due"]
        if not self.today < due <= self.today + timedelta(days=731):
            raise forms.ValidationError("Choose a day after today and at most two years ahead.")
        return due

    def clean_password(self) -> str:
        """The password of whoever is signed in; wrong ones count towards the lock, as at sign-in."""
        password = self.cleaned_data["password"]
        if authenticate(self.request, username=self.user.username, password=password) != self.user:
            raise forms.ValidationError("This is not your password. Nothing is signed.")
        return str(password)


class CloseForm(forms.Form):
    """What the lead found when looking at the person again."""

    note = forms.CharField(
        label="What you found or did", max_length=1000, required=True, widget=forms.Textarea(attrs={"rows": 2})
    )

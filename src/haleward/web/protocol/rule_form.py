"""A new rule from parts, and the end of a rule."""

from __future__ import annotations

from math import isfinite, nan
from typing import Any

from django import forms

from haleward.physiology.tables import rows
from haleward.safety.conditions import COMPARISONS
from haleward.safety.edits import NewRule, Part
from haleward.safety.inputs import SafetyInput, default_inputs
from haleward.safety.parts import RULE_LEVELS, URGENCIES
from haleward.safety.words import unit_words
from haleward.web.protocol.document import LEVELS, SOON
from haleward.wording import default_wording

PARTS = 3
COMPARES = [
    ("", "choose"),
    ("over", "over"),
    ("under", "under"),
    ("at_least", "at least"),
    ("at_most", "at most"),
    ("is", "is"),
    ("known", "is known (yes or no)"),
]
YES_NO = {"yes": True, "true": True, "no": False, "false": False}


class RuleForm(forms.Form):
    """One to three comparisons, what follows, and where it comes from."""

    join = forms.ChoiceField(label="When", choices=[("all", "all of these hold"), ("any", "any of these holds")])
    level = forms.ChoiceField(label="Level", choices=[("", "choose"), *((one, LEVELS[one]) for one in RULE_LEVELS)])
    urgency = forms.ChoiceField(
        label="How soon", choices=[(one, SOON.get(one, "no day given")) for one in URGENCIES], initial="none"
    )
    wording = forms.CharField(
        label="What was found", max_length=300, required=False, help_text="Left blank, it is made from the conditions."
    )
    advice = forms.CharField(label="What to do", max_length=500, widget=forms.Textarea(attrs={"rows": 2}))
    topic = forms.ChoiceField(label="Advice shown to the person", required=False)
    sources = forms.CharField(label="Sources", help_text="Their ids with commas between, for example S07, S10.")
    trust = forms.CharField(
        label="Trust", help_text="For example: seen at the source; common practice, no source; from memory, unverified."
    )

    def __init__(self, *args: Any, stage: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.stage = stage
        inputs = sorted(default_inputs().values(), key=lambda one: one.label)
        choices = [("", "choose"), *((one.name, _named(one)) for one in inputs)]
        for number in range(1, PARTS + 1):
            self.fields[f"input_{number}"] = forms.ChoiceField(
                label=f"Condition {number}: what is looked at", choices=choices, required=number == 1
            )
            self.fields[f"comparison_{number}"] = forms.ChoiceField(
                label=f"Condition {number}: how it is compared", choices=COMPARES, required=number == 1
            )
            self.fields[f"value_{number}"] = forms.CharField(
                label=f"Condition {number}: with what", required=number == 1
            )
        topics = [("", "none"), *((topic, topic) for topic in default_wording().topics)]
        self.fields["topic"].choices = topics  # type: ignore[attr-defined]

    def clean_sources(self) -> tuple[str, ...]:
        """The ids of sources, each of the table."""
        given = tuple(one.strip() for one in self.cleaned_data["sources"].split(",") if one.strip())
        unknown = [one for one in given if one not in {row["id"] for row in rows("sources")}]
        if unknown or not given:
            raise forms.ValidationError(
                f"There is no source {', '.join(unknown)}. The sources and their ids stand at the end of the protocol."
                if unknown
                else "Name at least one source."
            )
        return given

    @property
    def rows(self) -> list[tuple[forms.BoundField, forms.BoundField, forms.BoundField]]:
        """The controls of each comparison."""
        return [(self[f"input_{n}"], self[f"comparison_{n}"], self[f"value_{n}"]) for n in range(1, PARTS + 1)]

    @property
    def others(self) -> list[forms.BoundField]:
        """The controls after the comparisons."""
        return [self[name] for name in ("level", "urgency", "wording", "advice", "topic", "sources", "trust")]

    def clean(self) -> dict[str, Any]:
        """A comparison is whole or absent, and its value is of the input's kind."""
        data = super().clean() or self.cleaned_data
        parts = []
        for number in range(1, PARTS + 1):
            given = [data.get(f"{name}_{number}", "") for name in ("input", "comparison", "value")]
            if all(given):
                parts.append(self._part(number, *given))
            elif any(given):
                self.add_error(f"value_{number}", "Fill in input, comparison and value, or leave all three blank.")
        data["parts"] = tuple(part for part in parts if part is not None)
        return data

    def _part(self, number: int, name: str, comparison: str, value: str) -> Part | None:
        found = default_inputs()[name]
        if comparison in COMPARISONS:
            if found.kind != "number":
                self.add_error(f"comparison_{number}", f"{found.label.capitalize()} is not a number. Use “is”.")
                return None
            figure = self._figure(number, value)
            return None if figure is None else Part(name, comparison, figure, found.unit)
        if comparison == "known" or found.kind == "bool":
            if value.lower() not in YES_NO:
                self.add_error(f"value_{number}", "Write yes or no.")
                return None
            return Part(name, comparison, YES_NO[value.lower()])
        if found.kind == "number":
            figure = self._figure(number, value)
            return None if figure is None else Part(name, comparison, figure)
        return Part(name, comparison, value)

    def _figure(self, number: int, value: str) -> float | None:
        try:
            figure = float(value)
        except ValueError:
            figure = nan
        if not isfinite(figure):
            self.add_error(f"value_{number}", f"“{value}” is not a number.")
            return None
        return figure

    def new_rule(self) -> NewRule:
        """The rule to be added."""
        data = self.cleaned_data
        return NewRule(
            parts=data["parts"],
            join=data["join"],
            level=data["level"],
            urgency=data["urgency"],
            wording=data["wording"],
            advice=data["advice"],
            topic=data["topic"],
            sources=data["sources"],
            trust=data["trust"],
            stage=self.stage,
        )


def _named(one: SafetyInput) -> str:
    shown = unit_words(one.unit) if one.kind == "number" else ""
    unit = f" ({shown})" if shown else ""
    codes = f" ({', '.join(one.values)})" if one.kind == "text" and one.values else ""
    return f"{one.label}{unit}{codes}"


class RetirementForm(forms.Form):
    """A rule that no longer applies, and why."""

    rule_id = forms.ChoiceField(label="Rule")
    reason = forms.CharField(label="Why it no longer applies", max_length=500)

    def __init__(self, *args: Any, rules: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["rule_id"].choices = [("", "Choose"), *rules]  # type: ignore[attr-defined]

"""Forms of the programme: dose, swap, days, signature, proposals, and the check of the day."""

from __future__ import annotations

from typing import Any

from django import forms
from django.http import QueryDict

from haleward.dose.checks import check_exercise
from haleward.dose.gentle import limits
from haleward.dose.loads import same_load
from haleward.dose.model import Exercise, Programme, Walking
from haleward.dose.options import Choice, Option
from haleward.exchange.guards import check_blood_pressure
from haleward.safety.conditions import Facts, evaluate, inputs_of
from haleward.safety.facts import facts_of
from haleward.safety.inputs import default_inputs
from haleward.safety.protocol import Protocol
from haleward.web.assessment.fields import Glucose, Measured, guarded
from haleward.web.assessment.forms_home import DAYS
from haleward.web.assessment.questions import COMPUTED, field_for
from haleward.web.prescription.edits import dosed
from haleward.web.prescription.ground import Ground
from haleward.web.prescription.shown import kit_load
from haleward.web.project.templatetags.show import posture
from haleward.web.team import protocol as in_force

READINGS = {"hr_rest": "resting_bpm", "sbp_rest": "systolic_mmhg", "dbp_rest": "diastolic_mmhg"}


class DoseForm(forms.Form):
    """Another dose for one exercise, within what this person has and the protocol allows."""

    choice = forms.TypedChoiceField(label="Posture and load", coerce=int)
    sets = forms.IntegerField(label="Sets", min_value=1, max_value=10)
    repetitions = forms.IntegerField(label="Repetitions", min_value=1, max_value=50)
    hold_s = forms.FloatField(label="Hold, seconds", min_value=0, max_value=120)
    rest_s = forms.IntegerField(label="Rest between sets, seconds", min_value=0, max_value=600)

    def __init__(self, *args: Any, exercise: Exercise, option: Option, ground: Ground, by: str, **kwargs: Any) -> None:
        self.exercise, self.option, self.ground, self.by = exercise, option, ground, by
        super().__init__(*args, **kwargs)
        self.initial = self._now()
        self.fields["choice"].choices = [  # type: ignore[attr-defined]
            (number, f"{posture(choice.posture)}, {kit_load(choice.load)}")
            for number, choice in enumerate(option.choices)
        ]
        self.limits = limits(ground.protocol, facts_of(ground.record, today=ground.today))
        policy = self.limits
        holds = exercise.dose.hold_s > 0
        del self.fields["repetitions" if holds else "hold_s"]
        self.fields["sets"].help_text = f"1 to {policy.sets_most}"
        self.fields["rest_s"].help_text = f"{policy.rest_low_s} to {policy.rest_high_s}"
        if holds:
            self.fields["hold_s"].help_text = f"{policy.hold_s:g} to {policy.hold_high_s:g}"
        else:
            self.fields["repetitions"].help_text = f"{policy.repetitions_low} to {policy.repetitions_high}"

    def clean(self) -> dict[str, Any]:
        """Every sentence that stands against this dose for this person."""
        data = super().clean() or {}
        if self.errors:
            return data
        changed = self.changed()
        for sentence in check_exercise(changed, self.ground.options, policy=self.limits, library=self.ground.library):
            self.add_error(None, sentence)
        return data

    def changed(self) -> Exercise:
        """The exercise with the dose that was entered."""
        data, dose = self.cleaned_data, self.exercise.dose
        return dosed(
            self.exercise,
            self.option.choices[data["choice"]],
            sets=data["sets"],
            repetitions=data.get("repetitions", dose.repetitions),
            hold_s=data.get("hold_s", dose.hold_s),
            rest_s=data["rest_s"],
            by=self.by,
            ground=self.ground,
        )

    def _now(self) -> dict[str, Any]:
        dose = self.exercise.dose
        return {
            "choice": _place_of(self.option.choices, self.exercise),
            "sets": dose.sets,
            "repetitions": dose.repetitions,
            "hold_s": dose.hold_s,
            "rest_s": dose.rest_s,
        }


def _place_of(choices: tuple[Choice, ...], exercise: Exercise) -> int | None:
    return next(
        (
            number
            for number, choice in enumerate(choices)
            if choice.posture == exercise.posture and same_load(choice.load, exercise.dose.load)
        ),
        None,
    )


class MovementForm(forms.Form):
    """One of the movements this person can use that the part does not have yet."""

    movement = forms.ChoiceField(label="Movement")

    def __init__(self, *args: Any, options: tuple[Option, ...], titles: dict[str, str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        groups: dict[str, list[tuple[str, str]]] = {}
        for option in options:
            groups.setdefault(option.region.replace("_", " "), []).append(
                (option.movement_id, titles[option.movement_id])
            )
        self.fields["movement"].choices = [("", "choose"), *groups.items()]  # type: ignore[attr-defined]


class DaysForm(forms.Form):
    """The days of each part and of walking, and the walking minutes."""

    def __init__(self, *args: Any, programme: Programme, **kwargs: Any) -> None:
        walking = programme.walking
        super().__init__(*args, **kwargs)
        self.initial = {f"part_{part.key}": list(part.days) for part in programme.parts}
        self.initial |= {"walking": list(walking.days), "bouts": walking.bouts, "bout_minutes": walking.bout_minutes}
        self.initial["rest_minutes"] = walking.rest_minutes
        self.programme = programme
        for part in programme.parts:
            self.fields[f"part_{part.key}"] = _days(f"Part {part.key}")
        self.fields["walking"] = _days("Walking")
        for name, label in (
            ("bouts", "Bouts"),
            ("bout_minutes", "Minutes a bout"),
            ("rest_minutes", "Minutes of rest"),
        ):
            self.fields[name] = forms.IntegerField(label=label, min_value=0, max_value=120)

    def days(self) -> dict[str, tuple[str, ...]]:
        """The chosen days by part."""
        return {part.key: tuple(self.cleaned_data[f"part_{part.key}"]) for part in self.programme.parts}

    def walking(self) -> Walking:
        """The walking on the chosen days."""
        data, walking = self.cleaned_data, self.programme.walking
        return Walking(
            days=tuple(data["walking"]),
            bouts=data["bouts"],
            bout_minutes=data["bout_minutes"],
            rest_minutes=data["rest_minutes"],
            pace_km_per_h=walking.pace_km_per_h,
            reasons=walking.reasons,
            rule_ids=walking.rule_ids,
            movement_id=walking.movement_id,
            posture=walking.posture,
            pace=walking.pace,
        )


def _days(label: str) -> forms.MultipleChoiceField:
    return forms.MultipleChoiceField(label=label, choices=DAYS, required=False, widget=forms.CheckboxSelectMultiple)


class DecisionForm(forms.Form):
    """Who decided, where the gate says "check first"."""

    decided_by = forms.CharField(label="Who decided that the person may start (name and role)", max_length=120)
    decision_reason = forms.CharField(label="Why", max_length=500, widget=forms.Textarea(attrs={"rows": 3}))

    def __init__(self, *args: Any, needed: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not needed:
            del self.fields["decided_by"], self.fields["decision_reason"]


class SignForm(DecisionForm):
    """The decision, and the mark of the plan that was on the screen."""

    digest = forms.CharField(widget=forms.HiddenInput, required=False)

    def __init__(self, data: QueryDict | None = None, *, needed: bool, digest: str) -> None:
        super().__init__(data, needed=needed)
        self.shown_digest, self.fields["digest"].initial = digest, digest

    def clean(self) -> dict[str, Any]:
        """Refuse a plan that is no longer the one that was read."""
        if self.cleaned_data.get("digest") != self.shown_digest:
            self.data = {**self.data, "digest": self.shown_digest}  # what is shown next is what is signed next
            raise forms.ValidationError(in_force.wording().template("sign_other"))
        return self.cleaned_data


class ReasonForm(forms.Form):
    """A reason in a few words."""

    reason = forms.CharField(label="Reason", max_length=300)


class DayCheckForm(forms.Form):
    """The readings and questions of the day that this person's gate needs; a blank stays unknown."""

    def __init__(self, *args: Any, facts: Facts, protocol: Protocol, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in day_inputs(facts, protocol):
            self.fields[name] = _day_field(name)
        for name in by_exception(facts, protocol):
            self.fields[name] = _day_field(name)
            self.fields[name].help_text = "Only if it was measured or told."

    def clean(self) -> dict[str, Any]:
        """Upper and lower blood pressure belong together."""
        data = super().clean() or {}
        upper, lower = data.get("sbp_rest"), data.get("dbp_rest")
        if upper is not None and lower is not None:
            try:
                guarded(lambda: check_blood_pressure(upper, lower))
            except forms.ValidationError as error:
                self.add_error("sbp_rest", error)
        return data

    def answers(self) -> dict[str, bool | float | str]:
        """What was answered; a blank is left out."""
        return {name: value for name, value in self.cleaned_data.items() if value not in (None, "")}


def day_inputs(facts: Facts, protocol: Protocol) -> tuple[str, ...]:
    """What is asked on the day: readings first, then every need of the hall gate that may matter for this person."""
    inputs = default_inputs()
    needs = [
        need.input
        for need in protocol.gates["hall"].needs
        if inputs[need.input].asked != "entry" and (need.when is None or evaluate(need.when, facts) is not False)
    ]
    return tuple(dict.fromkeys((*READINGS, *needs)))


def by_exception(facts: Facts, protocol: Protocol) -> tuple[str, ...]:
    """What some rule of the session reads, nobody has to be asked, and counts when it was measured or told."""
    gate, inputs = protocol.gates["hall"], default_inputs()
    listed = {need.input for need in gate.needs} | set(READINGS)
    read = (
        name
        for rule in protocol.rules
        if rule.stage == "session" and evaluate(rule.condition, facts) is not False
        for name in inputs_of(rule.condition)
    )
    return tuple(dict.fromkeys(n for n in read if n not in listed and inputs[n].asked != "entry" and n not in COMPUTED))


def _day_field(name: str) -> forms.Field:
    item = default_inputs()[name]
    label = item.label[:1].upper() + item.label[1:]
    if name in READINGS:
        reading = Measured(label=label, quantity=READINGS[name])
        reading.template_name = "assessment/_asked.html"  # type: ignore[attr-defined]  # the stubs lack it
        return reading
    if name == "glucose_mmol":
        return Glucose(label=label)
    return field_for(name)

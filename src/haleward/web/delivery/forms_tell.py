"""One session told on a plain form, for a browser that runs no script: the same lines as a week on paper."""

from __future__ import annotations

from typing import Any

from django import forms

from haleward.dose.log import WALK
from haleward.session.entry_faults import heart_rate_limits
from haleward.web.delivery.landing_words import Words
from haleward.web.delivery.paper import MOST_EFFORT, MOST_MINUTES, Line, symptoms_of
from haleward.web.once import OnceField
from haleward.web.people.models import Person

DONE = (("as_planned", "log_yes"), ("part", "log_part"), ("not_done", "log_no"))


class TellForm(forms.Form):
    """What was done of one session, how hard it was, and whether anything worried; only the first is asked for."""

    id = OnceField()
    done = forms.ChoiceField(widget=forms.RadioSelect)

    def __init__(self, *args: Any, line: Line, person: Person, say: Words, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.line, self.lines, self.say = line, [line], say
        self.fields["done"].label = say("tell_done")
        self.fields["done"].choices = [(value, say(key)) for value, key in DONE]  # type: ignore[attr-defined]
        self.fields["done"].error_messages["required"] = say("tell_done_fault")
        walks = line.part_key == WALK
        if walks:
            self._number("minutes", 0, MOST_MINUTES, say("diary_minutes"))
        self._number("effort", 0, MOST_EFFORT, say("tell_effort"))
        if walks and line.asks_rate:
            self._number("rate", *heart_rate_limits(), say("diary_rate_ask"))
        symptoms = [(key, say.phrase(label)) for key, label in symptoms_of(person)]
        self.fields["symptom"] = forms.ChoiceField(
            choices=[("", say("tell_symptom_none")), *symptoms], required=False, label=say("log_symptom")
        )

    def _number(self, name: str, least: int, most: int, label: str) -> None:
        fault = self.say("tell_number_fault", lowest=least, highest=most)
        errors = dict.fromkeys(("invalid", "min_value", "max_value"), fault)
        self.fields[name] = forms.IntegerField(
            required=False, min_value=least, max_value=most, label=label, error_messages=errors
        )

    def given(self, _line: Line, name: str) -> Any:
        """What was told; ``None`` for a blank."""
        value = self.cleaned_data.get(name)
        return None if value == "" else value

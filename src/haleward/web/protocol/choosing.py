"""Choosing codes by their words: check boxes for a set, one place after another where the order counts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django import forms

from haleward.safety.edits import Field
from haleward.safety.words import code_words, words_of
from haleward.web.assessment.titles import movement_choices
from haleward.web.project.templatetags.show import words
from haleward.web.team import protocol as in_force

LONG = 25  # with more choices those that are not chosen stand folded
SPARE_PLACES = 3
NO_DAY = "no day given"


def choices_elsewhere() -> Mapping[str, Mapping[str, str]]:
    """What other rooms than that of the protocol know: regions and movements, by path, each by its words."""
    wording, movements = in_force.wording(), in_force.library().movements
    regions = dict.fromkeys(one.region for one in movements.values() if one.category != "aerobic")
    named: dict[str, str] = {region: wording.template(f"region_{region}") for region in regions}
    titles = {movement: title for movement, title in movement_choices() if movements[movement].category != "aerobic"}
    return {
        "dose/required_regions": named,
        "dose/frail_regions": named,
        "dose/preferred_movements": titles,
    }


def choice_words(field: Field, code: str) -> str:
    """One choice as staff read it."""
    if code == "":
        return "none"
    key = field.path.rpartition("/")[2]
    if key == "urgency":
        return words_of("urgency").get(code, NO_DAY)
    if key in ("level", "stage", "effect"):
        return words_of(key).get(code, words(code))
    return field.choice_words.get(code) or code_words(code)


def list_control(field: Field, **options: Any) -> forms.MultipleChoiceField:
    """The control of a list of choices."""
    choices = [(code, choice_words(field, code)) for code in field.choices]
    widget = Ticks() if field.keeps == "set" else Places(places=_places(field))
    strange = f"“%(value)s” is not among the choices of “{field.label}”; choose from those offered here."
    return forms.MultipleChoiceField(
        choices=choices, widget=widget, error_messages={"invalid_choice": strange}, **options
    )


def held(field: Field) -> tuple[str, ...]:
    """What a list holds now."""
    return tuple(map(str, field.value)) if isinstance(field.value, list) else ()


def in_order(field: Field, chosen: Sequence[str]) -> tuple[str, ...]:
    """What was chosen, in the order in which it is kept: of a set what was there stays in front, as it was."""
    if field.keeps != "set":
        return tuple(chosen)
    before = [code for code in held(field) if code in chosen]
    return (*before, *(code for code in field.choices if code in chosen and code not in before))


def _places(field: Field) -> int:
    """How many places an ordered list offers."""
    there = len(held(field))
    if field.keeps == "one":
        return max(1, there)
    return len(field.choices) if len(field.choices) <= LONG else min(len(field.choices), there + SPARE_PLACES)


class Ticks(forms.CheckboxSelectMultiple):
    """Check boxes; of many, those not chosen stand folded below the chosen ones."""

    template_name = "protocol/ticks.html"

    def get_context(self, name: str, value: Any, attrs: dict[str, Any] | None) -> dict[str, Any]:
        """The options, parted where they are many."""
        context: dict[str, Any] = super().get_context(name, value, attrs)
        options = [option for _group, found, _index in context["widget"]["optgroups"] for option in found]
        many = len(options) > LONG
        context["widget"]["shown"] = [option for option in options if option["selected"] or not many]
        context["widget"]["folded"] = [option for option in options if many and not option["selected"]]
        return context


class Places(forms.SelectMultiple):
    """One select box for each place of an ordered list; an empty one holds nothing."""

    template_name = "protocol/places.html"
    use_fieldset = True

    def __init__(self, *args: Any, places: int, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.places = places

    def value_from_datadict(self, data: Any, files: Any, name: str) -> Any:
        """The chosen codes, place by place."""
        return [code for code in super().value_from_datadict(data, files, name) or () if code]

    def get_context(self, name: str, value: Any, attrs: dict[str, Any] | None) -> dict[str, Any]:
        """The places, each with what it holds."""
        context: dict[str, Any] = super().get_context(name, value, attrs)
        now = context["widget"]["value"]
        codes = [*now, *[""] * (self.places - len(now))]
        context["widget"]["held"] = list(enumerate(codes, start=1))
        context["widget"]["alone"] = len(codes) == 1
        context["widget"]["offered"] = list(self.choices)
        return context

"""How values inside a worksheet are shown."""

from __future__ import annotations

import re

from django import template

from haleward.safety.inputs import default_inputs
from haleward.web.project.templatetags.show import number
from haleward.worksheet import Input, Step

register = template.Library()
_LONG_NUMBER = re.compile(r"-?\d+\.\d{3,}")  # a number that was turned into text before it was rounded


@register.filter
def worked(value: float | str) -> str:
    """A number with at most two decimals; words as they are; a truth as yes or no."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str) and _LONG_NUMBER.fullmatch(value):
        value = float(value)
    return number(value, 2) if isinstance(value, int | float) else value


@register.filter
def with_range(line: Input | Step) -> str:
    """The value of an input or a step with its unit and, where its error is known, its likely range."""
    value = line.value if isinstance(line, Input) else line.result
    text = f"{worked(value)} {'' if line.unit == '1' else line.unit}".rstrip()
    if line.low is None or line.high is None:
        return text
    return f"{text}, likely {worked(line.low)} to {worked(line.high)}"


@register.filter
def input_label(name: str) -> str:
    """A safety input as staff know it."""
    item = default_inputs().get(name)
    return item.label if item else name.replace("_", " ")

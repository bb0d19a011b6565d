"""How values inside a worksheet are shown."""

from __future__ import annotations

import re

from django import template

from haleward.safety.inputs import default_inputs
from haleward.web.project.templatetags.show import number

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
def input_label(name: str) -> str:
    """A safety input as staff know it."""
    item = default_inputs().get(name)
    return item.label if item else name.replace("_", " ")

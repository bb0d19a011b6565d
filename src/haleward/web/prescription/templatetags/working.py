"""How values inside a worksheet are shown."""

from __future__ import annotations

from django import template

from haleward.web.project.templatetags.show import number

register = template.Library()


@register.filter
def worked(value: float | str) -> str:
    """A number with at most two decimals; words as they are; a truth as yes or no."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return number(value, 2) if isinstance(value, int | float) else value

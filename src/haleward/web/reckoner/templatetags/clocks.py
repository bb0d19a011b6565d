"""The Reckoner's clocks beside boxes of other forms."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django import template

from haleward.web.reckoner.clocks import assessment_clocks
from haleward.web.reckoner.shown import configured

register = template.Library()


@register.inclusion_tag("reckoner/_assessment_clocks.html")
def clocks_for(section: str, person_id: UUID) -> dict[str, Any]:
    """The clocks that fill boxes of one section of the assessment; what they keep belongs to this person alone."""
    clocks = [clock | {"key": f"{clock['key']}-{person_id}", "level": 3} for clock in assessment_clocks()[section]]
    return {"clocks": configured(clocks)}

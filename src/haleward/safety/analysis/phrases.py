"""Phrases that findings of several subjects share."""

from __future__ import annotations

from collections.abc import Sequence

from haleward.safety.conditions import Condition
from haleward.safety.sentences import to_sentence


def listed(names: Sequence[str]) -> str:
    """Names as a sentence lists them: "R001, R002 and R003"."""
    return f"{', '.join(names[:-1])} and {names[-1]}" if len(names) > 1 else "".join(names)


def quoted(condition: Condition) -> str:
    """A condition in quotation marks, as a sentence cites it."""
    return f'"{to_sentence(condition).rstrip(".")}"'


def title(place: tuple[str, ...]) -> str:
    """How a sentence names the place of a condition."""
    if place[0] == "gates":
        return f"The need of {place[2]} at the {place[1]} gate"
    kind = {"rule": "Rule", "risk_item": "Risk item", "placement_rule": "Placement rule", "check": "Question"}[place[0]]
    return f"{kind} {place[1]}"

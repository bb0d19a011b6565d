"""Whether one changed value makes a protocol stricter or milder, where that can be told for everybody."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Literal

from haleward.physiology.tables import rows
from haleward.safety.compare_conditions import Way, way_of
from haleward.safety.parts import CONCERN_LEVELS, RULE_LEVELS, URGENCIES, PlacementRule, RiskItem
from haleward.strict_toml import is_number

Direction = Literal["stricter", "milder", "other"]
_OPPOSITE: Mapping[Direction, Direction] = {"stricter": "milder", "milder": "stricter", "other": "other"}
_RANKS: Mapping[tuple[str, str], Sequence[str]] = {
    ("rule", "level"): RULE_LEVELS,
    ("rule", "urgency"): URGENCIES,
    ("symptom", "level"): CONCERN_LEVELS,
    ("symptom", "unknown_level"): CONCERN_LEVELS,
    ("risk", "capacity_under_5_mets"): ("high", "moderate"),
}
_SUPPORTING = ("seated", "hand_supported", "narrow_base_supported", "wide_base_standing", "one_level_down")


def of_value(section: str, what: str, before: Any, after: Any) -> Direction:
    """The direction of a value that is no condition: a rank, a policy's number or list."""
    ranks = _RANKS.get((section, what))
    if ranks is not None and before in ranks and after in ranks:
        return "stricter" if ranks.index(after) < ranks.index(before) else "milder"
    if section == "gate":
        return _of_list(before, after)
    return _of_policy(_stricter_when().get(f"{section}.{what}", ""), before, after)


def of_condition(row: object, before: Any, after: Any) -> Direction:
    """The direction of a changed condition of a rule, a risk item or a placement rule."""
    return _firing(row, way_of(before, after))


def of_row(row: object, *, added: bool) -> Direction:
    """The direction of a whole row that came or went."""
    if getattr(row, "level", "") == "inform":
        return "other"
    return _firing(row, "wider" if added else "narrower")


def _firing(row: object, way: Way) -> Direction:
    """What it means that a row is true for more people, or for fewer."""
    direction: Direction = {"wider": "stricter", "narrower": "milder"}.get(way, "other")  # type: ignore[assignment]
    if isinstance(row, RiskItem):
        return _OPPOSITE[direction] if row.band == "low" else direction
    if isinstance(row, PlacementRule):
        return direction if row.effect in _SUPPORTING else "other"
    return direction if hasattr(row, "urgency") else "other"


def _of_policy(stricter_when: str, before: Any, after: Any) -> Direction:
    if stricter_when in ("lower", "higher") and is_number(before) and is_number(after):
        return "stricter" if (after < before) == (stricter_when == "lower") else "milder"
    if stricter_when in ("no", "yes") and isinstance(after, bool):
        return "stricter" if after == (stricter_when == "yes") else "milder"
    return _of_list(before, after) if stricter_when == "more" else "other"


def _of_list(before: Any, after: Any) -> Direction:
    """A list in which more means stricter: what is asked, what is needed, what stands against a range."""
    if not (isinstance(before, tuple) and isinstance(after, tuple)):
        return "other"
    lost, won = [one for one in before if one not in after], [one for one in after if one not in before]
    if lost and won:
        return "other"
    return "stricter" if won else "milder" if lost else "other"


def _stricter_when() -> dict[str, str]:
    return {row["field"]: row["stricter_when"] for row in rows("compare_directions")}

"""One figure in one place: a setting that prints a rule's limit (``same_in``) and that limit always move together."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from haleward.safety.condition_faults import condition_faults
from haleward.safety.edits_fields import Field
from haleward.safety.edits_limits import limits_in
from haleward.safety.inputs import default_inputs
from haleward.strict_toml import is_number

Site = tuple[str, int]  # a path, and the place in a list of values (0 for a single one)


def mirrors(values: Mapping[str, Any]) -> dict[str, tuple[str, ...]]:
    """For each path that shares a figure: the other paths that move with it."""
    found: dict[str, dict[str, None]] = {}
    for group in same_figure(values):
        paths = sorted({path for path, _ in group})
        for path in paths:
            found.setdefault(path, {}).update(dict.fromkeys(one for one in paths if one != path))
    return {path: tuple(others) for path, others in found.items()}


def same_figure(values: Mapping[str, Any]) -> list[frozenset[Site]]:
    """The sites that hold one figure, by the settings' ``same_in``; several settings may join in one rule."""
    limits = {
        str(rule.get("id")): tuple(limits_in(rule["condition"], f"rule/{rule.get('id')}/condition"))
        for rule in _tables(values, "rule")
        if not condition_faults(rule.get("condition"), default_inputs())
    }
    groups: list[frozenset[Site]] = []
    for setting in _tables(values, "setting"):
        path = f"setting/{setting.get('name')}@{setting.get('jurisdiction')}/value"
        for place, figure in enumerate(_figures(setting.get("value"))):
            linked = {
                (limit.path, 0)
                for rule_id in setting.get("same_in", ())
                for limit in _showing(figure, str(setting.get("unit")), limits.get(rule_id, ()))
            }
            if linked:
                groups = _joined(groups, frozenset({(path, place), *linked}))
    return groups


def _showing(figure: float, unit: str, limits: tuple[Field, ...]) -> list[Field]:
    """The limits of one rule with this figure; where some are in the setting's own unit, only those."""
    found = [one for one in limits if isinstance(one.value, int | float) and abs(one.value) == figure]
    return [one for one in found if one.unit == unit] or found


def _joined(groups: list[frozenset[Site]], new: frozenset[Site]) -> list[frozenset[Site]]:
    apart = [group for group in groups if not group & new]
    touching = [group for group in groups if group & new]
    return [*apart, new.union(*touching)]


def _tables(values: Mapping[str, Any], key: str) -> Iterator[Mapping[str, Any]]:
    found = values.get(key)
    yield from (one for one in (found if isinstance(found, list) else ()) if isinstance(one, dict))


def _figures(value: Any) -> list[float]:
    found = value if isinstance(value, list) else [value]
    return found if all(is_number(one) for one in found) else []
